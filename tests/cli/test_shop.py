"""The shop's settings from the terminal: shown, changed, and what is refused."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli import main
from fieldlog.operations.shop import Shop, need_settings
from tests.cli.conftest import Answer, is_one_sentence
from tests.operations.builder import NOW, ready_shop

Run = Callable[..., Answer]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path / "store")


@pytest.fixture
def run(shop: Shop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: NOW)

    def command(*arguments: str) -> Answer:
        told = ["--store", str(shop.root), "--as", "Ada Fenn", "shop", *arguments]
        return Answer(main(told), *capsys.readouterr())

    return command


def test_it_is_shown_for_people_and_for_scripts(run: Run):
    assert run("show").out.splitlines() == [
        "shop: Saltmarsh Hoist Service",
        "address: not recorded",
        "tag prefix: SW",
        "rulebook: general",
        "stricter rule governs: no",
        "units on paper: mm, kg",
    ]
    told = json.loads(run("show", "--json").out)
    assert (told["shop"], told["length_unit"], told["mass_unit"]) == ("Saltmarsh Hoist Service", "mm", "kg")


def test_what_is_named_is_changed_and_the_rest_stays(run: Run, shop: Shop):
    answer = run("set", "--length-unit", "in", "--mass-unit", "lbs", "--json")
    assert (answer.code, json.loads(answer.out)["length_unit"]) == (0, "in")
    assert "units on paper: in, lb" in run("set", "--address", "7 Sluice Lane").out
    assert "stricter rule governs: yes" in run("set", "--stricter-rule", "yes", "--rulebook", "uk").out
    held = need_settings(shop)
    assert held.rulebook == "uk"
    assert (held.address, held.length_unit, held.mass_unit, held.prefix) == (
        "7 Sluice Lane",
        "in",
        "lb",
        "SW",
    )


@pytest.mark.parametrize(
    ("arguments", "word"),
    [((), "--length-unit, --mass-unit, --name"), (("--length-unit", "cm"), "one of mm, in, not cm")],
)
def test_what_can_not_be_set_is_told_and_nothing_changes(
    run: Run, shop: Shop, arguments: tuple[str, ...], word: str
):
    answer = run("set", *arguments)
    assert (answer.code, answer.out) == (2, "")
    assert word in answer.err
    assert len(shop.logbooks.read("settings").entries) == 1


def test_no_shop_no_settings(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["--store", str(tmp_path / "none"), "shop", "show"]) == 3
    assert is_one_sentence(capsys.readouterr().err)
