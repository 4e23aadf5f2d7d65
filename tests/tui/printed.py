"""For tests of pages that end on paper: a folder to write into, and what the paper says."""

from pathlib import Path

import pypdf
import pytest

from tests.tui.hands import Hands


@pytest.fixture(autouse=True)
def in_its_own_folder(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file name without a folder goes to where fieldlog was started. No host's print queues are asked."""
    monkeypatch.chdir(tmp_path_factory.mktemp("started-here"))
    monkeypatch.setenv("PATH", str(tmp_path_factory.mktemp("no-commands")))


def words_of(path: Path | str) -> str:
    """All text of a PDF, blanks run together."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(path).pages).split())


async def looked(hands: Hands) -> None:
    """Until the list below the form is of what the form asks for."""
    await hands.until(lambda: hands.screen.found is not None and hands.screen.job is None)


async def press_print(hands: Hands) -> None:
    """F10, until what it began has ended."""
    await hands.press("f10")
    await hands.until(lambda: hands.screen.job is None)
