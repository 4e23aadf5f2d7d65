"""Proves that the doctor tells all that a support call asks, with an exit code, and never a traceback."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.operations.shop import Shop
from tests.cli.conftest import Answer

Run = Callable[..., Answer]


def test_a_sound_store_ends_with_0(run: Run, shop: Shop):
    answer = run("--store", shop.root, "doctor")
    assert (answer.code, answer.err) == (0, "")
    for what in (
        "fieldlog",
        "packages",
        "terminal",
        "clock",
        "printer",
        "rulebooks",
        "store",
        "rights",
        "keys",
    ):
        assert f"{what}: " in answer.out
    assert answer.out.endswith("nothing is wrong\n")


def test_scripts_read_the_same(run: Run, shop: Shop):
    told = json.loads(run("--store", shop.root, "doctor", "--json").out)
    assert {check["what"] for check in told} >= {"fieldlog", "store", "rights"}


def test_faulty_rules_of_the_shop_end_with_1(run: Run, tmp_path: Path):
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "own.toml").write_text("oops = [")
    answer = run("--store", tmp_path, "doctor")
    assert (answer.code, answer.err) == (1, "")
    assert "FAULT shop" in answer.out


def test_a_store_that_is_a_file_is_told(run: Run, tmp_path: Path):
    (tmp_path / "file").write_text("")
    answer = run("--store", tmp_path / "file", "doctor")
    assert answer.code == 1
    assert "is a file" in answer.out


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_lines_for_each_shell_name_the_command(run: Run, shell: str):
    answer = run("completion", shell)
    assert (answer.code, answer.err) == (0, "")
    assert "fieldlog" in answer.out
