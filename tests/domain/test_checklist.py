"""Which items apply to a hoist, what is open, and how far the walk has come."""

import pytest

from fieldlog.domain.checklist import Progress, items_for, not_seen, open_items, progress
from fieldlog.domain.records import Answer, AnswerKind, Drive, InspectionKind
from tests.domain.build import hoist, item, rulebook

SECTIONS = {"chain": "load chain", "power": "electrics", "trolley": "trolley and beam"}
ITEMS = (
    item("trolley", section="trolley", needs=("trolley",)),
    item("pendant", section="power", drives=(Drive.ELECTRIC, Drive.AIR)),
    item("hand-chain", section="power", drives=(Drive.HAND,)),
    item("chain", section="chain"),
    item("twist", section="chain", needs=("more_falls",)),
    item("wheel", section="chain", kinds=(InspectionKind.PERIODIC,)),
    item("container", section="chain", needs=("container", "limit_switches")),
    item("lost", section="nowhere"),
)
RULES = rulebook(items=ITEMS, sections=SECTIONS)


def names(occasion: InspectionKind = InspectionKind.PERIODIC, **facts: object) -> list[str]:
    return [found.id for found in items_for(hoist(**facts), occasion, RULES)]


def test_items_come_in_the_order_of_the_sections() -> None:
    assert names(trolley=True, falls=2) == ["chain", "twist", "wheel", "pendant", "trolley"]


def test_only_what_the_hoist_has_is_asked() -> None:
    assert names() == ["chain", "wheel", "pendant"]
    assert names(container=True) == names()
    assert "container" in names(container=True, limit_switches=True)


@pytest.mark.parametrize(("falls", "asked"), [(1, False), (2, True), (4, True)])
def test_a_bottom_block_hangs_on_more_than_one_fall(falls: int, asked: bool) -> None:
    assert ("twist" in names(falls=falls)) is asked


@pytest.mark.parametrize(
    ("drive", "asked"), [(Drive.ELECTRIC, "pendant"), (Drive.AIR, "pendant"), (Drive.HAND, "hand-chain")]
)
def test_the_drive_decides(drive: Drive, asked: str) -> None:
    assert names(drive=drive)[-1] == asked


def test_the_kind_of_inspection_decides() -> None:
    assert names(InspectionKind.FREQUENT) == ["chain", "pendant"]


def answers(**given: AnswerKind) -> dict[str, Answer]:
    return {name: Answer(item=name, answer=answer) for name, answer in given.items()}


def test_open_items_are_those_without_any_answer() -> None:
    items = items_for(hoist(), InspectionKind.PERIODIC, RULES)
    given = answers(chain=AnswerKind.NOT_SEEN, wheel=AnswerKind.NOT_APPLICABLE)
    assert [found.id for found in open_items(items, given)] == ["pendant"]
    assert open_items(items, given | answers(pendant=AnswerKind.DEFECT)) == ()


def test_not_seen_is_told_apart_from_every_other_answer() -> None:
    items = items_for(hoist(), InspectionKind.PERIODIC, RULES)
    given = answers(chain=AnswerKind.NOT_SEEN, wheel=AnswerKind.OK, gone=AnswerKind.NOT_SEEN)
    assert [found.id for found in not_seen(items, given)] == ["chain"]


def test_progress_by_section_in_the_order_of_the_items() -> None:
    items = items_for(hoist(), InspectionKind.PERIODIC, RULES)
    assert progress(items, answers(chain=AnswerKind.OK, other=AnswerKind.OK)) == (
        Progress(section="chain", answered=1, total=2),
        Progress(section="power", answered=0, total=1),
    )
    assert progress((), {}) == ()
