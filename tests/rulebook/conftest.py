"""A copy of the shipped rule files that a test may spoil."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.errors import Problem, RulebookError
from fieldlog.rulebook.loader import DATA, load_from

Spoil = Callable[[str, str, str], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The data folder, copied."""
    return Path(shutil.copytree(DATA, tmp_path / "data"))


@pytest.fixture
def spoil(folder: Path) -> Spoil:
    """Put `new` in place of the first `old` in a file of the copy."""

    def change(file: str, old: str, new: str) -> None:
        path = folder / file
        text = path.read_text("utf-8")
        assert old in text, f"{old!r} is not in {file}"
        path.write_text(text.replace(old, new, 1), "utf-8")

    return change


@pytest.fixture
def faults(folder: Path) -> Callable[[], tuple[Problem, ...]]:
    """Load the copy's general rulebook, which must fail, and give the problems."""

    def load() -> tuple[Problem, ...]:
        with pytest.raises(RulebookError) as caught:
            load_from(folder, "general")
        return caught.value.problems

    return load
