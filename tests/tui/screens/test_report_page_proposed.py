"""Which report of a hoist its page proposes, and which it refuses because there is nothing to say."""

from pathlib import Path

from fieldlog.operations.noticing import note_notice
from fieldlog.operations.servicing import mend
from fieldlog.operations.shop import Shop, open_hoist
from fieldlog.tui.screens.report_page import proposed_kind
from tests.tui.builder import (
    ADA,
    MORNING,
    TODAY,
    at_the_keys,
    in_terminal,
    ready_shop,
    records,
    shop_as,
    with_hoist,
)
from tests.tui.one_hoist import TAG, one_inspected, with_open_defect
from tests.tui.printed import in_its_own_folder, looked, press_print  # noqa: F401 (the fixture)

NO_DEFECT = f"{TAG} has no open defect: there is nothing to give notice of"


def _told_of_it(shop: Shop) -> None:
    with_open_defect(shop)
    texts = {"whom": "shift leader", "how": "by word"}
    note_notice(shop, TAG, texts, by=ADA, now=MORNING, today=TODAY)


def test_a_notice_is_proposed_while_a_defect_is_open_and_was_just_told(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _told_of_it)
    assert proposed_kind(open_hoist(shop, TAG)) == "notice"
    mending = {"done_on": TODAY.isoformat(), "defects": "D1", "work": "guide renewed", "checked_by": ADA}
    mend(shop, TAG, {**mending, "load_path": "no"}, by=ADA, now=MORNING, today=TODAY)
    assert proposed_kind(open_hoist(shop, TAG)) == "inspection"


def test_an_open_defect_of_which_nobody_was_told_yet_proposes_the_inspection(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, with_open_defect)
    assert proposed_kind(open_hoist(shop, TAG)) == "inspection"


@in_terminal
async def test_labels_and_a_signature_after_the_telling_do_not_change_the_proposal(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, _told_of_it)) as hands:
        await hands.type("<enter>p<f10><enter>")
        await hands.until(lambda: hands.page == "HoistPage")
        assert [body.kind for body in records(hands.app.shop, TAG)][-1] == "label printed"
        await hands.type("r")
        assert hands.field("kind").value == "notice"


@in_terminal
async def test_before_any_inspection_the_logbook_is_proposed_and_an_inspection_refused(
    tmp_path: Path,
) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>r")
        assert hands.field("kind").value == "logbook"
        await hands.fill(kind="inspection")
        await looked(hands)
        refused = f"no inspection of {TAG} is sealed yet: there is nothing to report"
        assert f"X none {refused}" in hands.flat()
        await press_print(hands)
        assert hands.message() == refused
    assert list(Path().iterdir()) == []


@in_terminal
async def test_without_an_open_defect_a_notice_is_refused_in_the_operations_words(tmp_path: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(kind="notice")
        await looked(hands)
        assert f"X none {NO_DEFECT}" in hands.flat()
        await press_print(hands)
        assert hands.message() == NO_DEFECT
        await hands.go_to_field("file")
        await hands.press("down", "enter")
        assert hands.message() == NO_DEFECT, "Enter on the row says it whole"
    assert list(Path().iterdir()) == []
