"""Tables coming in and going out: fieldlog hoist import, fieldlog export."""

import argparse
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable
from datetime import date, datetime
from pathlib import Path
from typing import Any

from fieldlog.cli import context
from fieldlog.cli.commands import one_tag, who
from fieldlog.cli.context import day_of, shop_of, survey
from fieldlog.cli.fault_lines import fault_lines
from fieldlog.cli.progress import working
from fieldlog.cli.putting import STDOUT, add_replace, check_free, put, write_out
from fieldlog.domain.counting import counted
from fieldlog.domain.export_rows import ExportTable
from fieldlog.errors import InputError, NotFoundError, Problem
from fieldlog.operations.finding import site_named
from fieldlog.operations.shop import Shop, need_settings, sites_in_use

KINDS = ("hoists", "due", "readings", "defects", "logbook")
FORMATS = ("csv", "json", "ics")
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
PROBLEMS = 2
NAME_SHOWN = 30
IMPORT = """\
Takes a table of hoists in: CSV with commas, semicolons or tabs, UTF-8 or Windows-1252, columns in any order
under their usual names. Units may stand in the cells or the headings (1 t, 1000 kg, 7x21). Days are ISO
unless --dates says otherwise. --check writes nothing and lists every fault as file:row:column. Without it
all rows are taken or none; the same file again changes nothing. Last inspections and readings come along as
'taken over from paper': they show in the logbook and never count as an inspection by this shop.

examples:
  fieldlog hoist import fleet.csv --check
  fieldlog hoist import fleet.csv --dates dmy --map columns.toml
  fieldlog hoist import fleet.csv --confirm      take also what --check questions

A mapping file says what unusual headings mean:
  ignore = ["Telefon"]
  [columns]
  "Kran Nr." = "serial"
  "Max." = { field = "capacity", unit = "t" }
  [constants]
  site = "intake hall"

exit codes: 0 done or nothing wrong, 2 faults or questions, 4 not allowed, 5 not saved
"""
EXPORT = """\
Writes what the records say as a table, JSON or a calendar. No cell of a table can start a formula. JSON
follows the schema that fieldlog export schema prints. A file that is there already is written over only with
--replace. A calendar holds one event for each due date; where this store's last one lies in the file, it goes
on from it without --replace: events are moved and cancelled. Over any other file it is not written.

examples:
  fieldlog export hoists --out fleet.csv
  fieldlog export due --format ics --out due.ics
  fieldlog export readings --format json --site 'filter house'
  fieldlog export logbook --tag SW-0008-M --separator semicolon
"""
_AddStore = Callable[[argparse.ArgumentParser], None]


