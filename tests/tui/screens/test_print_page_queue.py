"""Printing a label to a queue: without a file, with the queue's own offset, and refusals told in place."""

from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.errors import PrinterError
from fieldlog.operations.label_log import offset_of
from tests.tui.builder import at_the_keys, in_terminal, records, shop_as
from tests.tui.one_hoist import one_inspected
from tests.tui.printed import in_its_own_folder  # noqa: F401 (the fixture)


@in_terminal
async def test_a_queue_gets_it_without_a_file_and_keeps_its_offset(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = shop_as(tmp_path, one_inspected)
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
    shop = shop_as(tmp_path, one_inspected)

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
        async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
            await hands.type("<enter>p")
            await hands.fill(offset=text)
            assert "two lengths in mm, right and down" in hands.beside("offset")

    run()
