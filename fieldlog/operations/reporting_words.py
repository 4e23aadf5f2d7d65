"""Words that all reports share: marks, facts about a hoist, where a record is sealed, standing cautions."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import ChainFitted, Drive, Entry, Hoist, ShopSettings
from fieldlog.domain.report_content import NOT_RECORDED, Block, Fact, Facts, Statement, Text, Words
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.due import is_only_overdue
from fieldlog.operations.label_log import HEAD_DIGITS
from fieldlog.operations.paper_units import (
    METRIC,
    THE_RECORD_GOVERNS,
    PaperUnits,
    shop_chain,
    shop_long_length,
    shop_mass,
)
from fieldlog.operations.shop import OpenHoist, current_size
from fieldlog.units import format_mm

# The same marks as on screen, so that who knows one reads the other.
VERDICT_WORDS = {
    Verdict.KEEP: "+ keep",
    Verdict.WATCH: "! watch",
    Verdict.UNDECIDED: "? undecided",
    Verdict.DISCARD: "X discard",
}
FITNESS_WORDS = {
    Fitness.IN_SERVICE: "+ IN SERVICE",
    Fitness.LIMITED: "! LIMITED",
    Fitness.OUT_OF_SERVICE: "X OUT OF SERVICE",
}
OVERDUE = "! OVERDUE"
STRONG_VERDICTS = (Verdict.UNDECIDED, Verdict.DISCARD)

A_PERSON_DECIDES = (
    "A verdict helps a competent person and does not replace one. fieldlog keeps the record and does not"
    " certify: what is stated here is stated by the person who signs."
)
BOOK_GOVERNS = "The hoist maker's book and local codes govern."
AS_SEALED = "Sentences that were sealed with a verdict stand as they were sealed."
UNSIGNED = "unsigned: sealed under this name, without a signature key"


def said(text: str) -> Words:
    """A text as it stands; the word of a choice is taken as plain text."""
    return Words(text=str(text))


def strong(text: str) -> Words:
    """A text that must not be passed over."""
    return Words(text=str(text), strong=True)


def recorded(text: str) -> Words:
    """The text, or the mark that the records do not hold it."""
    return Words(text=text) if text else Words(text=NOT_RECORDED, missing=True)


def fact(label: str, text: str) -> Fact:
    """A particular that the records hold."""
    return Fact(label=label, words=said(text))


def present(facts: Iterable[Fact | None]) -> tuple[Fact, ...]:
    """Those facts that are there to be told."""
    return tuple(held for held in facts if held is not None and held.words.text)


def small(text: str) -> Text:
    """A caution, or how to read what stands above."""
    return Text(words=said(text), small=True)


def verdict_words(verdict: Verdict) -> Words:
    """A verdict in mark and word."""
    return Words(text=VERDICT_WORDS[verdict], strong=verdict in STRONG_VERDICTS)


def state_words(fitness: Fitness, *, overdue: bool) -> Words:
    """May it be used, in mark and word: what stands against it first, then that an inspection is overdue."""
    text = OVERDUE if is_only_overdue(fitness, overdue=overdue) else FITNESS_WORDS[fitness]
    return Words(text=text, strong=overdue or fitness is not Fitness.IN_SERVICE)


def bare_percent(share: Decimal | None) -> str:
    """A percentage to one decimal without its sign, which stands in the heading."""
    return "" if share is None else format_mm(share.quantize(Decimal("0.1")))


def percent(share: Decimal | None) -> str:
    """A percentage to one decimal, or an empty text."""
    return "" if share is None else f"{bare_percent(share)} %"


def moment(at: datetime) -> str:
    """A moment to the minute, with its offset from UTC."""
    return at.isoformat(sep=" ", timespec="minutes")


def short(line: str) -> str:
    """The hash of a line as it stands on paper that leaves the shop."""
    return line[:HEAD_DIGITS]


def reference_of(opened: OpenHoist, shop: ShopSettings, entry: Entry) -> str:
    """What names the records at the foot of every page."""
    return f"{shop.shop}  |  logbook {opened.hoist.id}, line {entry.number}, {short(entry.line)}"


def falls_words(hoist: Hoist, units: PaperUnits = METRIC) -> str:
    """The rated capacity with the falls that it holds for."""
    return f"{shop_mass(hoist.capacity_kg, units)} with {counted(hoist.falls, 'fall')} of chain"


def fitted_entry(opened: OpenHoist) -> Entry | None:
    """The line in which the chain that hangs there was fitted, or None where it came with the hoist."""
    held = [entry for entry in opened.history.entries if entry.line not in opened.history.struck]
    sets = [
        (entry.body.done_on, entry.number, entry) for entry in held if isinstance(entry.body, ChainFitted)
    ]
    return max(sets)[-1] if sets else None


def fitted_set(opened: OpenHoist) -> ChainFitted | None:
    """The record of the chain that hangs there, or None where it came with the hoist."""
    entry = fitted_entry(opened)
    return entry.body if entry is not None and isinstance(entry.body, ChainFitted) else None


def chain_line(opened: OpenHoist, units: PaperUnits = METRIC) -> str:
    """Size and grade of the chain, since when it hangs and its certificate."""
    fitted, words = fitted_set(opened), shop_chain(current_size(opened), units)
    if fitted is None:
        return words
    certificate = f", certificate {fitted.certificate}" if fitted.certificate else ""
    return f"{words}; fitted {fitted.done_on.isoformat()}{certificate}"


def hoist_facts(opened: OpenHoist, units: PaperUnits = METRIC) -> tuple[Fact | None, ...]:
    """What identifies a hoist, with empty texts where the records hold nothing."""
    hoist = opened.hoist
    return (
        Fact(label="Tag", words=strong(hoist.id)),
        fact("Maker", hoist.maker),
        fact("Type", hoist.model),
        fact("Serial number", hoist.serial),
        fact("Year made", "" if hoist.year is None else str(hoist.year)),
        fact("Drive", hoist.drive),
        Fact(label="Capacity (SWL)", words=strong(falls_words(hoist, units))),
        fact("Lift", shop_long_length(hoist.lift_mm, units)),
        fact("Load chain", chain_line(opened, units)),
        fact("Group of mechanism", hoist.group),
        fact("Service class", hoist.service),
        fact("Hangs at", f"{hoist.site}, {hoist.place}" if hoist.place else hoist.site),
    )


def hoist_blocks(opened: OpenHoist, units: PaperUnits = METRIC) -> tuple[Block, ...]:
    """What identifies a hoist, how to read what is converted, and what is wrong with its record."""
    facts = Facts(rows=present(hoist_facts(opened, units)), two_columns=True)
    return (facts, *converted_note(units), *_record_faults(opened))


def _record_faults(opened: OpenHoist) -> tuple[Block, ...]:
    told = tuple(filter(None, [opened.problem, *map(str, opened.history.problems)]))
    return (Statement(headline="X THE LOGBOOK HAS FAULTS", lines=told, grave=True),) if told else ()


def converted_note(units: PaperUnits) -> tuple[Block, ...]:
    """How converted values are to be read; nothing where none is."""
    return () if units == METRIC else (small(f"{THE_RECORD_GOVERNS} {AS_SEALED}"),)


def is_powered(hoist: Hoist) -> bool:
    """Whether a motor moves it."""
    return hoist.drive is not Drive.HAND
