"""Verdicts on typed figures without a hoist: chain, wire diameter, hook; by the functions of the app."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from fieldlog.domain.chain import ChainVerdict, Unused, judge_reading
from fieldlog.domain.criteria import SEVERITY
from fieldlog.domain.hook import judge_hook, opening_percent
from fieldlog.domain.plausibility import question_all, question_reading, question_reference
from fieldlog.domain.records import (
    Basis,
    BookValue,
    ChainReading,
    ChainSize,
    DiameterReading,
    Drive,
    HookReading,
)
from fieldlog.domain.rules import HookRule, InstrumentType, Rulebook
from fieldlog.domain.wire import judge_diameter, mean_diameter
from fieldlog.errors import InputError
from fieldlog.rulebook.loader import load_rulebook, rulebook_names
from fieldlog.units import parse_length

POWERED = "powered"
DRIVES = (POWERED, Drive.HAND.value)
TOUCH = {"touch": True, "gap": False}


def exact(value: Decimal | None) -> str | None:
    """A number for scripts: all its digits, no exponent, no trailing zeros."""
    if value is None:
        return None
    text = f"{value:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def drive_of(word: str) -> Drive:
    """'powered' stands for electric and air, which share their rules."""
    return Drive.HAND if word == Drive.HAND.value else Drive.ELECTRIC


def instrument_of(name: str, rulebook: Rulebook) -> InstrumentType | None:
    """The error table of a kind of instrument; None where none is named."""
    if not name:
        return None
    for known in rulebook.instruments:
        if known.id == name:
            return known
    raise InputError(f"no instrument {name!r}: {', '.join(known.id for known in rulebook.instruments)}")


def book_of(links: int, basis: Basis, length: str, discard: str) -> BookValue | None:
    """The maker's figures as typed; None where neither is given."""
    if not length and not discard:
        return None
    new = parse_length(length, "mm", "the book length").value if length else None
    worn = parse_length(discard, "mm", "the book discard length").value if discard else None
    if new is not None and worn is not None and worn <= new:
        raise InputError("the book discard length is not longer than the book length: check the page")
    return BookValue(links=links, basis=basis, length_mm=new, discard_mm=worn, document="as typed")


def _reading(text: str, links: int, basis: Basis) -> ChainReading:
    if basis is Basis.GAUGE:
        word = text.strip().lower()
        if word not in TOUCH:
            raise InputError(f"with a go/no-go gauge a reading is 'touch' or 'gap', not {text[:20]!r}")
        return ChainReading(place=text, links=links, basis=basis, both_ends_touch=TOUCH[word])
    value = parse_length(text, "mm", "the reading").value
    if value <= 0:
        raise InputError("a reading is greater than 0")
    return ChainReading(place=text, links=links, basis=basis, value_mm=value)


def _book_reference(book: BookValue | None) -> Unused | None:
    """The book's length as new, to be questioned as any reference is."""
    if book is None or book.length_mm is None:
        return None
    return Unused(links=book.links, basis=book.basis, length_mm=book.length_mm)


def _judged_row(judged: ChainVerdict, size: ChainSize) -> dict[str, Any]:
    reading = judged.reading
    questions: tuple[str, ...] = ()
    if reading.value_mm is not None:
        questions = question_reading(reading.value_mm, judged.reference, size)
    return {
        "reading_mm": exact(reading.value_mm),
        "growth_mm": exact(judged.growth_mm),
        "elongation_pct": exact(judged.elongation_pct),
        "used_pct": exact(judged.used_pct),
        "guard_mm": exact(judged.guard_mm),
        "verdict": judged.finding.verdict.value,
        "questions": list(questions),
    }


