"""What a command starts from: the store, the clock and who is at the keys."""

import getpass
import os
import sys
from argparse import Namespace
from datetime import date, datetime
from pathlib import Path

from fieldlog.errors import InputError
from fieldlog.operations.shop import Shop, open_shop
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
    named = getattr(chosen, "store", None) or os.environ.get("FIELDLOG_STORE", "")
    if named:
        root = Path(named).expanduser()
        if root.exists() and not root.is_dir():
            raise InputError(f"the store {root} is a file: name a folder")
        return root
    import platformdirs

    return Path(platformdirs.user_data_dir("fieldlog", appauthor=False))


def shop_of(chosen: Namespace) -> Shop:
    """The shop's open store."""
    return open_shop(store_root(chosen))
