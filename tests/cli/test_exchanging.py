"""Proves the commands of tables and calendars: what they print, write, refuse and do not load."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from icalendar import Calendar

from demo.import_file import FILE, PLANTED, table_bytes
from fieldlog.operations.shop import Shop, open_shop
from tests.cli.conftest import Answer, is_one_sentence

Run = Callable[..., Answer]
ADA = ("--as", "Ada Fenn")
ROOT = Path(__file__).parents[2]


@pytest.fixture
def copied(shop: Shop, tmp_path: Path) -> Shop:
    shutil.copytree(shop.root, tmp_path / "store")
    return open_shop(tmp_path / "store")


def test_a_check_lists_all_faults_and_writes_nothing(run: Run, copied: Shop):
    before = copied.logbooks.stat_all()
    answer = run("--store", copied.root, "hoist", "import", FILE, "--check", "--dates", "dmy")
    assert (answer.code, answer.err) == (2, "")
    faults = [line for line in answer.out.splitlines() if line.startswith(f"{FILE.name}:")]
    assert len(faults) == len(PLANTED)
    assert "12 faults, 0 questions" in answer.out.splitlines()[-1]
    assert copied.logbooks.stat_all() == before


def test_an_import_with_faults_takes_nothing_and_a_good_one_all(run: Run, copied: Shop, tmp_path: Path):
    before = len(copied.logbooks.hoist_names())
    assert run("--store", copied.root, *ADA, "hoist", "import", FILE, "--dates", "dmy").code == 2
    assert len(copied.logbooks.hoist_names()) == before
    good = tmp_path / "good.csv"
    good.write_bytes(b"\r\n".join(table_bytes(faulty=False).split(b"\r\n")[:12]))
    checked = run("--store", copied.root, "hoist", "import", good, "--dates", "dmy", "--check")
    assert (checked.code, "0 faults" in checked.out) == (0, True)
    for registered in (11, 0):
        answer = run("--store", copied.root, *ADA, "hoist", "import", good, "--dates", "dmy")
        assert (answer.code, answer.err) == (0, "")
        assert f"{registered} hoists registered" in answer.out
    assert len(copied.logbooks.hoist_names()) == before + 11


def test_a_mapping_file_is_read(run: Run, copied: Shop, tmp_path: Path):
    (tmp_path / "f.csv").write_text("make,model,No,drive,wll,lift,chain\nF,L,9,air,1 t,3,7x21\n")
    (tmp_path / "m.toml").write_text('[columns]\nNo = "serial"\n[constants]\nsite = "workshop"\n')
    command = ("--store", copied.root, "hoist", "import", tmp_path / "f.csv", "--check")
    assert run(*command).code == 2
    assert run(*command, "--map", tmp_path / "m.toml").code == 0


@pytest.mark.parametrize(
    ("names", "code"),
    [(("none.csv",), 3), (("f.csv", "none.toml"), 3), (("f.csv", "bad.toml"), 2), ((".",), 2)],
)
def test_files_that_can_not_be_read_are_one_sentence(
    run: Run, copied: Shop, tmp_path: Path, names: tuple[str, ...], code: int
):
    (tmp_path / "f.csv").write_text("maker\n")
    (tmp_path / "bad.toml").write_bytes(b"\xff")
    file, *maps = (tmp_path / name for name in names)
    options = ("--map", *maps) if maps else ()
    answer = run("--store", copied.root, "hoist", "import", file, *options)
    assert answer.code == code
    assert is_one_sentence(answer.err)


@pytest.mark.parametrize("kind", ["hoists", "due", "readings", "defects", "logbook"])
def test_every_kind_goes_out_as_csv_and_json(run: Run, shop: Shop, tmp_path: Path, kind: str):
    assert run("--store", shop.root, "export", kind, "--out", tmp_path / "out.csv").code == 0
    rows = (tmp_path / "out.csv").read_text(encoding="utf-8-sig").splitlines()
    assert rows[0].startswith('"id",')
    assert (
        run("--store", shop.root, "export", kind, "--format", "json", "--out", tmp_path / "o.json").code == 0
    )
    told = json.loads((tmp_path / "o.json").read_text(encoding="utf-8"))
    assert (told["kind"], len(told["rows"]) > 0) == (kind, True)


def test_the_rows_of_one_hoist_need_no_other_logbook(run: Run, copied: Shop):
    register = copied.root / "register.json"
    register.unlink(missing_ok=True)
    tag = copied.logbooks.hoist_names()[0]
    assert run("--store", copied.root, "export", "logbook", "--tag", tag).code == 0
    assert not register.exists()
    assert run("--store", copied.root, "export", "logbook").code == 0
    assert register.exists()


def test_due_dates_go_into_a_calendar_which_the_next_export_updates(run: Run, shop: Shop, tmp_path: Path):
    file = tmp_path / "due.ics"
    command = ("--store", shop.root, "export", "due", "--format", "ics", "--out", file)
    assert run(*command).code == 0
    first = {str(event["UID"]) for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}
    assert run(*command).code == 0
    assert {str(event["UID"]) for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")} == first
    file.write_text("my own notes")
    answer = run(*command)
    assert (answer.code, is_one_sentence(answer.err)) == (2, True)
    assert file.read_text() == "my own notes"


def test_only_due_dates_go_into_a_calendar(run: Run, shop: Shop):
    answer = run("--store", shop.root, "export", "hoists", "--format", "ics")
    assert (answer.code, is_one_sentence(answer.err)) == (2, True)


def test_a_calendar_of_one_site_does_not_cancel_the_others(run: Run, shop: Shop, tmp_path: Path):
    file = tmp_path / "due.ics"
    command = ("--store", shop.root, "export", "due", "--format", "ics", "--out", file)
    assert run(*command).code == 0
    before = file.read_bytes()
    answer = run(*command, "--site", "workshop")
    assert (answer.code, is_one_sentence(answer.err)) == (2, True)
    assert file.read_bytes() == before


def test_the_schema_is_printed(run: Run):
    assert "$defs" in run("export", "schema").out


def test_quick_commands_do_not_load_what_calendars_and_completion_need(shop: Shop):
    code = f"""
import contextlib, io, sys
from fieldlog.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    for command in (["due"], ["hoist", "list"], ["export", "due"]):
        main(["--store", {str(shop.root)!r}, *command])
heavy = ("icalendar", "argcomplete", "jsonschema", "textual", "reportlab", "qrcode", "pint")
print([name for name in heavy if name in sys.modules])
"""
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
    )
    assert done.stdout.strip() == "[]"
