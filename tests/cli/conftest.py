"""A small part of the invented works for commands to read, and commands run in this process."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from fieldlog.cli import main
from fieldlog.operations.shop import Shop
from tests.demo.written import MOMENT, machines, tags_of, write

STORIES = ("near-limit", "withdrawn", "left-open", "broken-guide")


class Answer(NamedTuple):
    """What a command left: exit code, standard output and standard error."""

    code: int
    out: str
    err: str


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return write(tmp_path_factory.mktemp("cli") / "store", fleet=machines(*STORIES))


@pytest.fixture(scope="session")
def tags(shop: Shop) -> dict[str, str]:
    return tags_of(shop, machines(*STORIES))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Answer]:
    """Run a command on the day on which the invented history ends."""
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: MOMENT)

    def command(*arguments: str | Path) -> Answer:
        code = main([str(argument) for argument in arguments])
        return Answer(code, *capsys.readouterr())

    return command


def is_one_sentence(text: str) -> bool:
    """Whether this is how fieldlog says what is wrong: one line, under its name, no traceback."""
    return text.startswith("fieldlog: ") and text.count("\n") == 1 and "Traceback" not in text
