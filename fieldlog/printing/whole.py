"""A file that is either there whole or not at all: written beside its place and put there when it is done."""

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from fieldlog.errors import InputError, NotSavedError

STREAMS = (Path("/dev"), Path("/proc"))


def is_taken(path: Path) -> bool:
    """Whether a file stands at `path` that would be lost: no pipe, nor a stream of this process by name."""
    return path.is_file() and not any(streams in path.parents for streams in STREAMS)


@contextmanager
def whole_file(path: Path, *, replace: bool = False) -> Iterator[BinaryIO]:
    """A stream to write; the file stands at `path` once the block ends well.

    Where the block raises, also to cancel, nothing is left and what stood there before stays. InputError
    where a file stands there already, also one that came meanwhile, unless it is to be replaced.
    NotSavedError where the file can not be written. What is no plain file, as /dev/stdout or a pipe, is
    written straight; so is a link's target.
    """
    stands = path.exists()
    if not replace and is_taken(path):
        raise _taken(path)
    if stands and not path.is_file():
        with _told(path), path.open("wb") as stream:
            yield stream
        return
    place = path.resolve() if path.is_symlink() else path
    beside = place.with_name(f".{place.name[:100]}-{secrets.token_hex(4)}")
    try:
        with _told(path):
            with beside.open("xb") as stream:
                yield stream
                stream.flush()
                os.fsync(stream.fileno())
            if not (stands or replace):
                _reserve(path, place)
            elif place.exists():
                beside.chmod(place.stat().st_mode & 0o777)
            beside.replace(place)
    except BaseException:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


def _reserve(path: Path, place: Path) -> None:
    """An empty file for a moment: a rename alone takes the place of one that came meanwhile."""
    try:
        place.open("xb").close()
    except FileExistsError:
        raise _taken(path) from None


def _taken(path: Path) -> InputError:
    return InputError(f"{path} is there already: name another file")


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """What the system refuses, as one sentence."""
    try:
        yield
    except OSError as error:
        raise NotSavedError(f"{path} can not be written: {error.strerror or error}") from error
