"""What the register shows of a hoist is worked out anew from its logbook and compared."""

import json
from hashlib import sha256
from pathlib import Path
from zlib import crc32

import pytest

from fieldlog.errors import StoreError
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from fieldlog.store.register import Register
from fieldlog.store.verify import verify_store
from tests.store.samples import HOIST, OTHER, withdrawal
from tests.store.stores import put, register, small_store
from tests.store.test_verify import path_of, told


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path)
    return tmp_path


class TestRows:
    """What the lists show of a hoist is worked out anew from its logbook and compared.

    The row is the text that `row_of` of the tests gives; a forger who also puts the sum right is found too.
    """

    @staticmethod
    def forge(root: Path, old: bytes, new: bytes) -> None:
        """Change the rows and put the sum right, as only somebody who means it would."""
        path = root / "register.json"
        kept = json.loads(path.read_bytes())
        hoists = json.dumps(kept["hoists"], separators=(",", ":")).encode()
        assert crc32(hoists) == kept["meta"]["1"]["crc32"]
        assert old in hoists
        hoists = hoists.replace(old, new, 1)
        kept["meta"]["1"]["crc32"] = crc32(hoists)
        path.write_bytes(b'{"meta":' + json.dumps(kept["meta"]).encode() + b',"hoists":' + hoists + b"}")

    def test_rows_that_stand_as_they_were_written_are_no_problem(self, root: Path) -> None:
        cache = register(root)
        cache.refresh()
        assert told(verify_store(root, register=cache)) == []

    def test_a_row_that_shows_otherwise_is_found(self, root: Path) -> None:
        register(root).refresh()
        self.forge(root, b'"row":{"entries":3,"head":"', b'"row":{"entries":3,"head":"0')
        # heads and numbers of lines are right, so that only the row can tell
        assert told(verify_store(root)) == []
        (problem,) = told(verify_store(root, register=register(root)))
        assert problem.startswith(f"register.json: the register shows {HOIST} otherwise")

    @pytest.mark.parametrize("what", ["head", "problem"])
    def test_neither_an_empty_head_nor_a_made_up_problem_keeps_it_from_being_compared(
        self, root: Path, what: str
    ) -> None:
        register(root).refresh()
        head = sha256(path_of(root).read_bytes().splitlines(keepends=True)[-1]).hexdigest().encode()
        if what == "head":
            self.forge(root, b'"head":"%b","problem"' % head, b'"head":"%b","problem"' % (b"0" * 64))
        else:
            self.forge(root, b'"problem":""', b'"problem":"bent"')
        (problem,) = told(verify_store(root, register=register(root)))
        assert problem.startswith(f"register.json: the register shows {HOIST} otherwise")
        assert "then delete register.json and due*.rows" in problem

    def test_a_whole_logbook_that_can_not_be_folded_is_shown_so_and_clean(self, root: Path) -> None:
        def refuse(_book: Logbook) -> dict[str, object]:
            raise StoreError("no rulebook of that name")

        cache = Register(root / "register.json", Logbooks(root), stamp="test", row_of=refuse)
        cache.refresh()
        assert set(cache.problems()) == {HOIST, OTHER}
        assert told(verify_store(root, register=cache)) == []

    def test_a_row_that_can_not_be_worked_out_is_told(self, root: Path) -> None:
        register(root).refresh()

        def refuse(_book: Logbook) -> dict[str, object]:
            raise StoreError("no rulebook of that name")

        cache = Register(root / "register.json", Logbooks(root), stamp="test", row_of=refuse)
        assert len(told(verify_store(root, register=cache))) == 2

    def test_rows_of_other_rules_are_not_compared(self, root: Path) -> None:
        register(root).refresh()
        other = Register(root / "register.json", Logbooks(root), stamp="other rules", row_of=lambda _book: {})
        assert told(verify_store(root, register=other)) == []

    def test_a_row_beside_a_problem_is_not_compared(self, root: Path) -> None:
        path = path_of(root)
        path.write_bytes(path.read_bytes().replace(b"reason 1", b"reason 7"))
        cache = register(root)
        cache.refresh()
        (problem,) = told(verify_store(root, register=cache))
        assert problem.startswith(f"logbooks/{HOIST}.jsonl line 3")

    def test_a_row_of_a_logbook_that_went_on_since_is_not_compared(self, root: Path) -> None:
        cache = register(root)
        cache.refresh()
        put(Logbooks(root), HOIST, withdrawal("later"), number=77)
        assert told(verify_store(root, register=cache)) == []
