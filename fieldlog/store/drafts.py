"""Work that is not sealed yet: one small file a draft, replaced as a whole at every save."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from fieldlog.domain.records import Draft
from fieldlog.errors import InputError, NotFoundError, Problem, StoreError
from fieldlog.store.codec import UID, from_plain, plain
from fieldlog.store.files import FileCalls, is_shared, make_folder, refusal, replace_file
from fieldlog.store.locks import hold

WAIT_SECONDS = 0.05
"""Nobody waits longer for a draft at a key; to compare and save one takes a few milliseconds."""
LOCK_DIGITS = 2
"""So many digits of the uid name the lock: lock files are never deleted, and drafts come and go."""
_FILE = re.compile(rf"({UID.pattern})\.json")
_REMEDY_ASIDE = "What was typed can still be read in that file."
_REMEDY_LEFT = "Ask whoever looks after the store for the right to read it."


class Drafts:
    """The drafts in `folder`, which is made at the first save. May be used from several threads.

    Who compares a draft with what stands on the disk before saving or removing it does so while it is `held`.
    """

    def __init__(self, folder: Path, *, files: FileCalls | None = None) -> None:
        self.folder = folder
        self._files = files or FileCalls()

    def save(self, draft: Draft) -> None:
        """Keep the draft in the place of what was kept under its uid.

        A crash at any moment leaves the old or the new one, never half of it. InputError for a draft that
        could not be loaded again, NotSavedError or StoreError where the system refuses.
        """
        path = self._path(draft.uid)
        data = _text(draft)
        try:
            shared = is_shared(self.folder)
            make_folder(self._files, self.folder, shared=shared)
            replace_file(self._files, path, data, shared=shared, durable=True)
        except OSError as fault:
            raise refusal(fault, "the draft") from fault

    @contextmanager
    def held(self, uid: str) -> Iterator[None]:
        """Keep every other session that asks from this draft while the block runs.

        LockedError, after a wait too short to be felt, where another session has it in hand at this moment.
        """
        self._path(uid)
        locks = self.folder.parent / "locks"
        shared = is_shared(self.folder)
        try:
            make_folder(self._files, locks, shared=shared)
        except OSError as fault:
            raise refusal(fault, "the draft") from fault
        lock = locks / f"draft-{uid[:LOCK_DIGITS]}.lock"
        with hold(lock, "this draft", shared=shared, seconds=WAIT_SECONDS, files=self._files):
            yield

    def load(self, uid: str) -> Draft:
        """The draft as last saved; NotFoundError where there is none, StoreError where it can not be read."""
        try:
            return _read(self._path(uid))
        except FileNotFoundError:
            raise NotFoundError(f"there is no draft {uid}: it was sealed or discarded") from None
        except OSError as fault:
            raise StoreError(f"the draft {uid} can not be read ({fault.strerror})") from fault

    def all(self) -> tuple[list[Draft], list[Problem]]:
        """Every draft, the one saved last first, and a problem for each file that does not read as one.

        Such a file is set aside under its name with .broken after it, so it is told of once and not lost.
        """
        drafts: list[Draft] = []
        problems: list[Problem] = []
        try:
            paths = sorted(path for path in self.folder.iterdir() if _FILE.fullmatch(path.name))
        except FileNotFoundError:
            return [], []
        except OSError as fault:
            raise StoreError(f"the drafts in {self.folder} can not be read ({fault.strerror})") from fault
        for path in paths:
            try:
                drafts.append(_read(path))
            except FileNotFoundError:
                continue  # sealed or discarded by another session since the folder was listed
            except OSError as fault:
                wrong = f"this draft can not be read ({fault.strerror})."
                problems.append(Problem(place=f"drafts/{path.name}", wrong=wrong, todo=_REMEDY_LEFT))
            except StoreError as fault:
                problems.append(_set_aside(path, str(fault)))
        return sorted(drafts, key=lambda draft: draft.saved, reverse=True), problems

    def remove(self, uid: str) -> None:
        """Forget the draft; nothing happens where there is none."""
        try:
            self._path(uid).unlink(missing_ok=True)
        except OSError as fault:
            raise StoreError(f"the draft {uid} could not be removed ({fault.strerror})") from fault

    def _path(self, uid: str) -> Path:
        if not UID.fullmatch(uid):
            raise InputError(f"no draft can be called {uid[:40]!r}: its uid is 32 hex digits")
        return self.folder / f"{uid}.json"


def _text(draft: Draft) -> bytes:
    """The draft as JSON; its escapes keep even half a character, as a broken terminal may send it."""
    try:
        text = json.dumps(plain(draft), allow_nan=False, indent=1)
        _checked(json.loads(text), draft.uid)
    except (TypeError, ValueError, StoreError) as fault:
        raise InputError(f"this draft can not be kept: {fault}") from None
    return text.encode() + b"\n"


def _read(path: Path) -> Draft:
    try:
        data = json.loads(path.read_bytes())
    except (ValueError, RecursionError) as fault:
        raise StoreError(f"it is not JSON ({fault})") from None
    return _checked(data, path.stem)


def _checked(data: Any, uid: str) -> Draft:
    draft = from_plain(data, Draft)
    if draft.uid != uid:
        raise StoreError("it holds another draft than its name says")
    if draft.begun.tzinfo is None or draft.saved.tzinfo is None:
        raise StoreError("its times lack the offset from UTC")
    return draft


def _set_aside(path: Path, wrong: str) -> Problem:
    aside, count = path.with_name(path.name + ".broken"), 1
    while aside.exists():
        count += 1
        aside = path.with_name(f"{path.name}.broken{count}")
    place = f"drafts/{aside.name}"
    with suppress(OSError):
        path.rename(aside)
        return Problem(place=place, wrong=f"this draft does not read: {wrong}.", todo=_REMEDY_ASIDE)
    return Problem(
        place=f"drafts/{path.name}", wrong=f"this draft does not read: {wrong}.", todo=_REMEDY_ASIDE
    )
