"""Printing each kind of label to a file, what the form proposes, and refusals in place."""

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fieldlog.domain.records import DefectGrade, LabelPrinted
from fieldlog.operations.drafting import DefectDraft
from fieldlog.printing.templates import usual_template
from tests.tui.builder import (
    at_the_keys,
    finished_work,
    in_terminal,
    last_inspection,
    ready_shop,
    records,
    shop_as,
    with_hoist,
)
from tests.tui.one_hoist import one_inspected
from tests.tui.printed import in_its_own_folder  # noqa: F401 (the fixture)


def _words(path: Path | str) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


@in_terminal
async def test_the_tag_goes_to_the_named_file_and_is_recorded(tmp_path: Path) -> None:
    shop = shop_as(tmp_path / "store", one_inspected)
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
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>pd<f10>")
        assert "Written to SW-0001-0-due.pdf." in hands.message()
        words = _words("SW-0001-0-due.pdf")
        assert "2027" in words
        assert "11" in words
        await hands.type("pd<f10><f10>")
        assert "The same due sticker was printed on 2026-11-25: destroy the old one." in hands.message()
    assert [body.kind for body in records(shop, "SW-0001-0")[2:]] == ["label printed", "label printed"]


@in_terminal
async def test_every_sheet_and_roll_can_be_chosen_and_written(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, one_inspected)
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
    shop = shop_as(tmp_path, one_inspected)
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
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="banner", start="x", template="none")
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 3 fields need a look.")
        assert "the label is one of tag, due, withdrawn, chain, spare, proof, not 'banner'" in hands.beside(
            "kind"
        )
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
    shop = shop_as(tmp_path, one_inspected)
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
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="withdrawn")
        await hands.press("f10")
        assert hands.page == "PrintPage"
        assert "in service" in hands.message()


@in_terminal
async def test_the_proposed_file_follows_the_kind_until_somebody_names_one(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="chain")
        assert hands.field("file").value == "SW-0001-0-chain.pdf"
        await hands.fill(file="mine.pdf", kind="due")
        assert hands.field("file").value == "mine.pdf"
        await hands.fill(file="")
        await hands.press("f10")
        assert hands.message() == "Name a file or a print queue: it has to go somewhere."


@in_terminal
async def test_a_spare_chain_is_asked_for_its_particulars_and_recorded_with_its_hoist(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>ps<f10>")
        assert hands.page == "SparePage"
        assert hands.field("chain").value == "5x15", "of the hoist it is kept for"
        await hands.press("f10")
        assert hands.message().startswith("Not saved: 2 fields need a look.")
        await hands.fill(length="7", certificate="C-0418")
        await hands.press("f10")
        assert (hands.page, hands.message()) == ("HoistPage", "Written to SW-0001-0-spare.pdf.")
    words = _words("SW-0001-0-spare.pdf")
    assert "C-0418" in words
    assert "7 m" in words
    assert records(shop, "SW-0001-0")[-1].label == "spare"


@in_terminal
async def test_a_proof_page_is_written_and_nothing_is_recorded(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, one_inspected)
    before = len(records(shop, "SW-0001-0"))
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="proof", offset="1.5 -0.25")
        assert "Start and copies do not matter." in hands.flat()
        await hands.press("f10")
        assert hands.message() == "Written to SW-0001-0-proof.pdf."
    assert "1.5" in _words("SW-0001-0-proof.pdf")
    assert len(records(shop, "SW-0001-0")) == before


@in_terminal
async def test_the_year_colour_of_the_rulebook_stands_on_the_sticker_in_words(tmp_path: Path) -> None:
    """Due in 2027: yellow, after orange for 2025 and blue for 2026 (StVZO appendix IX, from memory)."""
    shop = shop_as(tmp_path, one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="due", template="roll-62x100", colour="six")
        await hands.press("f10")
        assert "Written to SW-0001-0-due.pdf." in hands.message()
    assert "2027 yellow" in _words("SW-0001-0-due.pdf")