def chain(
    *,
    size: ChainSize,
    links: int,
    basis: Basis,
    drive: str,
    rulebook: str,
    book_length: str,
    book_discard: str,
    unused: str,
    tool: str,
    readings: Sequence[str],
) -> dict[str, Any]:
    """The verdict on gauge lengths over `links` links: the worst reading, and each below `readings`."""
    rules, measured = load_rulebook(rulebook), _unused(unused, links, basis)
    taken = [_reading(text, links, basis) for text in readings]
    book = book_of(links, basis, book_length, book_discard)
    judged = [
        judge_reading(
            reading,
            size,
            rules,
            drive_of(drive),
            book=book,
            unused=measured,
            instrument=instrument_of(tool, rules),
        )
        for reading in taken
    ]
    worst = max(judged, key=lambda one: (SEVERITY[one.finding.verdict], one.growth_mm or Decimal(0)))
    rows = [_judged_row(one, size) for one in judged]
    asked = [question for row in rows for question in row["questions"]]
    return _worst_row(worst, size) | {
        "questions": asked + _questions(taken, size, (measured, _book_reference(book)), rules),
        "rule": worst.allowance.rule,
        "source": worst.allowance.source,
        "certainty": worst.allowance.certainty.value,
        "readings": rows,
    }


def _unused(text: str, links: int, basis: Basis) -> Unused | None:
    """A length over unused links as typed; None where none is given."""
    if not text:
        return None
    return Unused(links=links, basis=basis, length_mm=parse_length(text, "mm", "the unused length").value)


def _worst_row(worst: ChainVerdict, size: ChainSize) -> dict[str, Any]:
    """Reference and limit, and how far the worst reading has gone."""
    row = _judged_row(worst, size)
    figures = ("growth_mm", "elongation_pct", "used_pct", "guard_mm", "verdict")
    return {
        "reference_mm": exact(worst.reference.length_mm),
        "reference_from": worst.reference.origin,
        "limit_mm": exact(worst.limit_mm),
        "allowed_growth_mm": exact(worst.allowance.growth_mm),
    } | {figure: row[figure] for figure in figures}


def _questions(
    taken: Sequence[ChainReading], size: ChainSize, references: Sequence[Unused | None], rules: Rulebook
) -> list[str]:
    """What is not plausible about the readings together, and about what they are compared with."""
    asked = list(question_all([one.value_mm for one in taken if one.value_mm is not None]))
    over = rules.reference_over_share
    for known in references:
        if known is not None:
            asked += question_reference(known.length_mm, size, known.links, known.basis, most_over=over)
    return asked


def diameter(*, nominal: Decimal, d1: Decimal, d2: Decimal, rulebook: str) -> dict[str, Any]:
    """The verdict on two diameters at right angles; all in mm."""
    rules = load_rulebook(rulebook)
    reading = DiameterReading(place="this place", d1_mm=d1, d2_mm=d2)
    found = judge_diameter(reading, ChainSize(dn_mm=nominal, pn_mm=3 * nominal), rules.diameter, rules)
    return {
        "mean_mm": exact(mean_diameter(d1, d2)),
        "limit_mm": exact(found.limit),
        "verdict": found.verdict.value,
        "why": found.why,
        "rule": found.criterion,
        "source": found.source,
        "certainty": found.certainty.value,
    }


def hook_rule(name: str) -> tuple[HookRule, Rulebook]:
    """A hook rule by its own name, or the one that governs in a rulebook."""
    if name in rulebook_names():
        rules = load_rulebook(name)
        return rules.hook, rules
    rules = load_rulebook(rulebook_names()[0])
    for rule in rules.hook_rules:
        if rule.id == name:
            return rule, rules
    known = dict.fromkeys([*rulebook_names(), *(rule.id for rule in rules.hook_rules)])
    raise InputError(f"no hook rule {name!r}: {', '.join(known)}")


def hook(*, new: Decimal, now: Decimal, rulebook: str, twist_deg: Decimal, crack: bool) -> dict[str, Any]:
    """The verdict on a hook's throat [mm], twist [deg] and cracks."""
    rule, rules = hook_rule(rulebook)
    found = judge_hook(HookReading(throat_mm=now, twist_deg=twist_deg, crack=crack), new, rule, rules)
    return {
        "limit_mm": exact(found.limit),
        "opening_pct": exact(opening_percent(new, now)),
        "verdict": found.verdict.value,
        "why": found.why,
        "rule": found.criterion,
        "source": found.source,
        "certainty": found.certainty.value,
    }
