"""Proves that a print queue gets the labels and keeps its offset, and that one which refuses is quoted."""

import sys
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import PrinterOffset
from fieldlog.operations.shop import Shop
from tests.cli.labelled import Run, hall_of_three, labelling, printed, refused
from tests.printing.specimens import codes, picture


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return hall_of_three(tmp_path / "store")


@pytest.fixture
def tags(shop: Shop) -> list[str]:
    return shop.logbooks.hoist_names()


@pytest.fixture
def run(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    return labelling(shop, tmp_path, capsys, monkeypatch)


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A stand-in for lp that keeps what it was sent; gives back where."""
    folder = tmp_path / "bin"
    folder.mkdir()
    lp, sent = folder / "lp", tmp_path / "sent.pdf"
    lp.write_text(
        f"#!{sys.executable} -IS\nimport sys\n"
        "if 'nobody' in sys.argv: sys.exit('lp: no such destination')\n"
        f"open({str(sent)!r}, 'wb').write(open(sys.argv[-1], 'rb').read())\n"
        "print('request id is bench-42 (1 file(s))')\n",
        encoding="utf-8",
    )
    lp.chmod(0o755)
    monkeypatch.setenv("PATH", str(folder))
    return sent


def test_a_queue_gets_the_labels_and_no_file_is_left(
    run: Run, shop: Shop, tags: list[str], tmp_path: Path, bench: Path
):
    answer = run("tag", tags[0], "--queue", "bench")
    assert answer.out.splitlines() == ["request id is bench-42 (1 file(s))", "1 label, 1 page(s)"]
    assert codes(picture(bench.read_bytes(), 203)) == [f"FL:{tags[0]}"]
    assert not (tmp_path / "tag.pdf").exists()
    assert len(printed(shop, tags[0])) == 1


def test_a_queue_and_a_file_get_the_same(run: Run, shop: Shop, tags: list[str], tmp_path: Path, bench: Path):
    assert run("tag", tags[0], "--queue", "bench", "--out", "tag.pdf").code == 0
    assert bench.read_bytes() == (tmp_path / "tag.pdf").read_bytes()
    assert len(printed(shop, tags[0])) == 1


def test_a_queue_that_refuses_is_quoted_and_what_lies_in_a_file_is_recorded(
    run: Run, shop: Shop, tags: list[str], tmp_path: Path, bench: Path
):
    assert refused(run("tag", tags[0], "--queue", "nobody"), 5, "no such destination", "Nothing is recorded")
    assert printed(shop, tags[0]) == []
    answer = run("tag", tags[0], "--queue", "nobody", "--out", "tag.pdf")
    assert answer.code == 5
    assert "They are recorded as printed." in answer.err
    assert len(printed(shop, tags[0])) == 1


def test_the_offset_of_a_queue_is_kept_and_used_until_another_is_given(
    run: Run, shop: Shop, tags: list[str], bench: Path
):
    kept = run("proof", "--template", "roll-62", "--queue", "bench", "--offset", "0.5,-1", "--keep-offset")
    assert kept.out.splitlines()[-1] == "bench: an offset of 0.5, -1 mm is kept"
    last = shop.logbooks.read("settings").entries[-1].body
    assert last == PrinterOffset(queue="bench", x_mm=Decimal("0.5"), y_mm=Decimal("-1"))
    assert "offset 0.5, -1 mm" in run("tag", tags[0], "--queue", "bench", "--preview").out
    assert "offset 0, 0 mm" in run("tag", tags[0], "--preview").out
    assert "offset 2, 0 mm" in run("tag", tags[0], "--queue", "bench", "--offset=2,0", "--preview").out
