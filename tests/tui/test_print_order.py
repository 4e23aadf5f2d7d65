"""Offsets as typed, files whole or not at all, and what is recorded when a queue refuses."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.label_content import CHAIN, LabelContent
from fieldlog.errors import InputError, NotSavedError, PrinterError
from fieldlog.operations.paper import content
from fieldlog.printing.templates import load_template
from fieldlog.tui import print_order
from fieldlog.tui.long_work import Job
from fieldlog.tui.print_order import Order, hand_over, offset_words, read_offset, write_file
from tests.tui.builder import ADA, TODAY, Clock, ready_shop, records, with_hoist

LENGTHS = st.decimals(min_value=-999, max_value=999, places=3)


def _order(**other: object) -> Order:
    order = Order(
        template=load_template("roll-62"),
        start=1,
        copies=1,
        queue="",
        offset=(Decimal(0), Decimal(0)),
        file="",
    )
    return replace(order, **other)  # type: ignore[arg-type]


@given(LENGTHS, LENGTHS)
def test_an_offset_in_words_reads_back_as_it_was(right: Decimal, down: Decimal) -> None:
    assert read_offset(offset_words((right, down))) == (right, down)


@pytest.mark.parametrize("text", ["-1.5,0.25", "-1.5, 0.25", "-1.5 0.25", "-1.5 , +0.25"])
def test_a_comma_or_a_blank_stands_between_right_and_down(text: str) -> None:
    assert read_offset(text) == (Decimal("-1.5"), Decimal("0.25"))


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "labels.pdf"
    write_file(target, b"first")
    write_file(target, b"second", replace=True)
    assert target.read_bytes() == b"second"
    folder = tmp_path / "folder"
    folder.mkdir()
    for odd in (folder, tmp_path / "nowhere" / "x.pdf"):
        with pytest.raises(NotSavedError, match="can not be written: "):
            write_file(odd, b"third")
    assert sorted(item.name for item in tmp_path.iterdir()) == ["folder", "labels.pdf"]


def test_what_lies_in_a_file_is_recorded_though_the_queue_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_pdf: object, queue: str, _title: str) -> str:
        raise PrinterError(f"The queue {queue} refused.")

    monkeypatch.setattr("fieldlog.printing.printers.send", refuse)
    recorded: list[str] = []
    order = _order(file=str(tmp_path / "a.pdf"), queue="bench")
    with pytest.raises(PrinterError, match="They are recorded as printed"):
        hand_over(order, b"pdf", "title", lambda: recorded.append("file"))
    with pytest.raises(PrinterError, match="Nothing is recorded as printed"):
        hand_over(replace(order, file=""), b"pdf", "title", lambda: recorded.append("queue"))
    assert recorded == ["file"]


def test_an_order_goes_somewhere_and_its_sheet_has_room_for_the_kind(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    values = {"template": "roll-62", "start": 1, "queue": None, "file": None}
    with pytest.raises(InputError, match="Name a file or a print queue"):
        print_order.order_of(shop, values, print_order.NO_OFFSET)
    roll = load_template("roll-62")
    with pytest.raises(InputError, match="roll-62 has no layout for chain plates"):
        print_order.check_kind(replace(roll, layouts={}), 1, CHAIN)
    with pytest.raises(InputError, match="a roll begins at 1"):
        print_order.check_kind(roll, 2, CHAIN)


def test_labels_tell_how_far_somebody_has_gone_and_a_stop_comes_out(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    labels = [content(shop, with_hoist(shop, serial=f"S{n}"), "tag", today=TODAY) for n in range(3)]
    told: list[tuple[int, int]] = []
    printed = print_order.draw(_order(), labels, title="t", author=ADA, tell=lambda *how: told.append(how))
    assert printed.pages == 3
    assert told[-1] == (3, 3)

    class StopError(Exception):
        pass

    def stop(done: int, _total: int) -> None:
        if done == 2:
            raise StopError

    with pytest.raises(StopError):
        print_order.draw(_order(), labels, title="t", author=ADA, tell=stop)


def test_each_label_is_recorded_for_its_hoist_and_one_that_can_not_be_is_named(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tags = [with_hoist(shop, serial=f"S{n}") for n in range(2)]
    labels: list[LabelContent] = [content(shop, tag, "tag", today=TODAY) for tag in tags]
    book = tmp_path / "logbooks" / f"{tags[0]}.jsonl"
    book.write_bytes(book.read_bytes().replace(b"4711", b"4712").replace(b"S0", b"S9") + b"no line\n")
    missed = print_order.record_all(Job(shop, "labels"), labels, _order(), by=ADA, clock=Clock())
    assert len(missed) == 1
    assert missed[0].startswith("Printed, but not recorded: ")
    assert tags[0] in missed[0]
    assert records(shop, tags[1])[-1].kind == "label printed"
