"""A hall of three hoists, labels printed for it by command, and what is recorded of them."""

from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli import main
from fieldlog.domain.records import LabelPrinted
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.shop import Shop
from tests.cli.conftest import Answer, is_one_sentence
from tests.operations.builder import NOW, inspect, ready_shop, register

Run = Callable[..., Answer]


def hall_of_three(root: Path) -> Shop:
    """Three hoists of the intake hall: inspected today, out of service since today, never inspected."""
    held = ready_shop(root)
    for serial in "123":
        register(held, serial=serial)
    good, bad, _ = held.logbooks.hoist_names()
    inspect(held, good)
    inspect(held, bad, defects={"hook-latch": DefectDraft(what="latch bent")})
    return held


def labelling(
    shop: Shop, folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    """`fieldlog label ...` as Ada Fenn on that day as a function, run in this folder."""
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: NOW)
    monkeypatch.chdir(folder)

    def command(*arguments: str | Path) -> Answer:
        told = ["--store", str(shop.root), "--as", "Ada Fenn", "label", *map(str, arguments)]
        return Answer(main(told), *capsys.readouterr())

    return command


def printed(shop: Shop, hoist_id: str) -> list[LabelPrinted]:
    bodies = [entry.body for entry in shop.logbooks.read(hoist_id).entries]
    return [body for body in bodies if isinstance(body, LabelPrinted)]


def refused(answer: Answer, code: int, *said: str) -> bool:
    assert (answer.code, answer.out) == (code, ""), answer
    assert is_one_sentence(answer.err), answer.err
    return all(word in answer.err for word in said)
