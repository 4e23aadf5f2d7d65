"""Proves that the invented works is found, written and walked only where it spoils nothing."""

from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli import invented
from fieldlog.cli.invented import make_works, open_works, walk_works
from fieldlog.errors import InputError, NotFoundError
from tests.cli.conftest import Answer, is_one_sentence
from tests.demo.written import MOMENT


class StandIn:
    """In place of the demo's modules, which have tests of their own."""

    TECHNICIAN = "Ada Fenn"

    def __init__(self) -> None:
        self.written: list[Path] = []

    def write_history(self, root: Path, moment: object, progress: Callable[[int, int], None]) -> None:
        assert moment == MOMENT
        progress(1, 2)
        progress(2, 2)
        self.written.append(root)

    def walk(self, folder: Path, moment: object, say: Callable[[str], None]) -> int:
        assert moment == MOMENT
        say("1. walked")
        self.written.append(folder)
        return 0


@pytest.fixture
def stand_in(monkeypatch: pytest.MonkeyPatch) -> StandIn:
    found = StandIn()
    monkeypatch.setattr(invented, "_module", lambda _name: found)
    return found


def test_the_works_are_written_into_a_new_folder(
    stand_in: StandIn, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    folder = tmp_path / "new" / "works"
    assert make_works(folder, MOMENT) == 0
    assert stand_in.written == [folder]
    told = capsys.readouterr()
    assert f"fieldlog --store {folder}" in told.out
    assert told.err == ""  # progress is for terminals only


def test_progress_is_shown_on_a_terminal(
    stand_in: StandIn, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(invented.sys.stderr, "isatty", lambda: True, raising=False)
    make_works(tmp_path / "works", MOMENT)
    told = capsys.readouterr().err
    assert "2 of 2" in told
    assert told.endswith("\n")


def test_an_empty_folder_will_do(stand_in: StandIn, tmp_path: Path):
    assert walk_works(tmp_path, MOMENT) == 0
    assert stand_in.written == [tmp_path]


@pytest.mark.parametrize("command", [make_works, walk_works])
def test_a_folder_with_something_in_it_is_left_alone(
    stand_in: StandIn, tmp_path: Path, command: Callable[..., int]
):
    (tmp_path / "mine").touch()
    with pytest.raises(InputError, match="not empty"):
        command(tmp_path, MOMENT)
    assert stand_in.written == []


@pytest.mark.parametrize("command", [make_works, walk_works])
def test_a_file_is_no_folder(stand_in: StandIn, tmp_path: Path, command: Callable[..., int]):
    file = tmp_path / "file"
    file.touch()
    for wrong in (file, file / "below"):
        with pytest.raises(InputError, match=r"name (a new|another) folder"):
            command(wrong, MOMENT)
    assert stand_in.written == []


def test_the_application_on_the_works_needs_a_terminal(stand_in: StandIn):
    with pytest.raises(InputError, match="--walk"):
        open_works(lambda: MOMENT)
    assert stand_in.written == []


def test_an_installation_without_the_works_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(invented, "find_spec", lambda _name: None)
    with pytest.raises(NotFoundError, match="no demo"):
        walk_works(tmp_path, MOMENT)


def test_the_commands_lead_here(run: Callable[..., Answer], stand_in: StandIn, tmp_path: Path):
    assert run("demo", "--walk", tmp_path / "walk") == Answer(0, "1. walked\n", "")
    assert run("demo", "--make", tmp_path / "make").code == 0
    without = run("demo")
    assert (without.code, without.out) == (2, "")
    assert is_one_sentence(without.err)


def test_the_real_works_are_found_in_a_checkout():
    module = invented._module("history")
    assert callable(module.write_history)
    assert isinstance(module.TECHNICIAN, str)
