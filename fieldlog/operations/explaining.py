"""Why something is so: a sealed line, a verdict, a due date or a used life, with the numbers filled in."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from fieldlog.domain.criteria import Certainty, Finding, Verdict, cite
from fieldlog.domain.duty import Use
from fieldlog.domain.hook import judge_hook
from fieldlog.domain.records import Entry, HookReading
from fieldlog.domain.rules import HookRule, Rulebook
from fieldlog.domain.schedule import Due, DueBy
from fieldlog.domain.service_life import ServiceLife, share_words, shown_percent
from fieldlog.store.codec import plain
from fieldlog.units import format_mm

INDENT = "   "


def _words(value: Any) -> str:
    if value is None or value in ("", [], {}):
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(_words(part) for part in value)
    return str(value)


def _lines(name: str, value: Any, depth: int) -> Iterator[str]:
    pad = INDENT * depth
    if isinstance(value, Mapping) and value:
        yield f"{pad}{name}:"
        for key, part in value.items():
            yield from _lines(str(key), part, depth + 1)
    elif isinstance(value, Sequence) and not isinstance(value, str) and value:
        yield f"{pad}{name}:"
        for part in value:
            yield f"{pad}{INDENT}- {_one_line(part)}"
    else:
        yield f"{pad}{name}: {_words(value)}"


def _one_line(part: Any) -> str:
    if isinstance(part, Mapping):
        return ", ".join(f"{key} {_words(value)}" for key, value in part.items() if _words(value) != "-")
    return _words(part)


def line_words(entry: Entry) -> list[str]:
    """The whole line for people, with the hashes that tie it into the logbook."""
    lines = [
        f"{entry.body.kind}, sealed by {entry.by} at {entry.at.isoformat()}",
        f"line {entry.number}, version {entry.v}",
        f"this line    {entry.line}",
        f"line before  {entry.prev}",
        "",
    ]
    data = plain(entry.body)
    for name, value in data.items():
        lines.extend(_lines(name, value, 0))
    return lines


MEANS = {
    Verdict.KEEP: "It may stay in use.",
    Verdict.WATCH: "It may stay in use and is to be watched.",
    Verdict.UNDECIDED: "It is not decided, which never counts as a pass.",
    Verdict.DISCARD: "It is to be taken out of use.",
}
A_PERSON = "It helps a competent person and does not replace one; the maker's book and local codes govern."


def _source_lines(source: str, certainty: Certainty) -> list[str]:
    """The source with its certainty always said, even where the citation says it too."""
    bare = source.removesuffix(f" ({certainty})")
    return [f"Source     {bare}", f"Certainty  {certainty}"]


def explain_finding(finding: Finding) -> list[str]:
    """A verdict for people: what was found, the arithmetic, the rule, its source and how certain that is.

    Everything comes from the finding, so that one out of an old record is explained by what it was judged by.
    """
    lines = [
        f"{finding.component}: {finding.verdict}",
        MEANS[finding.verdict],
        "",
        f"Found      {finding.why}",
    ]
    steps = finding.steps or tuple(_steps_of(finding))
    lines += [f"{'Worked out' if not place else '':<10} {step}" for place, step in enumerate(steps)]
    if finding.margin is not None:
        lines.append(f"Left       {_figure(finding.margin, finding.unit)} {_past(finding.margin)}".rstrip())
    lines += ["", f"Rule       {finding.criterion}"]
    lines += _source_lines(finding.source, finding.certainty)
    if finding.rulebook:
        lines.append(f"Rulebook   {finding.rulebook}, edition {finding.edition}")
    return [*lines, "", A_PERSON]


def _figure(value: Decimal, unit: str) -> str:
    return f"{format_mm(value)} {unit}".strip()


def _past(margin: Decimal) -> str:
    return "past the limit" if margin < 0 else ""


def _steps_of(finding: Finding) -> Iterator[str]:
    """The arithmetic of a record sealed before findings carried their steps."""
    value, limit, unit = finding.value, finding.limit, finding.unit
    if value is None or limit is None:
        return
    yield f"{_figure(value, unit)} against a limit of {_figure(limit, unit)}"
    if limit > 0:
        share = (value / limit * 100).quantize(Decimal("0.1"))
        yield f"{format_mm(value)} / {format_mm(limit)} = {share} %"


def explain_hook(
    reading: HookReading, new_mm: Decimal | None, rule: HookRule, rulebook: Rulebook
) -> list[str]:
    """What was measured on a hook, for people; with the limits of its rule, each with its own source."""
    lines = explain_finding(judge_hook(reading, new_mm, rule, rulebook))
    twist = rule.twist_source or rule.source
    wear = rule.wear_source or rule.source
    over = "from" if rule.twist_inclusive else "over"
    limits = [
        f"throat     {format_mm(rule.percent)} % over new: {cite(rule.source)} [{rule.source.certainty}]",
        f"twist      {over} {format_mm(rule.twist_deg)} degrees: {cite(twist)} [{twist.certainty}]",
    ]
    if rule.wear_percent is not None:
        lost = f"{format_mm(rule.wear_percent)} % of the section"
        limits.append(f"wear       {lost}: {cite(wear)} [{wear.certainty}]")
    return [*lines[:-2], "", "Limits of this rule:", *limits, *lines[-2:]]


def explain_due(due: Due) -> list[str]:
    """Why an inspection is due then: the anchor, the rule, what else would ask for it, and the source."""
    by = {DueBy.DATE: "by its date", DueBy.HOURS: "by running hours", DueBy.IDLE: "by time out of use"}
    return [
        f"{due.inspection} inspection: due on {due.due_on.isoformat()}",
        "That day itself is in time.",
        "",
        f"Counted    from {due.anchor.isoformat()}, {(due.due_on - due.anchor).days} days before",
        f"Rule       {due.rule}",
        f"Governs    {by[due.by]}; date, running hours or time out of use, whichever comes first",
        *(f"{'Also' if not place else '':<10} {text}" for place, text in enumerate(due.why)),
        "",
        *_source_lines(due.source, due.certainty),
    ]


def _use_line(use: Use) -> str:
    hours, km, factor = (format_mm(value) for value in (use.hours, use.km, use.factor))
    return f"{hours} h x {km} x {factor} = {format_mm(use.hours * use.km * use.factor)} h at full load"


def explain_life(life: ServiceLife) -> list[str]:
    """The used share of the design life: every logged period, the sum, what the group is designed for."""
    share = life.share
    percent = shown_percent(life)
    lines = [
        f"used: {share_words(life)}",
        "Hours run x load spectrum factor km x factor f by how they are known, added up.",
        "",
        *(f"{'Worked out' if not place else '':<10} {_use_line(use)}" for place, use in enumerate(life.uses)),
        f"Together   {format_mm(share.used_h)} h; {life.group.id} is designed for"
        f" {format_mm(share.design_h)} h at full load",
        f"Share      {format_mm(share.used_h)} / {format_mm(share.design_h)} = {percent} %",
        f"Remaining  {format_mm(share.remaining_h)} h at full load",
    ]
    if life.used_up_on is not None:
        lines.append(f"Used up    with the hours of {life.used_up_on.isoformat()}")
    if life.conditions is not None:
        held = life.conditions
        until = "" if held.until is None else f", until {held.until.isoformat()}"
        lines.append(f"Conditions {held.conditions} ({held.by_whom}{until})")
    return [
        *lines,
        "",
        "At a share of 100 % the hoist goes out of service until an expert's conditions are recorded.",
        *_source_lines(cite(life.group.source), life.group.source.certainty),
        "           the factor f: ISO 12482:2014, table 1 [published]; the stop: DGUV Vorschrift 54, 35a"
        " [published]",
    ]
