"""A hoist's report goes to a print queue, whose answer or refusal is told in its own words."""

import sys
from pathlib import Path

import pypdf
import pytest

from tests.tui.builder import at_the_keys, in_terminal, shop_as
from tests.tui.one_hoist import TAG, one_inspected
from tests.tui.printed import in_its_own_folder, looked, press_print, words_of  # noqa: F401 (the fixture)


def _stand_in(folder: Path, name: str, body: str) -> None:
    file = folder / name
    file.write_text(f"#!{sys.executable} -IS\nimport sys\n{body}\n", encoding="utf-8")
    file.chmod(0o755)


@pytest.fixture
def host(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A host with a print queue 'bench': what is handed to its lp stands in printed.pdf there."""
    folder = tmp_path_factory.mktemp("host")
    kept = f"open({str(folder / 'printed.pdf')!r}, 'wb').write(open(sys.argv[-1], 'rb').read())"
    title = f"open({str(folder / 'title')!r}, 'w').write(sys.argv[sys.argv.index('-t') + 1])"
    _stand_in(folder, "lpstat", "print('bench')")
    _stand_in(folder, "lp", f"{kept}\n{title}\nprint('request id is bench-42 (1 file(s))')")
    monkeypatch.setenv("PATH", str(folder))
    return folder


@in_terminal
async def test_a_queue_gets_it_and_answers_in_its_own_words(tmp_path: Path, host: Path) -> None:
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(queue="bench")
        assert hands.field("file").value == "", "the proposed file is not wanted"
        await hands.fill(kind="logbook")
        assert hands.field("file").value == ""
        await press_print(hands)
        pages = len(pypdf.PdfReader(host / "printed.pdf").pages)
        said = f"Sent to bench, {pages} page{'s' if pages > 1 else ''}: request id is bench-42 (1 file(s))"
        assert hands.message() == said
        await hands.fill(queue="")
        assert hands.field("file").value == f"logbook-{TAG}.pdf"
        await hands.fill(file="")
        await hands.press("f10")
        assert hands.message() == "Name a file or a print queue: it has to go somewhere."
    assert "Every line" in words_of(host / "printed.pdf")
    assert (host / "title").read_text() == f"Logbook {TAG}"
    assert list(Path().iterdir()) == [], "no file was left behind"


@in_terminal
async def test_a_queue_that_refuses_is_told_with_the_file_that_holds_the_report(
    tmp_path: Path, host: Path
) -> None:
    _stand_in(host, "lp", "sys.exit('lp: The printer is out of paper.')")
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(queue="bench", file="kept.pdf")
        await press_print(hands)
        told = "The queue bench refused: lp: The printer is out of paper. The report is in "
        assert hands.message() == f"{told}{Path('kept.pdf').resolve()}."
    assert "Inspection report" in words_of("kept.pdf")


@in_terminal
async def test_another_kind_asked_for_while_the_queue_waits_is_what_the_list_shows(
    tmp_path: Path, host: Path
) -> None:
    """The queue answers once the test lets it; keys go on meanwhile."""
    gate = host / "gate"
    _stand_in(
        host,
        "lp",
        f"import os, time\nwhile not os.path.exists({str(gate)!r}): time.sleep(0.01)\nprint('queued')",
    )
    async with at_the_keys(shop_as(tmp_path, one_inspected)) as hands:
        await hands.type("<enter>r")
        await hands.fill(queue="bench")
        await hands.press("f10")
        await hands.until(lambda: hands.screen.job is not None and hands.screen.job._kept)
        await hands.press("escape")
        assert hands.message() == "It is being recorded, which is not broken off half-way."
        await hands.fill(kind="logbook")
        gate.touch()
        await looked(hands)
        assert f"Prints Logbook, {TAG}" in hands.flat()
