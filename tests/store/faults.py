"""File calls that are watched, that fail when told to, and that kill their own process at a given call."""

import os
import signal
import stat
from pathlib import Path

from fieldlog.store.files import FileCalls


class WatchedCalls(FileCalls):
    """Notes each call as (call, file name), and fails at the calls it was told of."""

    def __init__(self) -> None:
        self.seen: list[tuple[str, str]] = []
        self._names: dict[int, str] = {}
        self._plan: list[tuple[str, str, int, BaseException]] = []

    def fail(self, call: str, ending: str, error: BaseException, *, taking: int = 0) -> None:
        """Let the next `call` on a file whose name ends so raise `error`; a write first takes some bytes."""
        self._plan.append((call, ending, taking, error))

    def clear(self) -> None:
        self.seen.clear()
        self._plan.clear()

    def _due(self, call: str, name: str) -> tuple[int, BaseException] | None:
        self.seen.append((call, name))
        for planned in self._plan:
            if planned[0] == call and name.endswith(planned[1]):
                self._plan.remove(planned)
                return planned[2], planned[3]
        return None

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        due = self._due("open", path.name)
        if due:
            raise due[1]
        fd = super().open(path, flags, mode)
        self._names[fd] = path.name
        return fd

    def write(self, fd: int, data: memoryview) -> int:
        due = self._due("write", self._names[fd])
        if due:
            if due[0]:
                return super().write(fd, data[: due[0]])
            raise due[1]
        return super().write(fd, data)

    def fsync(self, fd: int) -> None:
        name = "folder" if stat.S_ISDIR(os.fstat(fd).st_mode) else self._names[fd]
        due = self._due("fsync", name)
        if due:
            raise due[1]
        super().fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        due = self._due("truncate", self._names[fd])
        if due:
            raise due[1]
        super().truncate(fd, size)

    def replace(self, old: Path, new: Path) -> None:
        due = self._due("replace", new.name)
        if due:
            raise due[1]
        super().replace(old, new)


class KillingCalls(FileCalls):
    """Kills this process at the call of that number: before it, after it, or with half of a write done."""

    def __init__(self, number: int, moment: str) -> None:
        self._left = number
        self._moment = moment

    def _now(self, moment: str) -> None:
        if self._left == 0 and moment == self._moment:
            os.kill(os.getpid(), signal.SIGKILL)

    def open(self, path: Path, flags: int, mode: int = 0o600) -> int:
        self._left -= 1
        self._now("before")
        fd = super().open(path, flags, mode)
        self._now("after")
        return fd

    def write(self, fd: int, data: memoryview) -> int:
        self._left -= 1
        self._now("before")
        if self._left == 0 and self._moment == "half":
            super().write(fd, data[: len(data) // 2])
            self._now("half")
        taken = super().write(fd, data)
        self._now("after")
        return taken

    def fsync(self, fd: int) -> None:
        self._left -= 1
        self._now("before")
        super().fsync(fd)
        self._now("after")

    def truncate(self, fd: int, size: int) -> None:
        self._left -= 1
        self._now("before")
        super().truncate(fd, size)
        self._now("after")

    def replace(self, old: Path, new: Path) -> None:
        self._left -= 1
        self._now("before")
        super().replace(old, new)
        self._now("after")
