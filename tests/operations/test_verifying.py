"""Verifying a shop: its instruments, its heads file, and what the last clean verify has seen."""

from datetime import timedelta
from pathlib import Path
from zlib import crc32

import pytest

from fieldlog.domain.records import Site
from fieldlog.errors import InputError, NotSavedError
from fieldlog.operations import verifying
from fieldlog.operations.shop import Shop, append_to_shop, open_records, open_shop
from fieldlog.operations.verifying import VERIFIED, known_instruments, verify
from fieldlog.rulebook.loader import load_all
from tests.operations.builder import ADA, CALIPER, NOW, inspect, ready_shop, register, with_instrument
from tests.operations.test_own_rules import OWN, with_own


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path / "store")
    inspect(shop, register(shop).id)
    return shop


def path_of(shop: Shop) -> Path:
    (path,) = (shop.root / "logbooks").glob("*.jsonl")
    return path


def drop_last_line(path: Path) -> None:
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))


def test_instruments_of_the_shop_and_bare_types_are_known(shop: Shop) -> None:
    with_instrument(shop, "caliper A")
    known = known_instruments(shop)
    types = {each.id for rulebook in load_all().values() for each in rulebook.instruments}
    assert known == types | {"caliper A"}
    assert CALIPER in known


def test_a_clean_shop_counts_its_lines(shop: Shop) -> None:
    found = verify(shop)
    assert (found.problems, found.notes, found.heads) == ((), (), "")
    assert (found.logbooks, found.lines, found.signed, found.unsigned) == (3, 4, 0, 4)
    assert found.size == sum(path.stat().st_size for path in shop.root.rglob("*.jsonl"))


def forge_row(shop: Shop, old: bytes, new: bytes) -> None:
    """Change what the lists show and put the sum right, as only somebody who means it would."""
    path = shop.root / "register.json"
    text = path.read_bytes()
    hoists = text.partition(b',"hoists":')[2][:-1]
    assert old in hoists
    forged = hoists.replace(old, new)
    sums = [f'"crc32":{crc32(part)}'.encode() for part in (hoists, forged)]
    assert sums[0] in text
    path.write_bytes(text.replace(hoists, forged).replace(*sums))


def test_what_the_lists_show_is_worked_out_anew_and_compared(shop: Shop) -> None:
    """A forged row would hide a due date or a stop from every list."""
    shop.register.refresh()
    assert verify(shop).problems == ()
    forge_row(shop, b"2026", b"2036")
    (problem,) = verify(shop).problems
    assert problem.place == "register.json"


def test_rows_worked_out_by_the_shop_s_own_rules_are_right(shop: Shop) -> None:
    """verify looks at the records without the own rules, but judges the lists by them."""
    shop.register.refresh()
    shipped = (shop.root / "register.json").read_bytes()
    with_own(shop.root)
    open_shop(shop.root).register.refresh()
    assert (shop.root / "register.json").read_bytes() != shipped
    assert verify(open_records(shop.root)).problems == ()
    forge_row(shop, b"2026", b"2036")
    assert len(verify(open_records(shop.root)).problems) == 1


def test_with_faulty_own_rules_the_records_are_verified_all_the_same(shop: Shop) -> None:
    shop.register.refresh()
    with_own(shop.root, OWN.replace("1.0", "1.6"))
    assert verify(open_records(shop.root)).problems == ()


@pytest.mark.parametrize("name", ["people", "hoist"])
def test_whatever_ended_a_logbook_at_the_last_clean_verify_must_stand_there_still(
    shop: Shop, name: str
) -> None:
    path = path_of(shop) if name == "hoist" else shop.root / "shop" / "people.jsonl"
    verify(shop)
    before = path.read_bytes()
    drop_last_line(path)
    for _ in range(2):  # what is not clean is not remembered
        (problem,) = verify(shop).problems
        assert VERIFIED in problem.wrong
    path.write_bytes(before)
    assert verify(shop).problems == ()


def test_every_byte_of_a_last_line_is_watched(shop: Shop) -> None:
    verify(shop)
    path = shop.root / "shop" / "people.jsonl"
    good = path.read_bytes()
    for place in range(0, len(good), 3):
        spoilt = bytearray(good)
        spoilt[place] ^= 1
        path.write_bytes(bytes(spoilt))
        assert verify(shop, ["people"]).problems, place
    path.write_bytes(good)


def test_only_a_verify_of_everything_is_remembered(shop: Shop) -> None:
    verify(shop, [path_of(shop).stem])
    assert not (shop.root / VERIFIED).exists()
    verify(shop)
    first = (shop.root / VERIFIED).read_bytes()
    with_instrument(shop, "caliper A")
    verify(shop)
    assert (shop.root / VERIFIED).read_bytes() != first


