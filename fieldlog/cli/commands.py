"""What each command does. Screens, printing and the demo are imported by the command that needs them."""

from argparse import Namespace
from pathlib import Path

from fieldlog.cli import context
from fieldlog.cli.context import day_of, has_terminal, login, shop_of, surveyed_shop
from fieldlog.cli.output import damage_lines, due_lines, hoist_lines, list_lines, print_json, print_text
from fieldlog.cli.progress import working
from fieldlog.cli.terminal import open_terminal
from fieldlog.domain.verdict import Summary
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.due import due_list
from fieldlog.operations.finding import find_tag, find_words
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.ready_due import due_json, rows_json
from fieldlog.operations.shop import Shop, damaged, need_settings, people, person_of_login, summaries

LABELS_IN_STORE = "label_templates"


def app(chosen: Namespace) -> int:
    """Open the application."""
    if not has_terminal():
        raise InputError("the application needs a terminal; commands without one: fieldlog --help")
    return open_terminal(shop_of(chosen), login=login(), clock=context.now, by=chosen.by or "")


def due(chosen: Namespace) -> int:
    """The due list."""
    shop = shop_of(chosen)
    need_settings(shop)
    day = day_of(chosen)
    if chosen.json and not chosen.site and not chosen.on:
        with working("working out") as tell:
            pieces = due_json(shop, day, tell)
        print_text(pieces)
        return 0
    with working("working out") as tell:
        rows = due_list(shop, day, site=chosen.site, progress=tell)
    if chosen.json:
        print_text(rows_json(day, rows))
    else:
        print("\n".join([*due_lines(rows, day), *damage_lines(damaged(shop))]))
    return 0


def one_tag(shop: Shop, text: str) -> str:
    """The hoist that a typed tag names; NotFoundError with the nearest ones."""
    found = find_tag(text, shop.logbooks.hoist_names())
    if found.id:
        return found.id
    near = f" Near: {', '.join(found.near)}" if found.near else ""
    raise NotFoundError(f"{found.sentence}.{near}")


def hoist_show(chosen: Namespace) -> int:
    """One hoist."""
    shop = shop_of(chosen)
    need_settings(shop)
    page = hoist_page(shop, one_tag(shop, chosen.tag), day_of(chosen))
    if chosen.json:
        print_json(page)
    else:
        print("\n".join(hoist_lines(page)))
    return 0


def hoist_list(chosen: Namespace) -> int:
    """All hoists, or those with these words."""
    shop = surveyed_shop(chosen)
    with working("looking"):
        known = summaries(shop)
        found: list[Summary] = [known[name] for name in find_words(" ".join(chosen.words), known)]
    if chosen.json:
        print_json(found)
    else:
        broken = {} if chosen.words else damaged(shop)
        print("\n".join([*list_lines(found), *damage_lines(broken)]))
    return 0


def who(shop: Shop, chosen: Namespace) -> str:
    """The name of who is at the keys; NotFoundError for a stranger, InputError where nobody is named."""
    if getattr(chosen, "by", None):
        if chosen.by not in people(shop):
            raise NotFoundError(f"{chosen.by} is not among the shop's people: {', '.join(people(shop))}")
        return str(chosen.by)
    person = person_of_login(shop, login())
    if person is None:
        raise InputError("who is at the keys? Say it with --as NAME")
    return person.name


def demo(chosen: Namespace) -> int:
    """The invented works: opened on a throwaway copy, walked through, or only written."""
    from fieldlog.cli.invented import make_works, open_works, walk_works

    if chosen.walk:
        return walk_works(Path(chosen.walk), context.now())
    if chosen.make:
        return make_works(Path(chosen.make), context.now())
    return open_works(context.now)
