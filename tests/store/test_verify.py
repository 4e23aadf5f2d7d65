"""The whole store is checked: what was cut, deleted, renamed or put in is found by a witness of before."""

import json
import shutil
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.domain.records import Signature
from fieldlog.errors import StoreError
from fieldlog.store import cores
from fieldlog.store.heads import heads_text, parse_heads
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.signatures import sign
from fieldlog.store.signers import Signer, parse_key, revoke, trust
from fieldlog.store.verify import StoreReport, stored_names, verify_store
from tests.store.keys import make_key, public
from tests.store.samples import HOIST, OTHER, withdrawal
from tests.store.stores import put, register, registration, small_store


@pytest.fixture
def root(tmp_path: Path) -> Path:
    small_store(tmp_path)
    return tmp_path


def path_of(root: Path, tag: str = HOIST) -> Path:
    return root / "logbooks" / f"{tag}.jsonl"


def told(report: StoreReport) -> list[str]:
    return [str(problem) for problem in report.problems]


def cut(path: Path, lines: int = 1) -> None:
    """Take the last lines off, so that what is left is a whole logbook."""
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-lines]))


def test_a_clean_store_has_no_problem(root: Path) -> None:
    assert register(root).refresh() == {HOIST, OTHER}
    report = verify_store(root)
    assert (report.problems, report.notes) == ((), ())
    assert [book.name for book in report.logbooks] == ["settings", "people", "instruments", HOIST, OTHER]
    assert sum(book.lines for book in report.logbooks) == 9
    # nothing of it was written or changed
    assert stored_names(root) == [book.name for book in report.logbooks]


def test_a_store_that_is_not_there_is_empty(tmp_path: Path) -> None:
    assert verify_store(tmp_path / "none").logbooks == ()


def test_a_folder_that_can_not_be_listed_is_said(tmp_path: Path) -> None:
    (tmp_path / "logbooks").write_bytes(b"")
    with pytest.raises(StoreError, match="can not be listed"):
        verify_store(tmp_path)


def test_only_the_named_logbooks_are_checked(root: Path) -> None:
    path_of(root, OTHER).write_bytes(b"spoilt\n")
    assert verify_store(root, [HOIST]).problems == ()
    assert len(verify_store(root, [HOIST, OTHER]).problems) == 1
    (missing,) = told(verify_store(root, ["SW-0001-0"]))
    assert missing.startswith("logbooks/SW-0001-0.jsonl: there is no such logbook.")


def test_the_shop_s_own_logbooks_are_checked_too(root: Path) -> None:
    path = root / "shop" / "people.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"name"', b'"nama"'))
    (problem,) = told(verify_store(root))
    assert problem.startswith("shop/people.jsonl line 1: it does not read as a record")


@pytest.mark.parametrize("witness", ["register", "heads"])
class TestWitnesses:
    """The register remembers every hoist's last line, a heads file elsewhere those of the shop too."""

    @pytest.fixture
    def verify(self, root: Path, witness: str) -> Iterator[Callable[[], StoreReport]]:
        if witness == "register":
            register(root).refresh()
            yield lambda: verify_store(root)
        else:
            anchors = parse_heads(heads_text(verify_store(root).logbooks), "heads.txt")
            yield lambda: verify_store(root, witnesses=[anchors])

    def test_a_cut_logbook_is_found(
        self, root: Path, verify: Callable[[], StoreReport], witness: str
    ) -> None:
        cut(path_of(root))
        (problem,) = told(verify())
        assert problem.startswith(f"logbooks/{HOIST}.jsonl: its line 3 was ")
        assert ("the register" if witness == "register" else "heads.txt") in problem

    def test_a_deleted_logbook_is_found(self, root: Path, verify: Callable[[], StoreReport]) -> None:
        path_of(root).unlink()
        (problem,) = told(verify())
        assert problem.startswith(f"logbooks/{HOIST}.jsonl: this logbook is gone;")

    def test_a_changed_last_line_is_found(self, root: Path, verify: Callable[[], StoreReport]) -> None:
        path = path_of(root)
        path.write_bytes(path.read_bytes().replace(b"reason 2", b"reason 3"))
        assert len(told(verify())) == 1

    def test_a_logbook_forged_anew_from_its_start_is_found(
        self, root: Path, tmp_path: Path, verify: Callable[[], StoreReport]
    ) -> None:
        path_of(root).unlink()
        again = Logbooks(root)
        put(again, HOIST, registration(HOIST), number=1)
        assert len(told(verify())) == 1

    def test_what_was_sealed_since_is_no_problem(self, root: Path, verify: Callable[[], StoreReport]) -> None:
        put(Logbooks(root), HOIST, withdrawal("later"), number=77)
        assert told(verify()) == []