def test_a_memory_that_does_not_read_is_a_problem_that_says_what_to_do(shop: Shop) -> None:
    (shop.root / VERIFIED).write_text("spoilt")
    (problem,) = verify(shop).problems
    assert str(problem).startswith(f"{VERIFIED}: {VERIFIED} is no list of heads")
    assert f"Delete {VERIFIED}" in problem.todo


def test_a_store_that_can_only_be_read_is_verified(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise NotSavedError("read-only")

    monkeypatch.setattr(verifying, "write_heads", refuse)
    assert verify(shop).problems == ()


@pytest.mark.parametrize("name", ["settings", "people"])
def test_the_logbooks_of_a_first_start_are_missed_where_others_are(shop: Shop, name: str) -> None:
    (shop.root / "shop" / f"{name}.jsonl").unlink()
    (problem,) = verify(shop).problems
    assert str(problem).startswith(f"shop/{name}.jsonl: this logbook is gone, though others are here.")
    verify(shop, ["people" if name == "settings" else "settings"])


@pytest.mark.parametrize("name", ["allowed_signers", "revoked_keys"])
def test_what_the_signers_files_say_without_a_record_is_a_problem(shop: Shop, name: str) -> None:
    before = {"allowed_signers": 'Ada_Fenn namespaces="fieldlog" ', "revoked_keys": ""}[name]
    (shop.root / name).write_text(f"{before}ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIOhuJtGWLZXbDFGHdhp5\n")
    for names in ((), ("people",)):
        told = [str(problem) for problem in verify(shop, names).problems]
        assert any(sentence.startswith(f"{name}") for sentence in told)


def test_settings_alone_are_a_first_start_that_broke_off(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path / "begun")
    (shop.root / "shop" / "people.jsonl").unlink()
    assert verify(shop).problems == ()


@pytest.mark.parametrize("place", ["shop/settings.jsonl", "shop/people.jsonl", "logbook"])
def test_an_empty_logbook_is_a_problem_without_any_witness(shop: Shop, place: str) -> None:
    path = path_of(shop) if place == "logbook" else shop.root / place
    (shop.root / "register.json").unlink(missing_ok=True)
    path.write_bytes(b"")
    told = [str(problem) for problem in verify(shop).problems]
    assert any(f"{path.name}: it is empty" in sentence for sentence in told)


class TestHeads:
    def test_it_is_written_where_it_is_missing_and_compared_later(self, shop: Shop, tmp_path: Path) -> None:
        heads = tmp_path / "heads.txt"
        assert verify(shop, heads=heads).heads == f"{heads}: heads written"
        first = heads.read_bytes()
        with_instrument(shop, "caliper A")
        assert verify(shop, heads=heads).heads == f"{heads}: every head of it still stands"
        assert heads.read_bytes() == first
        assert verify(shop, heads=heads, renew=True).heads == f"{heads}: heads written"
        assert heads.read_bytes() != first

    def test_cut_and_deleted_logbooks_are_found_by_it_alone(self, shop: Shop, tmp_path: Path) -> None:
        heads, path = tmp_path / "heads.txt", path_of(shop)
        verify(shop, heads=heads)
        (shop.root / VERIFIED).unlink()
        drop_last_line(path)
        (problem,) = verify(shop, heads=heads).problems
        assert "heads.txt" in problem.wrong
        path.unlink()
        (problem,) = verify(shop, heads=heads, renew=True).problems
        assert "this logbook is gone; heads.txt knows it" in problem.wrong

    def test_it_is_not_written_while_there_are_problems(self, shop: Shop, tmp_path: Path) -> None:
        path = path_of(shop)
        path.write_bytes(path.read_bytes()[:-1])
        heads = tmp_path / "heads.txt"
        assert "not written, because there are problems" in verify(shop, heads=heads).heads
        assert not heads.exists()

    def test_it_is_written_of_the_whole_store_only(self, shop: Shop, tmp_path: Path) -> None:
        heads = tmp_path / "heads.txt"
        with pytest.raises(InputError, match="verify without naming hoists"):
            verify(shop, ["people"], heads=heads)
        verify(shop, heads=heads)
        named = verify(shop, ["people"], heads=heads)
        assert named.problems == ()
        assert named.heads == f"{heads}: compared for people alone"
        with pytest.raises(InputError, match="verify without naming hoists"):
            verify(shop, ["people"], heads=heads, renew=True)

    def test_one_that_does_not_read_stops_everything(self, shop: Shop, tmp_path: Path) -> None:
        (tmp_path / "heads.txt").write_text("something else\n")
        with pytest.raises(InputError, match="is no list of heads"):
            verify(shop, heads=tmp_path / "heads.txt")


def test_a_record_of_a_clock_set_back_is_a_note(shop: Shop) -> None:
    append_to_shop(shop, "sites", Site(name="intake hall"), by=ADA, now=NOW)
    append_to_shop(shop, "sites", Site(name="filter house"), by=ADA, now=NOW - timedelta(hours=1))
    found = verify(shop)
    assert found.problems == ()
    assert "the clock was set back" in found.notes[0].wrong
