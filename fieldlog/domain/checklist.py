"""Which items apply to this hoist in this kind of inspection, and what is still open."""

from collections.abc import Iterable, Mapping

from msgspec import Struct

from fieldlog.domain.records import Answer, AnswerKind, Hoist, InspectionKind
from fieldlog.domain.rules import ChecklistItem, Rulebook

MOST_FALLS_WITHOUT_A_BLOCK = 1


class Progress(Struct, frozen=True, kw_only=True):
    """How many items of a section (or of all) are answered."""

    section: str
    answered: int
    total: int


def _has(hoist: Hoist, need: str) -> bool:
    if need == "more_falls":
        return hoist.falls > MOST_FALLS_WITHOUT_A_BLOCK
    return bool(getattr(hoist, need))


def items_for(hoist: Hoist, occasion: InspectionKind, rulebook: Rulebook) -> tuple[ChecklistItem, ...]:
    """The items that apply, in the order of the rulebook's sections."""
    return tuple(
        item
        for section in rulebook.sections
        for item in rulebook.items
        if item.section == section
        and occasion in item.kinds
        and hoist.drive in item.drives
        and all(_has(hoist, need) for need in item.needs)
    )


def open_items(items: Iterable[ChecklistItem], answers: Mapping[str, Answer]) -> tuple[ChecklistItem, ...]:
    """Items without an answer."""
    return tuple(item for item in items if item.id not in answers)


def not_seen(items: Iterable[ChecklistItem], answers: Mapping[str, Answer]) -> tuple[ChecklistItem, ...]:
    """Items answered 'not seen'; never a pass, listed on the report."""
    return tuple(
        item for item in items if item.id in answers and answers[item.id].answer is AnswerKind.NOT_SEEN
    )


def progress(items: Iterable[ChecklistItem], answers: Mapping[str, Answer]) -> tuple[Progress, ...]:
    """Answered and total by section, in the items' order."""
    counts: dict[str, list[int]] = {}
    for item in items:
        count = counts.setdefault(item.section, [0, 0])
        count[0] += item.id in answers
        count[1] += 1
    return tuple(Progress(section=name, answered=done, total=total) for name, (done, total) in counts.items())
