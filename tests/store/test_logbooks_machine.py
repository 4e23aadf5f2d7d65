"""Any order of sealing, tearing, failing, sending again and reopening keeps every acknowledged record."""

import errno
import tempfile
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, precondition, rule

from fieldlog.domain.records import Withdrawal
from fieldlog.errors import ConflictError, NotSavedError
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from tests.store.faults import WatchedCalls
from tests.store.samples import HOIST, WHEN, uid, withdrawal

FILE = f"{HOIST}.jsonl"
TAILS = st.binary(min_size=1, max_size=40).map(lambda tail: tail.replace(b"\n", b""))


class Store(RuleBasedStateMachine):
    """The model is a list of (uid, reason); the logbook must always hold exactly that."""

    sealed = Bundle("sealed")

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.calls = WatchedCalls()
        self.logbooks = Logbooks(Path(self.folder.name), files=self.calls)
        self.model: list[tuple[str, str]] = []
        self.torn = b""
        self.aside: list[bytes] = []

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            self.folder.cleanup()

    @property
    def path(self) -> Path:
        return Path(self.folder.name) / "logbooks" / FILE

    def head(self) -> str:
        data = self.path.read_bytes() if self.path.exists() else b""
        lines = [line for line in data.splitlines(keepends=True) if line.endswith(b"\n")]
        return sha256(lines[len(self.model) - 1]).hexdigest() if self.model else GENESIS

    def send(self, number: int, reason: str, head: str) -> str:
        entry = self.logbooks.append(
            HOIST, withdrawal(reason), uid=uid(number), by="Ada Fenn", at=WHEN, expected_head=head
        )
        return entry.uid

    def tail_was_moved(self) -> None:
        if self.torn:
            self.aside.append(self.torn)
            self.torn = b""

    @rule(target=sealed, reason=st.text(max_size=20))
    def seal(self, reason: str) -> int:
        number = len(self.model)
        assert self.send(number, reason, self.head()) == uid(number)
        self.tail_was_moved()
        self.model.append((uid(number), reason))
        return number

    @rule(number=sealed)
    def send_again(self, number: int) -> None:
        assert self.send(number, "another reason", GENESIS) == uid(number)

    @precondition(lambda self: len(self.model) > 0)
    @rule()
    def seal_after_an_old_head(self) -> None:
        with pytest.raises(ConflictError):
            self.send(10**6, "late", GENESIS)

    @rule(tail=TAILS)
    def tear(self, tail: bytes) -> None:
        self.path.parent.mkdir(exist_ok=True)
        with self.path.open("ab") as file:
            file.write(tail)
        self.torn += tail

    @rule(call=st.sampled_from(["write", "fsync"]), taking=st.integers(0, 60))
    def fail(self, call: str, taking: int) -> None:
        if taking:
            self.calls.fail("write", FILE, OSError(errno.ENOSPC, "full"), taking=taking)
        self.calls.fail(call, FILE, OSError(errno.ENOSPC, "full"))
        before = self.path.read_bytes() if self.path.exists() else b""
        with pytest.raises(NotSavedError):
            self.send(10**6, "not saved", self.head())
        self.calls.clear()
        after = self.path.read_bytes() if self.path.exists() else b""
        if len(after) < len(before):
            assert before == after + self.torn
            self.tail_was_moved()

    @rule()
    def reopen(self) -> None:
        self.logbooks = Logbooks(Path(self.folder.name), files=self.calls)

    @invariant()
    def holds_what_was_acknowledged(self) -> None:
        if not hasattr(self, "model"):
            return
        book = self.logbooks.read(HOIST)
        assert book.problem is None
        assert [(entry.uid, entry.body) for entry in book.entries] == [
            (uid, Withdrawal(done_on=withdrawal().done_on, reason=reason)) for uid, reason in self.model
        ]
        assert book.torn == bool(self.torn)
        aside = self.path.with_name(FILE + ".torn")
        assert (aside.read_bytes() if aside.exists() else b"") == b"\n".join(self.aside)
        assert book.head == self.head()


TestStore = Store.TestCase
TestStore.settings = settings(
    max_examples=25,
    stateful_step_count=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
