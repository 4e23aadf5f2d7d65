"""What a command starts from: the store, the clock and who is at the keys."""

import getpass
import sys
from argparse import Namespace
from datetime import date, datetime
from pathlib import Path

from fieldlog.cli.place import store_at
from fieldlog.cli.progress import working
from fieldlog.operations.shop import Shop, need_settings, open_shop
from fieldlog.units import parse_date


def now() -> datetime:
    """The moment, with its offset from UTC."""
    return datetime.now().astimezone()  # noqa: TID251 (the clock is read here and handed down)


def day_of(chosen: Namespace) -> date:
    """The day asked for, else today."""
    return parse_date(chosen.on, "--on") if getattr(chosen, "on", "") else now().date()


def login() -> str:
    """The login name, or an empty text where the system knows none."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return ""


def has_terminal() -> bool:
    """Whether somebody sits there: keys come in, and the screen is drawn on standard error."""
    streams = (sys.stdin, sys.stdout, sys.stderr)
    return all(stream is not None and stream.isatty() for stream in streams)


def store_root(chosen: Namespace) -> Path:
    """--store, else FIELDLOG_STORE, else the user data directory."""
    return store_at(getattr(chosen, "store", None))


def shop_of(chosen: Namespace) -> Shop:
    """The shop's open store."""
    return open_shop(store_root(chosen))


def surveyed_shop(chosen: Namespace) -> Shop:
    """The shop's open store with every hoist in its register, for commands that ask about all of them.

    Logbooks that the register does not know yet are read with a bar: a large store's take a minute, once.
    NotFoundError before the shop's first start.
    """
    shop = shop_of(chosen)
    need_settings(shop)
    survey(shop)
    return shop


def survey(shop: Shop) -> None:
    """Bring the register up to the logbooks, with a bar."""
    with working("reading logbooks") as tell:
        shop.register.refresh(tell)
