"""Proves where a command finds its store, its day and who is at the keys, and what goes before what."""

import getpass
import io
import sys
from argparse import Namespace
from datetime import date
from pathlib import Path

import pytest

from fieldlog.cli import context
from fieldlog.cli.context import day_of, has_terminal, login, now, shop_of, store_root
from fieldlog.errors import InputError
from tests.demo.written import MOMENT


class Terminal(io.StringIO):
    """A stream that says that it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def data_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user data directory of the test's own."""
    home = tmp_path / "data"
    monkeypatch.setenv("XDG_DATA_HOME", str(home))
    monkeypatch.delenv("FIELDLOG_STORE", raising=False)
    return home


def test_the_named_store_goes_before_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("FIELDLOG_STORE", str(tmp_path / "environment"))
    assert store_root(Namespace(store=str(tmp_path / "named"))) == tmp_path / "named"


@pytest.mark.parametrize("chosen", [Namespace(store=None), Namespace()])
def test_the_environment_goes_before_the_data_directory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, chosen: Namespace
):
    monkeypatch.setenv("FIELDLOG_STORE", str(tmp_path / "environment"))
    assert store_root(chosen) == tmp_path / "environment"


@pytest.mark.parametrize("empty", [None, ""])
def test_else_the_store_is_in_the_user_data_directory(
    data_home: Path, monkeypatch: pytest.MonkeyPatch, empty: str | None
):
    # XDG Base Directory Specification: $XDG_DATA_HOME holds user-specific data files
    if empty is not None:
        monkeypatch.setenv("FIELDLOG_STORE", empty)
    assert store_root(Namespace(store=None)) == data_home / "fieldlog"


def test_the_home_directory_may_be_written_short(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    assert store_root(Namespace(store="~/hoists")) == tmp_path / "hoists"


def test_a_file_is_no_store(tmp_path: Path):
    file = tmp_path / "store"
    file.touch()
    with pytest.raises(InputError, match="is a file"):
        store_root(Namespace(store=str(file)))


def test_opening_a_store_that_is_not_there_writes_nothing(tmp_path: Path):
    root = tmp_path / "new"
    assert shop_of(Namespace(store=str(root))).root == root
    assert not root.exists()


def test_the_day_asked_for_goes_before_today(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(context, "now", lambda: MOMENT)
    assert day_of(Namespace(on="2027-02-01")) == date(2027, 2, 1)
    assert day_of(Namespace(on="")) == MOMENT.date()
    assert day_of(Namespace()) == MOMENT.date()


@pytest.mark.parametrize("text", ["2026-13-01", "25.11.2026", "tomorrow"])
def test_a_day_that_is_none_is_refused_under_the_name_of_the_option(text: str):
    with pytest.raises(InputError, match=r"--on .*year"):
        day_of(Namespace(on=text))


@pytest.mark.parametrize("elsewhere", ["stdin", "stdout", "stderr", None])
def test_a_terminal_takes_keys_and_shows_the_screen(monkeypatch: pytest.MonkeyPatch, elsewhere: str | None):
    # Textual draws on standard error, so all three have to be the terminal
    for name in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, name, Terminal() if name != elsewhere else io.StringIO())
    assert has_terminal() is (elsewhere is None)


def test_a_process_without_channels_has_no_terminal(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sys, "stdin", None)
    assert not has_terminal()


def test_the_moment_carries_its_offset_from_utc():
    assert now().utcoffset() is not None


@pytest.mark.parametrize("fault", [KeyError("getpwuid(): uid not found"), OSError("no login")])
def test_a_login_that_the_system_does_not_know_is_empty(monkeypatch: pytest.MonkeyPatch, fault: Exception):
    def unknown() -> str:
        raise fault

    monkeypatch.setattr(getpass, "getuser", unknown)
    assert login() == ""


def test_the_login_is_the_system_s(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(getpass, "getuser", lambda: "afenn")
    assert login() == "afenn"
