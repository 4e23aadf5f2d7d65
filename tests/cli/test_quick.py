"""The short cut says the same as the usual way, or leaves it to it."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli.context import now
from fieldlog.cli.quick import quick_answer
from fieldlog.domain.records import Withdrawal
from fieldlog.operations import ready_due
from fieldlog.operations.due import due_list
from fieldlog.operations.ready_due import due_json, rows_json
from fieldlog.operations.shop import Shop, append, open_shop
from fieldlog.store.ready import FILE

REPOSITORY = Path(__file__).parents[2]
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def store(shop: Shop, tmp_path: Path) -> Path:
    shutil.copytree(shop.root, tmp_path / "store")
    for path in (tmp_path / "store" / "logbooks").iterdir():
        os.utime(path, ns=(10**18, 10**18))
    return tmp_path / "store"


@pytest.fixture
def ask(store: Path) -> Run:
    """The command in a process of its own, as on a real day."""

    def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "fieldlog", "--store", str(store), *arguments]
        return subprocess.run(
            command, cwd=REPOSITORY, capture_output=True, text=True, check=False, env=os.environ | environment
        )

    return run


def test_the_second_answer_is_the_first_one(ask: Run, store: Path) -> None:
    first = ask("due", "--json")
    assert (first.returncode, first.stderr) == (0, "")
    assert (store / FILE).exists()
    again = ask("due", "--json")
    assert (again.returncode, again.stdout, again.stderr) == (0, first.stdout, "")
    in_ascii = ask("due", "--json", PYTHONIOENCODING="ascii", LC_ALL="C")
    assert json.loads(in_ascii.stdout) == json.loads(first.stdout)


def test_the_short_cut_loads_neither_records_nor_rules(ask: Run, store: Path) -> None:
    ask("due", "--json")
    text = (
        "import sys; from fieldlog.cli import main\n"
        f"code = main(['--store', {str(store)!r}, 'due', '--json'])\n"
        "print(code, *sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", text], cwd=REPOSITORY, capture_output=True, text=True, check=True
    )
    code, *loaded = done.stderr.split()
    assert code == "0"
    assert json.loads(done.stdout)["hoists"]
    slow = ("fieldlog.domain", "fieldlog.operations", "tinydb", "msgspec", "pathlib", "re", "typing")
    assert not [name for name in loaded if name.startswith(slow[:3]) or name in slow]


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["due"],
        ["--json"],
        ["due", "--json", "--on", "2026-01-01"],
        ["due", "--json", "--site", "x"],
        ["due", "--json", "--store"],
        ["due", "--json", "--help"],
        ["due", "--json", "--store", "/nowhere"],
        ["hoist", "list", "--json"],
    ],
)
def test_everything_else_goes_the_usual_way(arguments: list[str]) -> None:
    assert quick_answer(arguments) is None


@pytest.mark.parametrize("few", [1, 0])
def test_a_sealed_record_shows_at_once(
    store: Path, capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, few: int
) -> None:
    shop, day = open_shop(store), now().date()
    list(due_json(shop, day))
    first, *_ = shop.logbooks.hoist_names()
    body = Withdrawal(done_on=day, reason="hook bent")
    append(shop, first, body, by="Ada Fenn", now=now(), head=shop.logbooks.read(first).head)
    monkeypatch.setattr(ready_due, "FEW", few)
    assert quick_answer(["due", "--json", "--store", str(store)]) == (0 if few else None)
    told = capfdbinary.readouterr().out
    assert told == (b"".join(rows_json(day, due_list(open_shop(store), day))) if few else b"")


def test_hoists_whose_logbooks_are_gone_are_told_of(ask: Run, store: Path) -> None:
    before = json.loads(ask("due", "--json").stdout)["hoists"]
    path = next((store / "logbooks").iterdir())
    path.unlink()
    assert gone_in(ask("due", "--json").stdout) == {path.stem}
    shutil.rmtree(store / "logbooks")
    assert gone_in(ask("due", "--json").stdout) == {row["id"] for row in before}


def gone_in(text: str) -> set[str]:
    rows = json.loads(text)["hoists"]
    return {row["id"] for row in rows if any("logbook is gone" in told for told in row["reasons"])}


def test_a_folder_that_can_not_be_listed_is_told_in_the_usual_words(ask: Run, store: Path) -> None:
    ask("due", "--json")
    (store / "logbooks").rename(store / "away")
    (store / "logbooks").write_bytes(b"")
    answer = ask("due", "--json")
    assert answer.returncode == 5
    assert answer.stdout == ""
    assert answer.stderr.startswith("fieldlog: the logbooks in ")


def test_a_look_that_ends_half_way_is_not_trusted(ask: Run, store: Path) -> None:
    """The copy of the process that looks is killed: the list comes all the same, by the usual way."""
    whole = ask("due", "--json").stdout
    text = (
        "import os, signal, sys, fieldlog.cli.quick as quick; from fieldlog.cli import main\n"
        "quick._look = lambda folder: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"sys.exit(main(['--store', {str(store)!r}, 'due', '--json']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", text], cwd=REPOSITORY, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, whole, "")
