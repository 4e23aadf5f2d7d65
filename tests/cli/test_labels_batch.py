"""Batches of labels from the terminal: a day's work, the map of the sheet, progress, and whole files."""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.cli import main
from fieldlog.domain.records import LabelPrinted
from fieldlog.operations.shop import Shop
from fieldlog.operations.shop_settings import set_shop
from tests.cli.conftest import Answer
from tests.operations.builder import ADA, NOW, TODAY, inspect, ready_shop, register
from tests.printing.specimens import codes, picture, words

Run = Callable[..., Answer]
YESTERDAY = TODAY - timedelta(days=1)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """Three hoists: inspected yesterday, yesterday, today."""
    held = ready_shop(tmp_path / "store")
    for serial in "123":
        register(held, serial=serial, day=YESTERDAY)
    for tag, day in zip(held.logbooks.hoist_names(), (YESTERDAY, YESTERDAY, TODAY), strict=True):
        inspect(held, tag, day=day)
    return held


@pytest.fixture
def run(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: NOW)
    monkeypatch.chdir(tmp_path)

    def command(*arguments: str) -> Answer:
        told = ["--store", str(shop.root), "--as", ADA, *arguments]
        return Answer(main(told), *capsys.readouterr())

    return command


def stickers(shop: Shop, tag: str) -> int:
    return sum(isinstance(entry.body, LabelPrinted) for entry in shop.logbooks.read(tag).entries)


@pytest.mark.parametrize("day", ["yesterday", "Yesterday", YESTERDAY.isoformat()])
def test_all_due_stickers_of_yesterdays_work(run: Run, shop: Shop, tmp_path: Path, day: str):
    first, second, third = shop.logbooks.hoist_names()
    answer = run("label", "due", "--done-on", day)
    assert (answer.code, answer.out.splitlines()[0]) == (0, "due.pdf: 2 labels, 1 page(s)")
    pdf = (tmp_path / "due.pdf").read_bytes()
    assert sorted(codes(picture(pdf, 203))) == [f"FL:{first}", f"FL:{second}"]
    assert [stickers(shop, tag) for tag in (first, second, third)] == [1, 1, 0]


def test_today_is_a_day_as_well_and_any_other_word_is_not(run: Run):
    assert "1 label," in run("label", "due", "--done-on", "today").out
    answer = run("label", "due", "--done-on", "tomorrow")
    assert (answer.code, answer.out) == (2, "")
    assert "--done-on" in answer.err


def test_help_says_how_to_print_yesterdays_stickers(capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit):
        main(["label", "--help"])
    assert "fieldlog label due --done-on yesterday" in capsys.readouterr().out
    with pytest.raises(SystemExit):
        main(["label", "due", "--help"])
    told = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert "counts from an inspection of that day: a date as 2026-11-24, today or yesterday" in told
    assert "(six-years-due, four-years-done)" in told


def test_the_preview_draws_the_sheet_and_writes_nothing(run: Run, shop: Shop, tmp_path: Path):
    answer = run("label", "due", "--done-on", "yesterday", "--start", "5", "--copies", "2", "--preview")
    lines = answer.out.splitlines()
    assert lines[0] == "A4 sheet, 3 x 8 labels of 70 x 37 mm; offset 0, 0 mm; nothing is printed yet"
    assert lines[1:6] == ["page 1:", "   1  . . .", "   4  . # #", "   7  # # o", "  10  o o o"]
    assert f"page 1, position 5 (row 2, column 2): due {shop.logbooks.hoist_names()[0]}" in answer.out
    assert not list(tmp_path.glob("*.pdf"))
    assert [stickers(shop, tag) for tag in shop.logbooks.hoist_names()] == [0, 0, 0]


def test_work_on_many_is_told_step_by_step(run: Run, monkeypatch: pytest.MonkeyPatch):
    told: dict[str, list[tuple[int, int]]] = {}

    def working(what: str) -> AbstractContextManager[Callable[[int, int], None]]:
        return nullcontext(lambda done, many: told.setdefault(what, []).append((done, many)))

    monkeypatch.setattr("fieldlog.cli.labels.working", working)
    monkeypatch.setattr("fieldlog.cli.reports.working", working)
    run("label", "due", "--done-on", "yesterday")
    both = [(1, 2), (2, 2)]
    assert told == {
        "choosing hoists": [(1, 3), (2, 3), (3, 3)],
        "working out": both,
        "drawing": both,
        "looking for earlier prints": both,
        "recording": both,
    }
    assert run("report", "due", "--out", "due-list.pdf").code == 0
    assert told["drawing"][-1] == (2, 2), "the load of work and one site"


def test_where_drawing_breaks_off_the_file_before_stays(
    run: Run, shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "due.pdf").write_bytes(b"older")

    def stop(*_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("fieldlog.cli.labels.working", lambda _: nullcontext(stop))
    assert run("label", "due", shop.logbooks.hoist_names()[0]).code != 0
    assert (tmp_path / "due.pdf").read_bytes() == b"older"
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["due.pdf"]
    assert stickers(shop, shop.logbooks.hoist_names()[0]) == 0


def test_a_shop_of_inches_prints_pounds_beside_kilograms(run: Run, shop: Shop, tmp_path: Path):
    set_shop(shop, {"length_unit": "in", "mass_unit": "lb"}, by=ADA, now=NOW, today=TODAY)
    assert run("label", "tag", shop.logbooks.hoist_names()[0], "--template", "letter-3x10").code == 0
    assert "1102.3 lb (500 kg)" in words((tmp_path / "tag.pdf").read_bytes())
