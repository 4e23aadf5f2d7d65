"""Printing each kind of label to a file or a queue; where it goes on the sheet; refusals in place."""

import re
from decimal import Decimal
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest

from fieldlog.domain.records import DefectGrade, LabelPrinted
from fieldlog.errors import PrinterError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.label_log import offset_of
from fieldlog.operations.shop import Shop
from fieldlog.printing.templates import usual_template
from fieldlog.tui.widgets.picture import Picture
from tests.tui.builder import (
    NARROW,
    WIDE,
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
from tests.tui.hands import Hands

SIZES = pytest.mark.parametrize("size", [NARROW, WIDE])


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
        await hands.type("pd<f10><f10>")
        assert "The same due sticker was printed on 2026-11-25: destroy the old one." in hands.message()
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


def _sheet(hands: Hands) -> list[str]:
    """The rows of the map, blanks taken out."""
    lines = hands.app.screen.query_one("#sheet", Picture).lines
    return [re.sub(r"^ +[0-9]+ +", "", line).split("   ")[0].replace(" ", "") for line in lines]


@SIZES
def test_the_map_follows_each_key_used_printed_free(size: tuple[int, int], tmp_path: Path) -> None:
    """3 across and 8 down: five used, four copies from place 6, fifteen stay free."""
    shop = shop_as(tmp_path, _one_inspected)

    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop, size=size) as hands:
            await hands.type("<enter>p")
            assert _sheet(hands) == ["#oo", *["ooo"] * 7]
            await hands.fill(start="6")
            assert _sheet(hands) == ["...", "..#", *["ooo"] * 6]
            await hands.fill(copies="4")
            assert _sheet(hands) == ["...", "..#", "###", *["ooo"] * 5]
            assert ". used before" in hands.flat()
            assert "asset tag: SW-0001-0" in hands.flat()
            await hands.fill(start="25")
            assert "Position 25 is not on a4-3x8-70x37: its positions are 1 to 24." in hands.flat()
            await hands.fill(start="24", template="roll-62")
            assert "a roll begins at 1" in hands.flat()

    run()


@in_terminal
async def test_labels_that_go_on_to_a_second_sheet_show_both(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(start="23", copies="3")
        text = hands.text()
        assert "page 1:" in text
        assert "page 2:" in text
        assert text.count("#") == 4, "two on the first sheet, one on the second, one in the legend"


@in_terminal
async def test_a_refusal_stands_beside_the_map_before_anything_is_sent(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>pd")
        assert "X no due sticker for SW-0001-0: no inspection is sealed yet" in hands.flat()
        await hands.fill(kind="tag")
        assert "X no due sticker" not in hands.flat()
        await hands.fill(kind="withdrawn", template="letter-3x10")
        assert "letter-3x10 has no layout for out-of-service tags, only for" in hands.flat()


@in_terminal
async def test_the_proposed_file_follows_the_kind_until_somebody_names_one(tmp_path: Path) -> None:
    shop = shop_as(tmp_path, _one_inspected)
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
    shop = shop_as(tmp_path, _one_inspected)
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
    shop = shop_as(tmp_path, _one_inspected)
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
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(kind="due", template="roll-62x100", colour="six")
        await hands.press("f10")
        assert "Written to SW-0001-0-due.pdf." in hands.message()
    assert "2027 yellow" in _words("SW-0001-0-due.pdf")


@in_terminal
async def test_a_queue_gets_it_without_a_file_and_keeps_its_offset(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = shop_as(tmp_path, _one_inspected)
    sent: list[tuple[object, str]] = []

    def send(pdf: object, queue: str, title: str) -> str:
        sent.append((pdf, queue))
        return f"request id is {queue}-1 ({title})"

    monkeypatch.setattr("fieldlog.printing.printers.queues", lambda: ["bench", "roll"])
    monkeypatch.setattr("fieldlog.printing.printers.send", send)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(queue="bench", offset="-1.5,0.25")
        assert hands.field("file").value == "", "the proposed file is not wanted"
        await hands.press("f10")
        await hands.until(lambda: hands.page == "HoistPage")
        assert "request id is bench-1 (tag SW-0001-0)" in hands.message()
        assert "The offset -1.5,0.25 is kept for bench." in hands.message()
        await hands.type("p")
        await hands.fill(queue="roll")
        assert hands.field("offset").value == "0,0"
        await hands.fill(queue="bench")
        assert hands.field("offset").value == "-1.5,0.25"
    assert [queue for _, queue in sent] == ["bench"]
    assert isinstance(sent[0][0], bytes), "no file was left behind"
    assert offset_of(shop, "bench") == (Decimal("-1.5"), Decimal("0.25"))
    assert records(shop, "SW-0001-0")[-1].label == "tag"


@in_terminal
async def test_a_queue_that_refuses_is_told_in_place_and_nothing_is_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = shop_as(tmp_path, _one_inspected)

    def refuse(_pdf: object, queue: str, _title: str) -> str:
        raise PrinterError(f"The queue {queue} refused: out of labels.")

    monkeypatch.setattr("fieldlog.printing.printers.queues", lambda: ["bench"])
    monkeypatch.setattr("fieldlog.printing.printers.send", refuse)
    async with at_the_keys(shop) as hands:
        await hands.type("<enter>p")
        await hands.fill(queue="bench")
        await hands.press("f10")
        await hands.until(lambda: hands.screen.job is None)
        assert hands.page == "PrintPage"
        told = "The queue bench refused: out of labels. Nothing is recorded as printed."
        assert hands.message() == told
    assert len(records(shop, "SW-0001-0")) == 2


@pytest.mark.parametrize("text", ["1", "1,2,3", "a,b", "1e3,0", "1000,0"])
def test_an_offset_that_is_not_two_lengths_is_refused_beside_its_field(text: str, tmp_path: Path) -> None:
    @in_terminal
    async def run() -> None:
        async with at_the_keys(shop_as(tmp_path, _one_inspected)) as hands:
            await hands.type("<enter>p")
            await hands.fill(offset=text)
            assert "two lengths in mm, right and down" in hands.beside("offset")

    run()
