"""Finding the invented works: inside the package when installed, beside it in a checkout."""

import sys
import tempfile
from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType

from fieldlog.cli.context import has_terminal
from fieldlog.errors import InputError, NotFoundError


def _module(name: str) -> ModuleType:
    for package in ("fieldlog.demo", "demo"):
        if find_spec(package) is not None:
            return import_module(f"{package}.{name}")
    raise NotFoundError("this installation of fieldlog carries no demo")


def _empty(folder: Path) -> Path:
    folder = folder.expanduser()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise InputError(f"{folder} is not empty: name a new folder")
    except FileExistsError:
        raise InputError(f"{folder} is a file: name a new folder") from None
    except OSError as error:
        raise InputError(f"{folder} can not be used ({error.strerror}): name another folder") from error
    return folder


def _progress(done: int, total: int) -> None:
    if sys.stderr.isatty():
        end = "\n" if done == total else ""
        print(f"\rwriting four years of the invented works: {done} of {total}", end=end, file=sys.stderr)


def make_works(folder: Path, moment: datetime) -> int:
    """Write the invented store into a new folder."""
    root = _empty(folder)
    _module("history").write_history(root, moment, progress=_progress)
    print(f"{root}: the invented Saltmarsh Water Works; open it with fieldlog --store {root}")
    return 0


def walk_works(folder: Path, moment: datetime) -> int:
    """Do one job from tag to sticker without a terminal, saying each step."""
    code: int = _module("walk").walk(_empty(folder), moment, print)
    return code


def open_works(clock: Callable[[], datetime]) -> int:
    """Open the application on a throwaway store of the invented works."""
    if not has_terminal():
        raise InputError("the demo needs a terminal; without one: fieldlog demo --walk DIR")
    from fieldlog.cli.terminal import open_terminal
    from fieldlog.operations.shop import open_shop

    with tempfile.TemporaryDirectory(prefix="fieldlog-demo-") as name:
        history = _module("history")
        history.write_history(Path(name), clock(), progress=_progress)
        return open_terminal(open_shop(Path(name)), login="demo", clock=clock, by=history.TECHNICIAN)
