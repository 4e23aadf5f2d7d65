"""Proves how a command ends: its exit code, one sentence for every error, a file for a fault of our own, and
nothing loaded that a quick command does not need."""

import io
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

import fieldlog.__main__
from fieldlog import __version__, errors
from fieldlog.cli import FAULT_OF_OURS, INTERRUPTED, commands, crash_words, main
from fieldlog.operations.shop import Shop
from tests.cli.conftest import Answer, is_one_sentence

Run = Callable[..., Answer]
ROOT = Path(__file__).parents[2]
HEAVY = (
    *("textual", "rich", "reportlab", "qrcode", "pint", "PIL", "icalendar", "tomlkit"),
    *("demo", "fieldlog.tui", "fieldlog.printing"),
)

# The exit codes as the help names them.
CODES = {
    errors.InputError: 2,
    errors.NotFoundError: 3,
    errors.RefusedError: 4,
    errors.StoreError: 5,
    errors.ConflictError: 5,
    errors.LockedError: 5,
    errors.DamagedError: 5,
    errors.NotSavedError: 5,
    errors.PrinterError: 5,
}


def fail_with(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    """Make `fieldlog due` raise this."""

    def due(_chosen: object) -> int:
        raise error

    monkeypatch.setattr(commands, "due", due)


def python(*arguments: str, **options: object) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(  # type: ignore[call-overload,no-any-return]
        [sys.executable, *arguments], capture_output=True, text=True, env=environment, check=False, **options
    )


@pytest.mark.parametrize(("kind", "code"), CODES.items(), ids=lambda value: getattr(value, "__name__", value))
def test_every_error_is_one_sentence_and_its_exit_code(
    run: Run, monkeypatch: pytest.MonkeyPatch, kind: type[errors.FieldlogError], code: int
):
    fail_with(monkeypatch, kind("what is wrong"))
    assert run("due") == Answer(code, "", "fieldlog: what is wrong\n")


def test_several_problems_are_a_line_each(run: Run, monkeypatch: pytest.MonkeyPatch):
    problems = [errors.Problem(place="chains.toml", wrong="no source.", todo="Name one.")] * 2
    fail_with(monkeypatch, errors.RulebookError("the rules are faulty", problems))
    answer = run("due")
    assert (answer.code, answer.out) == (2, "")
    assert answer.err.splitlines() == [
        "fieldlog: the rules are faulty",
        *["  chains.toml: no source. Name one."] * 2,
    ]


def test_a_fault_of_our_own_goes_to_a_file_that_is_named(
    run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    fail_with(monkeypatch, ZeroDivisionError("oil can"))
    answer = run("due")
    assert (answer.code, answer.out) == (FAULT_OF_OURS, "")
    assert is_one_sentence(answer.err)
    (file,) = tmp_path.iterdir()
    assert str(file) in answer.err
    kept = file.read_text(encoding="utf-8")
    assert "Traceback" in kept
    assert "ZeroDivisionError: oil can" in kept


def test_a_fault_that_can_not_be_kept_is_one_sentence_still(monkeypatch: pytest.MonkeyPatch, tmp_path: Path):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "none"))
    assert "\n" not in crash_words(ZeroDivisionError("oil can"))


def test_an_interrupt_ends_quietly(run: Run, monkeypatch: pytest.MonkeyPatch):
    fail_with(monkeypatch, KeyboardInterrupt())
    assert run("due") == Answer(INTERRUPTED, "", "")


def test_python_m_fieldlog_is_the_same_command():
    assert fieldlog.__main__.main is main
    done = python("-m", "fieldlog", "--version")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"fieldlog {__version__}\n", "")


def test_the_exit_code_reaches_the_shell(shop: Shop):
    done = python("-m", "fieldlog", "--store", str(shop.root), "hoist", "show", "999")
    assert (done.returncode, done.stdout) == (3, "")
    assert is_one_sentence(done.stderr)


@pytest.mark.parametrize("command", [("due",), ("due", "--json"), ("hoist", "show"), ("--version",)])
def test_quick_commands_load_no_screen_no_printing_and_no_units(
    shop: Shop, tags: dict[str, str], command: tuple[str, ...]
):
    arguments = ["--store", str(shop.root), *command]
    if command == ("hoist", "show"):
        arguments.append(tags["near-limit"])
    code = f"""
import contextlib, io, json, sys
from fieldlog.cli import main
with contextlib.redirect_stdout(io.StringIO()) as out:
    try:
        code = main({arguments!r})
    except SystemExit as ended:
        code = ended.code
loaded = [name for name in {HEAVY!r} if name in sys.modules]
print(json.dumps([code, len(out.getvalue()), loaded]))
"""
    done = python("-c", code)
    ended, printed, loaded = json.loads(done.stdout)
    assert (ended, loaded) == (0, [])
    assert printed > 0


@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize("command", [("due", "--json"), ("hoist", "list"), ("--help",)])
def test_a_reader_that_has_gone_is_no_error(shop: Shop, command: tuple[str, ...], unbuffered: str):
    read, write = os.pipe()
    os.close(read)
    try:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": unbuffered}
        done = subprocess.run(
            [sys.executable, "-m", "fieldlog", "--store", str(shop.root), *command],
            stdout=write,
            stderr=subprocess.PIPE,
            env=environment,
            check=False,
        )
    finally:
        os.close(write)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_terminal_without_unicode_gets_the_rest(monkeypatch: pytest.MonkeyPatch):
    def due(_chosen: object) -> int:
        print("Łódź, hall 2")
        return 0

    monkeypatch.setattr(commands, "due", due)
    stream = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(stream, encoding="ascii"))
    assert main(["due"]) == 0
    assert stream.getvalue() == b"\\u0141\\xf3d\\u017a, hall 2\n"


def test_a_command_without_any_output_channel_ends_as_it_should(run: Run, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(commands, "due", lambda _chosen: 0)
    assert main(["due"]) == 0


def test_the_store_of_the_environment_is_used_and_the_named_one_goes_before_it(
    run: Run, shop: Shop, tags: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("FIELDLOG_STORE", str(shop.root))
    assert tags["near-limit"] in run("hoist", "list").out
    assert run("--store", tmp_path / "none", "hoist", "list").code == 3
