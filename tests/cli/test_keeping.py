"""The commands that keep the record: their help, their options, and that they load nothing beforehand."""

import subprocess
import sys
from pathlib import Path

import pytest

from fieldlog.cli.parser import parse
from fieldlog.errors import InputError

REPOSITORY = Path(__file__).parents[2]
COMMANDS = [
    ("verify",),
    ("verify", "SW-0001-0", "--heads", "heads.txt", "--renew"),
    ("strike", "SW-0001-0", "3", "--why", "the other hoist", "--redo"),
    ("people", "list"),
    ("people", "trust", "Ada Fenn", "key.pub", "--until", "2027-01-01", "--sign-with", "key"),
    ("people", "revoke", "key.pub"),
    ("backup", "b.zip"),
    ("restore", "b.zip", "new"),
    ("store", "share", "technicians"),
    ("store", "private"),
]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_command_is_understood(command: tuple[str, ...]) -> None:
    assert callable(parse(command).run)


@pytest.mark.parametrize(
    "command", [("strike", "SW-0001-0", "3"), ("people",), ("store",), ("backup",), ("verify", "--head", "x")]
)
def test_half_a_command_is_one_sentence(command: tuple[str, ...]) -> None:
    with pytest.raises(InputError, match="--help"):
        parse(command)


def test_help_says_what_heads_does_and_how_verify_ends(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        parse(["verify", "--help"])
    told = " ".join(capsys.readouterr().out.split())
    assert "written with every logbook's head where it is missing, compared with where it is there" in told
    assert "0 clean, 1 problems were found, 2 could not run" in told


def test_asking_for_a_command_loads_nothing_of_it() -> None:
    text = "import sys; from fieldlog.cli.parser import parse; parse(['verify']); print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", text], cwd=REPOSITORY, capture_output=True, text=True, check=True
    )
    loaded = set(done.stdout.split())
    heavy = {"fieldlog.cli.keeping_commands", "fieldlog.store.signatures", "fieldlog.store.backup"}
    assert not loaded & heavy
