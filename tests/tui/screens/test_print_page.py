"""Printing tag and due sticker to a file; a sticker is refused with its reason in place."""

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fieldlog.domain.records import DefectGrade, LabelPrinted
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.shop import Shop
from fieldlog.printing.templates import usual_template
from tests.tui.builder import (
    at_the_keys,
    finished_work,
    in_terminal,
    inspected,
    last_inspection,
    ready_shop,
    records,
    shop_as,
    with_hoist,
)


def _one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


@pytest.fixture(autouse=True)
def _in_its_own_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file name without a folder goes to where fieldlog was started."""
    monkeypatch.chdir(tmp_path_factory.mktemp("started-here"))


def _words(path: Path | str) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


@in_terminal
async def test_the_tag_goes_to_the_named_file_and_is_recorded(tmp_path: Path) -> None:
    shop = shop_as(tmp_path / "store", _one_inspected)
    target = tmp_path / "my tag.pdf"
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        assert hands.field("file").value == "SW-0001-0-tag.pdf"
        await hands.fill(file=str(target))
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert hands.message() == f"Written to {target}."
    assert "SW-0001-0" in _words(target)
    printed = records(shop, "SW-0001-0")[-1]
    assert isinstance(printed, LabelPrinted)
    assert (printed.label, printed.says) == ("tag", "SW-0001-0")


@in_terminal
async def test_a_due_sticker_shows_month_and_year_and_a_second_one_says_destroy_the_old(
    tmp_path: Path,
) -> None:
    """Periodic inspection every 12 months from 2026-11-25: due 2027-11."""
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>pd<f10>")
        assert "Written to SW-0001-0-due.pdf." in hands.message()
        words = _words("SW-0001-0-due.pdf")
        assert "2027" in words
        assert "11" in words
        await hands.type("pd<f10>")
        assert "The same due was printed on 2026-11-25: destroy the old one." in hands.message()
    assert [body.kind for body in records(shop, "SW-0001-0")[2:]] == ["label printed", "label printed"]


@in_terminal
async def test_every_sheet_and_roll_can_be_chosen_and_written(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        for sheet in ("a4-3x8-70x37", "letter-3x10", "roll-62"):
            await hands.press("p")
            await hands.fill(template=sheet, file=f"{sheet}.pdf")
            await hands.press("f10")
            assert f"Written to {sheet}.pdf." in hands.message(), sheet
            assert "SW-0001-0" in _words(f"{sheet}.pdf")


@in_terminal
async def test_before_the_first_inspection_a_sticker_is_refused_and_nothing_is_written(
    tmp_path: Path,
) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>pd<f10>")
        assert hands.page == "PrintPage"
        assert hands.message().startswith("no due sticker for SW-0001-0: no inspection is sealed yet")
        assert "no inspection is sealed yet" in hands.text()
    assert len(records(shop, "SW-0001-0")) == 1


@pytest.mark.parametrize("cause", ["defect", "discard"])
def test_a_stopping_defect_or_a_discard_refuses_the_sticker_by_name_but_not_the_tag(
    cause: str, tmp_path: Path
) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    readings = ("165.6", "167.6", "165.7") if cause == "discard" else ("165.6", "165.7", "165.8")
    work = finished_work(shop, "SW-0001-0", readings=readings)
    if cause == "defect":
        item = next(item for item in work.assessment().items if item.id == "lower-guide")
        work.defect(item, DefectDraft(what="cracked", grade=DefectGrade.STOPS_NOW))
    work.seal()
    reason = last_inspection(shop, "SW-0001-0").defects[0].what

    @in_terminal
    async def ask() -> None:
        async with at_the_keys(shop) as hands:
            await hands.type("<enter>pd<f10>")
            assert hands.message().startswith("no due sticker for SW-0001-0: ")
            assert reason in hands.message()
            await hands.fill(kind="tag")
            await hands.press("f10")
            assert hands.message() == "Written to SW-0001-0-tag.pdf."

    ask()


@in_terminal
async def test_faults_in_the_form_are_told_at_their_fields_and_nothing_is_printed(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="banner", start="x", template="none")
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 3 fields need a look.")
        assert "the label is one of tag, due, withdrawn, chain, not 'banner'" in hands.beside("kind")
        await hands.fill(kind="tag", start="25", template="a4-3x8-70x37")
        await hands.press("f10")
        assert hands.page == "PrintPage"
        assert "24" in hands.message()
        await hands.fill(start="24", file="/nowhere/at/all.pdf")
        await hands.press("f10")
        assert "/nowhere/at/all.pdf can not be written" in hands.flat()
    assert len(records(shop, "SW-0001-0")) == 2


@in_terminal
async def test_another_kind_of_label_proposes_its_usual_sheet(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        before = hands.field("template").value
        await hands.fill(kind="withdrawn")
        assert hands.field("template").value == usual_template("withdrawn")
        await hands.fill(kind="tag")
        assert hands.field("template").value == before
        await hands.fill(template="roll-62", kind="chain")
        await hands.fill(template="letter-2x5", kind="due")
        assert hands.field("template").value == "letter-2x5"


@in_terminal
async def test_a_hoist_in_service_gets_no_out_of_service_tag(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="withdrawn")
        await hands.press("f10")
        assert hands.page == "PrintPage"
        assert "in service" in hands.message()
