"""The reports that commands write, as other programs read them."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from fieldlog.cli import main
from fieldlog.operations.shop import Shop
from tests.operations.builder import NOW
from tests.printing.report_pages import text_of


class Answer(NamedTuple):
    """What a command left: exit code, standard output and standard error."""

    code: int
    out: str
    err: str


Report = Callable[..., Answer]


def reporting(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, folder: Path) -> Report:
    """`fieldlog report` as a function, run in this folder on a fixed day."""
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: NOW)
    monkeypatch.chdir(folder)

    def command(shop: Shop, *arguments: str | Path) -> Answer:
        code = main(["--store", str(shop.root), "report", *map(str, arguments)])
        return Answer(code, *capsys.readouterr())

    return command


def printed(report: Report, shop: Shop, *arguments: str | Path) -> str:
    """The text of the report that a command writes."""
    answer = report(shop, *arguments, "--out", "report.pdf", "--replace")
    assert answer.code == 0, answer.err
    return text_of(Path("report.pdf").read_bytes())
