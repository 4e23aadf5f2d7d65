"""A file that is either there whole or not at all: written beside its place and put there when it is done."""

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from fieldlog.errors import NotSavedError


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """A stream to write; the file stands at `path` once the block ends well.

    Where the block raises, also to cancel, nothing is left and what stood there before stays. NotSavedError
    where the file can not be written. What is no plain file, as /dev/stdout or a pipe, is written straight;
    so is a link's target.
    """
    place = path.resolve() if path.is_symlink() else path
    if place.exists() and not place.is_file():
        with _told(path), place.open("wb") as stream:
            yield stream
        return
    beside = place.with_name(f".{place.name[:100]}-{secrets.token_hex(4)}")
    try:
        with _told(path):
            with beside.open("xb") as stream:
                yield stream
                stream.flush()
                os.fsync(stream.fileno())
            if place.exists():
                beside.chmod(place.stat().st_mode & 0o777)
            beside.replace(place)
    except BaseException:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """What the system refuses, as one sentence."""
    try:
        yield
    except OSError as error:
        raise NotSavedError(f"{path} can not be written: {error.strerror or error}") from error
