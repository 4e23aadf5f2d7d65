"""Whatever is sealed, torn, struck out, reopened and changed, verifying says exactly what is wrong."""

import tempfile
from hashlib import sha256
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from fieldlog.domain.corrections import struck_lines
from fieldlog.domain.records import Body, StruckOut
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.verify import verify_store
from fieldlog.store.verify_logbook import Anchor
from tests.store.samples import HOIST, WHEN, uid, withdrawal
from tests.store.stores import register, registration


class Kept(RuleBasedStateMachine):
    """The model is the list of sealed bodies and of the hashes of their lines, worked out from the bytes."""

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.root = Path(self.folder.name)
        self.logbooks = Logbooks(self.root)
        self.bodies: list[Body] = []
        self.torn = False
        self.known: list[str] = []
        self.path = self.root / "logbooks" / f"{HOIST}.jsonl"
        self.seal(registration(HOIST))

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            self.folder.cleanup()

    def lines(self) -> list[bytes]:
        return self.path.read_bytes().splitlines(keepends=True)[: len(self.bodies)]

    def heads(self) -> list[str]:
        return [sha256(line).hexdigest() for line in self.lines()]

    def seal(self, body: Body) -> None:
        number = len(self.bodies)
        head = self.heads()[-1] if self.bodies else "0" * 64
        self.logbooks.append(HOIST, body, uid=uid(number), by="Ada Fenn", at=WHEN, expected_head=head)
        self.bodies.append(body)
        self.torn = False

    @rule(reason=st.text(max_size=10))
    def withdraw(self, reason: str) -> None:
        self.seal(withdrawal(reason))

    @precondition(lambda self: len(self.bodies) > 1)
    @rule(data=st.data())
    def correct(self, data: st.DataObject) -> None:
        place = data.draw(st.integers(1, len(self.bodies) - 1))
        self.seal(StruckOut(line=self.heads()[place], why="typed for another hoist"))

    @rule(
        tail=st.binary(min_size=1, max_size=20).map(
            lambda tail: tail.replace(b"\n", b"x").replace(b"\r", b"x")
        )
    )
    def tear(self, tail: bytes) -> None:
        with self.path.open("ab") as file:
            file.write(tail)
        self.torn = True

    @rule()
    def reopen(self) -> None:
        self.logbooks = Logbooks(self.root)

    @rule()
    def look(self) -> None:
        register(self.root).refresh()

    @precondition(lambda self: not self.torn)
    @rule(data=st.data(), bit=st.integers(0, 7))
    def flip_a_byte(self, data: st.DataObject, bit: int) -> None:
        """A change anywhere is found, and is gone when the bytes are put back."""
        good = self.path.read_bytes()
        changed = bytearray(good)
        changed[data.draw(st.integers(0, len(good) - 1))] ^= 1 << bit
        self.path.write_bytes(bytes(changed))
        assert verify_store(self.root, witnesses=[self.witness()]).problems
        self.path.write_bytes(good)

    @precondition(lambda self: len(self.bodies) > 1 and not self.torn)
    @rule(data=st.data())
    def take_a_line_out(self, data: st.DataObject) -> None:
        good, lines = self.path.read_bytes(), self.lines()
        del lines[data.draw(st.integers(0, len(lines) - 1))]
        self.path.write_bytes(b"".join(lines))
        assert verify_store(self.root, witnesses=[self.witness()]).problems
        self.path.write_bytes(good)

    def witness(self) -> dict[str, Anchor]:
        """What was noted of the logbook before its bytes were changed."""
        return {HOIST: Anchor(head=self.known[-1], lines=len(self.bodies), source="heads.txt")}

    @invariant()
    def verifies(self) -> None:
        if not getattr(self, "bodies", None):
            return
        self.known = self.heads()
        report = verify_store(self.root, witnesses=[self.witness()])
        assert len(report.problems) == int(self.torn)
        (book,) = report.logbooks
        assert (book.lines, book.head) == (len(self.bodies), self.known[-1])
        entries = self.logbooks.read(HOIST).entries
        assert [entry.body for entry in entries] == self.bodies
        assert set(struck_lines(entries)) <= set(self.known)


TestKept = Kept.TestCase
TestKept.settings = settings(
    max_examples=20,
    stateful_step_count=15,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