def add_import(verbs: Any, add_store: _AddStore) -> None:
    """Add `import` below `fieldlog hoist`."""
    parser = verbs.add_parser(
        "import",
        help="take hoists in from a spreadsheet's CSV",
        description=IMPORT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_store(parser)
    parser.add_argument("file", metavar="FILE.csv")
    parser.add_argument(
        "--check", dest="only_check", action="store_true", help="write nothing, list all faults"
    )
    parser.add_argument("--map", metavar="FILE", default="", help="what unusual headings mean (TOML)")
    parser.add_argument(
        "--dates", choices=("dmy", "mdy", "iso"), default="", help="how days are written (iso)"
    )
    parser.add_argument("--confirm", action="store_true", help="take also what is questioned")
    parser.set_defaults(run=import_)


def add_to(commands_of: Any, add_store: _AddStore) -> None:
    """Add `fieldlog export`."""
    parser = commands_of.add_parser(
        "export",
        help="hoists, due dates, readings, defects, logbooks as CSV, JSON or calendar",
        description=EXPORT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_store(parser)
    parser.add_argument(
        "what", choices=(*KINDS, "schema"), metavar="WHAT", help=", ".join((*KINDS, "schema"))
    )
    parser.add_argument("--format", choices=FORMATS, default="csv", help="csv, json or ics (csv)")
    parser.add_argument("--out", metavar="FILE", default="", help="write there (standard output)")
    parser.add_argument("--site", default="", help="only this site")
    parser.add_argument("--tag", default="", help="only this hoist")
    parser.add_argument("--on", metavar="YYYY-MM-DD", default="", help="as on this day (today)")
    parser.add_argument(
        "--separator",
        choices=tuple(SEPARATORS),
        default="comma",
        help="between cells; semicolon: decimal commas",
    )
    add_replace(parser)
    parser.set_defaults(run=export)


def _bytes_of(name: str) -> bytes:
    path = Path(name).expanduser()
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise NotFoundError(f"there is no file {path}") from None
    except OSError as fault:
        raise InputError(f"{path} can not be read: {fault.strerror}") from fault


def _mapping(name: str) -> Any:
    from fieldlog.exchange.mapping import ColumnMap, read_map

    if not name:
        return ColumnMap()
    try:
        text = _bytes_of(name).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"the mapping file {name} is not in UTF-8: save it so") from None
    return read_map(text, Path(name).name)


def _tell(problems: Iterable[Problem | str], before: str = "") -> None:
    for problem in problems:
        print(f"{before}{problem}")


def import_(chosen: Namespace) -> int:
    """Judge a table, and register its hoists unless only a check was asked for."""
    from fieldlog.exchange.tables_in import read_table
    from fieldlog.operations.importing import import_hoists, plan_import

    shop = shop_of(chosen)
    need_settings(shop)
    moment = context.now()
    data, mapping = _bytes_of(chosen.file), _mapping(chosen.map)
    with working(f"reading {Path(chosen.file).name[:NAME_SHOWN]}"):
        table = read_table(data, Path(chosen.file).name, mapping=mapping, dates=chosen.dates)
    survey(shop)
    with working("checking") as tell:
        plan = plan_import(shop, table, today=moment.date(), progress=tell)
    _tell(plan.notes, "note: ")
    if chosen.only_check or plan.faults or (plan.questions and not chosen.confirm):
        _tell(fault_lines(plan.faults))
        _tell(plan.questions, "question: ")
        print(_verdict(plan))
        return PROBLEMS if plan.faults or (plan.questions and not chosen.confirm) else 0
    by = who(shop, chosen)
    with working("importing") as tell:
        report = import_hoists(
            shop,
            plan,
            by=by,
            now=moment,
            today=moment.date(),
            confirmed=chosen.confirm,
            progress=tell,
        )
    tags = report.registered
    span = f": {tags[0]} to {tags[-1]}" if len(tags) > 1 else "".join(f": {tag}" for tag in tags)
    print(
        f"{counted(len(tags), 'hoist')} registered{span}; {report.here} here already;"
        f" {counted(report.taken_over, 'last inspection')} taken over from paper"
    )
    return 0


def _verdict(plan: Any) -> str:
    rows = f"{counted(len(plan.planned), 'good row')}, {plan.new} of them new"
    told = f"{counted(len(plan.faults), 'fault')}, {counted(len(plan.questions), 'question')}; {rows}"
    return f"{told}; nothing was written"


def export(chosen: Namespace) -> int:
    """One kind of facts in one format."""
    if chosen.out and chosen.format != "ics":
        check_free(chosen, Path(chosen.out).expanduser())
    if chosen.what == "schema":
        from fieldlog.exchange.schemas import schema_text

        return _put(chosen, schema_text().encode())
    if chosen.format == "ics" and chosen.what != "due":
        raise InputError("only due dates go into a calendar: fieldlog export due --format ics")
    shop = shop_of(chosen)
    held = need_settings(shop)
    day, moment = day_of(chosen), context.now()
    tag = one_tag(shop, chosen.tag) if chosen.tag else ""
    if chosen.site or not tag or chosen.what == "due":
        survey(shop)
    site = site_named(chosen.site, sites_in_use(shop)) if chosen.site else ""
    if chosen.format == "ics":
        return _export_calendar(chosen, shop, site=site, tag=tag)
    from fieldlog.operations.exporting import rows_of

    with working("exporting") as tell:
        rows = rows_of(shop, chosen.what, day, site=site, tag=tag, progress=tell)
        data = _written(chosen, rows, shop=held.shop, day=day, now=moment)
    for name in rows.skipped:
        print(f"{name}: its logbook can not be read, or not whole: fieldlog verify {name}", file=sys.stderr)
    return _put(chosen, data)


def _written(chosen: Namespace, rows: ExportTable, *, shop: str, day: date, now: datetime) -> bytes:
    """The rows as JSON or as a table."""
    if chosen.format == "json":
        from fieldlog.exchange.json_out import write_json

        return write_json(chosen.what, rows, shop=shop, day=day, now=now)
    from fieldlog.exchange.tables_out import write_table

    return write_table(rows.columns, rows.rows, SEPARATORS[chosen.separator])


def _export_calendar(chosen: Namespace, shop: Shop, *, site: str, tag: str) -> int:
    """The due dates; every file but this store's own calendar of the same hoists is refused."""
    from fieldlog.exchange.calendar import write_calendar
    from fieldlog.operations.exporting import due_dates, store_mark

    with working("writing the calendar"):
        calendar = write_calendar(
            due_dates(shop, day_of(chosen), site=site, tag=tag),
            shop=need_settings(shop).shop,
            mark=store_mark(shop),
            now=context.now(),
            before=_before(chosen.out),
            scope=" ".join(filter(None, [site, tag])) or "all",
        )
    return _put(chosen, calendar, goes_on=True)


def _before(out: str) -> bytes:
    """The calendar that stands where the new one goes; empty where there is none."""
    return _bytes_of(out) if out and Path(out).expanduser().is_file() else b""


def _put(chosen: Namespace, data: bytes, *, goes_on: bool = False) -> int:
    if chosen.out in ("", STDOUT):
        write_out(data)
    else:
        put(chosen, Path(chosen.out).expanduser(), data, f"{len(data):,} bytes", goes_on=goes_on)
    return 0
