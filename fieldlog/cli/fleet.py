"""The fleet as a whole: moving, handing over, retiring, notices, visits, figures."""

import argparse
from argparse import Namespace
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fieldlog.cli import context
from fieldlog.cli.commands import one_tag, who
from fieldlog.cli.context import day_of, shop_of, surveyed_shop
from fieldlog.cli.progress import working
from fieldlog.cli.putting import add_replace, checked, put
from fieldlog.domain.counting import counted
from fieldlog.operations.shop import Shop, check_may_seal, need_settings
from fieldlog.units import parse_whole

_AddStore = Callable[[argparse.ArgumentParser], None]
_ON = ("--on", {"metavar": "YYYY-MM-DD", "default": "", "help": "the day (today)"})
MOST_DAYS = 3660


def add_verbs(verbs: Any, add_store: _AddStore) -> None:
    """Add move, handover, takein, retire and notice below `fieldlog hoist`."""
    for name, says, example, arguments, run in _VERBS:
        parser = verbs.add_parser(
            name, help=says, description=says, epilog=f"example:\n  {example}", formatter_class=_Raw
        )
        add_store(parser)
        for flag, options in arguments:
            parser.add_argument(flag, **options)
        parser.set_defaults(run=run)


def add_to(commands_of: Any, add_store: _AddStore) -> None:
    """Add `fieldlog visit` and `fieldlog figures`."""
    visit = commands_of.add_parser(
        "visit",
        help="the work list for a visit to one site",
        epilog="example:\n  fieldlog visit 'filter house' --days 60 | lp",
        formatter_class=_Raw,
    )
    add_store(visit)
    visit.add_argument("site", metavar="SITE", help="its name, or words that only it has")
    visit.add_argument("--days", metavar="N", default="30", help="what is due within so many days (30)")
    visit.add_argument(_ON[0], **_ON[1])
    visit.add_argument("--json", action="store_true", help="as JSON")
    visit.add_argument("--out", metavar="FILE", default="", help="as a PDF to take along")
    add_replace(visit)
    visit.set_defaults(run=checked(visit_site))
    figures = commands_of.add_parser(
        "figures",
        help="load of work by month, overdue, worn chains, doubt, chain lives",
        epilog="example:\n  fieldlog figures --site workshop --json",
        formatter_class=_Raw,
    )
    add_store(figures)
    figures.add_argument("--site", default="", help="only this site")
    figures.add_argument(_ON[0], **_ON[1])
    figures.add_argument("--json", action="store_true", help="as JSON")
    figures.set_defaults(run=show_figures)


def _open(chosen: Namespace) -> tuple[Shop, str, str]:
    """The shop, who is at the keys and the hoist that is named."""
    shop = shop_of(chosen)
    need_settings(shop)
    by = who(shop, chosen)
    return shop, by, one_tag(shop, chosen.tag)


def _texts(**given: str) -> dict[str, str]:
    """What was typed; what was not keeps the form's own default."""
    return {name: text for name, text in given.items() if text}


def move(chosen: Namespace) -> int:
    """Move a hoist to another place."""
    from fieldlog.domain.verdict import summarise
    from fieldlog.operations.due import due_row
    from fieldlog.operations.moving import move_hoist
    from fieldlog.operations.shop import open_hoist

    shop, by, tag = _open(chosen)
    moment = context.now()
    texts = _texts(site=chosen.site, place=chosen.place, rulebook=chosen.rulebook, done_on=chosen.on)
    entry = move_hoist(
        shop, tag, texts, back_in_use=chosen.back_in_use, by=by, now=moment, today=moment.date()
    )
    hoist: Any = entry.body
    where = f"{hoist.site}, {hoist.place}" if hoist.place else hoist.site
    moved = open_hoist(shop, tag)
    row = due_row(summarise(moved.history, moved.rulebook), moved.rulebook, moment.date())
    due = f"; due now: {row.kind}" if row.due_on is not None and row.due_on <= moment.date() else ""
    print(f"{tag}: at {where} from {hoist.registered_on.isoformat()}, rulebook {hoist.rulebook}{due}")
    return 0


def handover(chosen: Namespace) -> int:
    """Write a hoist's logbook for another owner."""
    from fieldlog.operations.handing_over import hand_over, retire

    shop = shop_of(chosen)
    need_settings(shop)
    tag = one_tag(shop, chosen.tag)
    by = ""
    if chosen.to:
        by = who(shop, chosen)
        check_may_seal(shop, by, context.now().date())
    given = hand_over(shop, tag, Path(chosen.file).expanduser())
    print(f"{chosen.file}: {tag} with {given.lines} lines")
    print(f"head {given.head}")
    print("Give the head on paper too: fieldlog hoist takein FILE --head compares it.")
    if chosen.to:
        moment = context.now()
        texts = {"why": "handed over to another owner", "went_to": chosen.to}
        retire(shop, tag, texts, by=by, now=moment, today=moment.date())
        print(f"{tag} is retired here: it went to {chosen.to}")
    else:
        print(f"{tag} stays in use here until it is retired: fieldlog hoist retire {tag} --why TEXT")
    return 0


