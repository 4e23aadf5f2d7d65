"""fieldlog shop: the shop's own settings, shown and changed."""

import argparse
from argparse import Namespace
from collections.abc import Callable
from typing import Any

from fieldlog.cli import context
from fieldlog.cli.commands import who
from fieldlog.cli.output import print_json
from fieldlog.domain.records import ShopSettings
from fieldlog.operations.shop import need_settings

EXAMPLES = """\
examples:
  fieldlog shop show --json
  fieldlog shop set --length-unit in --mass-unit lb    labels and reports in inches and pounds
  fieldlog shop set --address '7 Sluice Lane, Saltmarsh'

Records stay in mm and kg. On paper the recorded value stands in brackets beside every converted one.
"""

SETTINGS = {
    "--length-unit": ("length_unit", "UNIT", "mm or in, on labels and reports"),
    "--mass-unit": ("mass_unit", "UNIT", "kg or lb, on labels and reports"),
    "--name": ("shop", "TEXT", "the shop's name"),
    "--address": ("address", "TEXT", "the address on the shop's reports"),
    "--rulebook": ("rulebook", "NAME", "proposed for hoists that come; those that hang keep theirs"),
    "--stricter-rule": ("stricter", "yes|no", "whether a stricter rule goes before the maker's book"),
}
"""Options of `set`: the field that each one fills, and what help says of it."""

AddStore = Callable[[argparse.ArgumentParser], None]


def add_to(commands_of: Any, add_store: AddStore) -> None:
    """Add `fieldlog shop show` and `fieldlog shop set`."""
    shop = commands_of.add_parser(
        "shop",
        help="the shop's own settings: name, address, rulebook, units on paper",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    verbs = shop.add_subparsers(dest="verb", required=True, metavar="VERB")
    shown = verbs.add_parser("show", help="what is set")
    add_store(shown)
    shown.add_argument("--json", action="store_true", help="as JSON")
    shown.set_defaults(run=show)
    changed = verbs.add_parser("set", help="change it; what is not named stays")
    add_store(changed)
    for flag, (_, metavar, told) in SETTINGS.items():
        changed.add_argument(flag, metavar=metavar, help=told)
    changed.add_argument("--json", action="store_true", help="as JSON")
    changed.set_defaults(run=change, check=lambda chosen: _check(changed, chosen))


def _check(parser: argparse.ArgumentParser, chosen: Namespace) -> None:
    if not _named(chosen):
        parser.error(f"name what is to be set: {', '.join(SETTINGS)}")


def _named(chosen: Namespace) -> dict[str, str]:
    """What is to be set, by the names that the form has for it."""
    given = {
        name: getattr(chosen, flag.removeprefix("--").replace("-", "_"))
        for flag, (name, *_) in SETTINGS.items()
    }
    return {name: text for name, text in given.items() if text is not None}


def show(chosen: Namespace) -> int:
    """The shop's settings as they hold."""
    _tell(chosen, need_settings(context.shop_of(chosen)))
    return 0


def change(chosen: Namespace) -> int:
    """Record what is named, then show all."""
    from fieldlog.operations.shop_settings import set_shop

    shop = context.shop_of(chosen)
    need_settings(shop)
    by, now = who(shop, chosen), context.now()
    _tell(chosen, set_shop(shop, _named(chosen), by=by, now=now, today=now.date()))
    return 0


def _tell(chosen: Namespace, settings: ShopSettings) -> None:
    if chosen.json:
        print_json(settings)
        return
    print(f"shop: {settings.shop}")
    print(f"address: {settings.address or 'not recorded'}")
    print(f"tag prefix: {settings.prefix}")
    print(f"rulebook: {settings.rulebook}")
    print(f"stricter rule governs: {'yes' if settings.stricter_rule_governs else 'no'}")
    print(f"units on paper: {settings.length_unit}, {settings.mass_unit}")