def test_a_deleted_logbook_of_the_shop_is_found_by_the_heads(root: Path) -> None:
    anchors = parse_heads(heads_text(verify_store(root).logbooks), "heads.txt")
    (root / "shop" / "people.jsonl").unlink()
    (problem,) = told(verify_store(root, witnesses=[anchors]))
    assert problem.startswith("shop/people.jsonl: this logbook is gone; heads.txt knows it.")


def test_two_logbooks_that_changed_names_are_found(root: Path) -> None:
    one, two, aside = path_of(root), path_of(root, OTHER), root / "aside"
    one.rename(aside), two.rename(one), aside.rename(two)
    assert len(told(verify_store(root))) == 2


def test_a_register_that_shows_otherwise_is_found(root: Path) -> None:
    register(root).refresh()
    path = root / "register.json"
    text = path.read_bytes()
    assert text.count(b'"entries":3') == 2
    path.write_bytes(text.replace(b'"entries":3', b'"entries":4', 1))
    assert len(told(verify_store(root))) == 1
    # one that does not read is only a cache that is worked out anew
    path.write_bytes(text[:-5])
    assert told(verify_store(root)) == []


def test_a_register_that_stopped_at_an_earlier_line_is_found(root: Path) -> None:
    """Its head is a line of the logbook, and the file's state is the one it knows: only the ends differ."""
    register(root).refresh()
    path = root / "register.json"
    kept = json.loads(path.read_bytes())
    (document,) = (one for one in kept["hoists"].values() if one["name"] == HOIST)
    _, second, _ = path_of(root).read_bytes().splitlines(keepends=True)
    document["head"], document["row"]["entries"] = sha256(second).hexdigest(), 2
    path.write_text(json.dumps(kept))
    (problem,) = told(verify_store(root))
    assert "the register shows" in problem


def test_the_register_goes_on_telling_of_a_changed_end(root: Path) -> None:
    cache = register(root)
    cache.refresh()
    path = path_of(root)
    path.write_bytes(path.read_bytes().replace(b"reason 2", b"reason 3"))
    for _ in range(2):
        again = register(root)
        again.refresh()
        row = again.row(HOIST)
        assert row is not None
        assert "it no longer holds the line" in row["problem"]
        assert len(told(verify_store(root))) == 1
    (root / "register.json").unlink()
    again = register(root)
    again.refresh()
    assert (again.row(HOIST) or {})["problem"] == ""


def test_what_does_not_belong_among_the_logbooks_is_told(root: Path) -> None:
    for name in ("notes.txt", "SW-0009-K.jsonl.bak", "people.jsonl"):
        (root / "logbooks" / name).write_bytes(b"")
    (root / "logbooks" / f"{HOIST}.jsonl.torn").write_bytes(b"{")
    assert [line.split(":")[0] for line in sorted(told(verify_store(root)))] == [
        "logbooks/SW-0009-K.jsonl.bak",
        "logbooks/notes.txt",
        "logbooks/people.jsonl",
    ]


def test_a_link_in_the_place_of_a_logbook_is_not_followed(root: Path, tmp_path: Path) -> None:
    path = path_of(root)
    shutil.move(path, tmp_path / "elsewhere")
    path.symlink_to(tmp_path / "elsewhere")
    (problem,) = told(verify_store(root))
    assert "can not be read" in problem


def test_many_logbooks_on_all_cores_give_the_same_report(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path_of(root).write_bytes(b"spoilt\n")
    alone = verify_store(root)
    monkeypatch.setattr(cores, "FEW", 1)
    monkeypatch.setattr(cores, "AT_ONCE", 2)
    seen: list[tuple[int, int]] = []
    assert verify_store(root, progress=lambda done, total: seen.append((done, total))) == alone
    assert seen == [(2, 5), (4, 5), (5, 5)]


def test_signatures_are_checked_and_counted(root: Path, tmp_path: Path) -> None:
    logbooks, key = Logbooks(root), make_key(tmp_path)
    own = parse_key(public(key).read_text(), "the test")
    line = path_of(root).read_bytes().splitlines(keepends=True)[1]
    text, _ = sign(line, key)
    entry = logbooks.read(HOIST).entries[1]
    body = Signature(line=entry.line, principal="Ada_Fenn", key=own.fingerprint, signature=text)
    put(logbooks, HOIST, body, number=50)
    (problem,) = told(verify_store(root))
    assert "is unknown here as theirs" in problem
    trust(root, Signer(principal="Ada_Fenn", key=own))
    report = verify_store(root)
    assert told(report) == []
    (book,) = [book for book in report.logbooks if book.name == HOIST]
    assert (book.lines, book.seals, book.signed) == (4, 3, 1)
    revoke(root, own)
    (problem,) = told(verify_store(root))
    assert problem.startswith(f"logbooks/{HOIST}.jsonl line 4: ")
    assert "is revoked" in problem