def takein(chosen: Namespace) -> int:
    """Take another shop's hoist in."""
    from fieldlog.operations.handing_over import take_in_hoist

    shop = shop_of(chosen)
    need_settings(shop)
    by, moment = who(shop, chosen), context.now()
    file = Path(chosen.file).expanduser()
    given, _ = take_in_hoist(shop, file, head=chosen.head, by=by, now=moment, today=moment.date())
    print(f"{given.name}: {given.lines} lines of {given.from_shop}, as sealed there; head {given.head}")
    print(f"Say where it hangs now: fieldlog hoist move {given.name} --site SITE --place PLACE")
    return 0


def retire_hoist(chosen: Namespace) -> int:
    """Take a hoist off the due list for good."""
    from fieldlog.operations.handing_over import retire

    shop, by, tag = _open(chosen)
    moment = context.now()
    texts = _texts(why=chosen.why, went_to=chosen.to, done_on=chosen.on)
    retire(shop, tag, texts, by=by, now=moment, today=moment.date())
    print(f"{tag} is retired: it stands in no due list any more, and its logbook stays")
    return 0


def notice(chosen: Namespace) -> int:
    """Record that defects were told."""
    from fieldlog.operations.hoist_page import says
    from fieldlog.operations.noticing import note_notice

    shop, by, tag = _open(chosen)
    moment = context.now()
    texts = _texts(
        defects=" ".join(chosen.defect),
        whom=chosen.told,
        how=chosen.how,
        done_on=chosen.on,
        remark=chosen.remark,
    )
    entry = note_notice(shop, tag, texts, by=by, now=moment, today=moment.date())
    print(f"{tag}: {says(entry.body)}")
    return 0


def visit_site(chosen: Namespace) -> int:
    """The work list for a visit."""
    from fieldlog.cli.fleet_output import visit_lines
    from fieldlog.cli.output import print_json
    from fieldlog.operations.visiting import plan_visit

    days = parse_whole(chosen.days, "--days", 0, MOST_DAYS)
    shop = surveyed_shop(chosen)
    with working("reading the site") as tell:
        visit = plan_visit(shop, chosen.site, day_of(chosen), days=days, progress=tell)
    if chosen.out:
        return _print_visit(chosen, shop, visit)
    if chosen.json:
        print_json(visit)
    else:
        print("\n".join(visit_lines(visit)))
    return 0


def _print_visit(chosen: Namespace, shop: Shop, visit: Any) -> int:
    from fieldlog.operations.reporting_work_list import work_list_report
    from fieldlog.printing.reports import render_report

    with working("drawing") as tell:
        printed = render_report(work_list_report(shop, visit), progress=tell)
    put(chosen, Path(chosen.out).expanduser(), printed.pdf, counted(printed.pages, "page"))
    return 0


def show_figures(chosen: Namespace) -> int:
    """Figures for the shop."""
    from fieldlog.cli.fleet_output import figure_lines
    from fieldlog.cli.output import print_json
    from fieldlog.operations.figures import shop_figures

    shop = surveyed_shop(chosen)
    with working("reading") as tell:
        figures = shop_figures(shop, day_of(chosen), site=chosen.site, progress=tell)
    if chosen.json:
        print_json(figures)
    else:
        print("\n".join(figure_lines(figures)))
    return 0


_Raw = argparse.RawDescriptionHelpFormatter
_TAG = ("tag", {"metavar": "TAG", "help": "the hoist, as SW-0008-M, sw0008m or the bare number"})
_FILE = ("file", {"metavar": "FILE"})
_Argument = tuple[str, dict[str, Any]]


def _text(flag: str, says: str, *, required: bool = False) -> _Argument:
    return flag, {"metavar": "TEXT", "default": "", "required": required, "help": says}


_VERBS: tuple[tuple[str, str, str, tuple[_Argument, ...], Callable[[Namespace], int]], ...] = (
    (
        "move",
        "move a hoist to another place; an inspection is due there before use",
        "fieldlog hoist move SW-0008-M --site workshop --place 'bay 3'",
        (
            _TAG,
            _text("--site", "the new site (as before)"),
            _text("--place", "the new place"),
            _text("--rulebook", "the rulebook there (the site's, else as before)"),
            _ON,
            ("--back-in-use", {"action": "store_true", "help": "a retired hoist is put to use again"}),
        ),
        move,
    ),
    (
        "handover",
        "write a hoist's logbook into a file for another owner",
        "fieldlog hoist handover SW-0008-M SW-0008-M.zip --to 'Dunmere Quay'",
        (_TAG, _FILE, _text("--to", "who has it from now on: it is retired here at once")),
        handover,
    ),
    (
        "takein",
        "take another shop's hoist in, its lines and seals as they are",
        "fieldlog hoist takein SW-0008-M.zip --head 0123456789",
        (_FILE, _text("--head", "the head on the giver's paper, at least 10 digits")),
        takein,
    ),
    (
        "retire",
        "take a hoist off the due list for good; its logbook stays",
        "fieldlog hoist retire SW-0008-M --why scrapped",
        (_TAG, _text("--why", "the reason", required=True), _text("--to", "who has it now"), _ON),
        retire_hoist,
    ),
    (
        "notice",
        "record that defects were told to somebody, when and how",
        "fieldlog hoist notice SW-0008-M --told 'Mor Quill, works manager' --how 'by letter'",
        (
            _TAG,
            _text("--told", "who was told", required=True),
            _text("--how", "how", required=True),
            (
                "--defect",
                {"metavar": "D1", "action": "append", "default": [], "help": "which (all open ones)"},
            ),
            _text("--remark", "anything else"),
            _ON,
        ),
        notice,
    ),
)
