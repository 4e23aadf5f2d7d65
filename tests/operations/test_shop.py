"""Opening a store: who may seal, what damaged records mean, and a register that is only a cache."""

import os
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind, Person
from fieldlog.errors import ConflictError, InputError, NotFoundError, RefusedError
from fieldlog.operations.due import due_list
from fieldlog.operations.setting_up import add_person
from fieldlog.operations.shop import (
    append,
    book_for_chain,
    check_known,
    check_may_seal,
    current_size,
    need_settings,
    new_uid,
    open_hoist,
    open_shop,
    people,
    person_of_login,
    rulebook_of,
    settings,
    summaries,
)
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.rulebook.stamp import rules_stamp
from fieldlog.store.ending import GENESIS
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.register import Register
from tests.operations.builder import (
    ADA,
    BEN,
    NOW,
    TODAY,
    inspect,
    ready_shop,
    register,
    with_ben,
)


def test_opening_a_store_writes_nothing(tmp_path: Path) -> None:
    shop = open_shop(tmp_path / "new")
    assert settings(shop) is None
    assert people(shop) == {}
    assert summaries(shop) == {}
    assert not (tmp_path / "new").exists()


def test_without_a_shop_the_sentence_names_the_folder(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match=f"no shop is set up in {tmp_path}"):
        need_settings(open_shop(tmp_path))


def test_a_uid_is_32_hex_digits_and_new_each_time() -> None:
    found = {new_uid() for _ in range(100)}
    assert len(found) == 100
    assert all(len(uid) == 32 and int(uid, 16) >= 0 for uid in found)


def test_the_person_of_a_login_is_found_only_where_exactly_one_has_it(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    found = person_of_login(shop, "ada")
    assert found is not None
    assert found.name == ADA
    add_person(shop, Person(name="Adam Fenn", login="ada"), by=ADA, now=NOW)
    assert person_of_login(shop, "ada") is None
    assert person_of_login(shop, "nobody") is None


def test_an_empty_login_is_nobodys(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    add_person(shop, Person(name=BEN), by=ADA, now=NOW)
    assert person_of_login(shop, "") is None


def test_the_last_record_of_a_person_holds(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_ben(shop)
    check_may_seal(shop, BEN, TODAY)
    with_ben(shop, may_seal=False)
    with pytest.raises(RefusedError, match=f"{BEN} may look but not seal"):
        check_may_seal(shop, BEN, TODAY)


@pytest.mark.parametrize(("day", "may"), [("2026-11-24", True), ("2026-11-25", True), ("2026-11-26", False)])
def test_a_person_may_seal_up_to_and_on_the_last_day(tmp_path: Path, day: str, may: bool) -> None:
    shop = ready_shop(tmp_path)
    with_ben(shop, until=TODAY)
    if may:
        check_may_seal(shop, BEN, date.fromisoformat(day))
        return
    with pytest.raises(RefusedError, match="might seal until 2026-11-25 only"):
        check_may_seal(shop, BEN, date.fromisoformat(day))


def test_a_person_may_be_kept_to_some_kinds_of_inspection(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_ben(shop, seals=(InspectionKind.PRE_USE, InspectionKind.FREQUENT))
    check_may_seal(shop, BEN, TODAY, InspectionKind.FREQUENT)
    check_may_seal(shop, ADA, TODAY, InspectionKind.PERIODIC)
    check_may_seal(shop, BEN, TODAY)
    with pytest.raises(RefusedError, match=f"{BEN} may seal pre-use, frequent inspections, not periodic"):
        check_may_seal(shop, BEN, TODAY, InspectionKind.PERIODIC)


@pytest.mark.parametrize(("name", "shown"), [("Cora Reed", "Cora Reed"), ("", "nobody")])
def test_an_unknown_person_is_named(tmp_path: Path, name: str, shown: str) -> None:
    shop = ready_shop(tmp_path)
    for check in (lambda: check_known(shop, name), lambda: check_may_seal(shop, name, TODAY)):
        with pytest.raises(RefusedError, match=f"{shown} is not among the shop's people"):
            check()


def test_an_unknown_tag_and_a_name_that_leads_out_of_the_store_are_refused(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with pytest.raises(NotFoundError, match="no such tag: SW-0007-X"):
        open_hoist(shop, "SW-0007-X")
    with pytest.raises(InputError, match="no logbook can be called"):
        open_hoist(shop, "../shop/people")


def test_a_hoist_opens_with_the_rulebook_of_its_place_and_the_head_of_its_logbook(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, rulebook="uk")
    opened = open_hoist(shop, hoist.id)
    assert opened.hoist == hoist
    assert opened.rulebook is rulebook_of(hoist) is load_rulebook("uk")
    assert opened.head == opened.history.entries[-1].line
    assert opened.problem == ""


def test_a_record_that_follows_another_head_is_not_written(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    entries = shop.logbooks.read(hoist.id).entries
    with pytest.raises(ConflictError):
        append(shop, hoist.id, entries[0].body, by=ADA, now=NOW, head=GENESIS)
    assert shop.logbooks.read(hoist.id).entries == entries


def test_without_a_chain_fitted_the_nameplates_chain_and_the_book_hold(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    opened = open_hoist(shop, register(shop, book_length="165.2", book_document="LC book, p. 31").id)
    assert (current_size(opened).dn_mm, current_size(opened).pn_mm) == (Decimal(5), Decimal(15))
    assert book_for_chain(opened) == opened.hoist.book
    assert opened.hoist.book is not None


def busy_shop(root: Path) -> list[str]:
    shop = ready_shop(root)
    names = [register(shop, serial=str(number)).id for number in range(3)]
    inspect(shop, names[0])
    inspect(shop, names[1], readings=("165.4", "167.6", "165.9"))
    return names


def test_the_register_deleted_gives_the_same_due_list(tmp_path: Path) -> None:
    busy_shop(tmp_path)
    before = due_list(open_shop(tmp_path), TODAY)
    assert len(before) == 3
    (tmp_path / "register.json").unlink()
    assert due_list(open_shop(tmp_path), TODAY) == before
    assert due_list(open_shop(tmp_path), TODAY) == before


@pytest.mark.parametrize("spoilt", [b"", b"{", b"[1, 2]", b'{"_default": {"1": {"format": 99}}}'])
def test_a_register_that_does_not_read_is_worked_out_anew(tmp_path: Path, spoilt: bytes) -> None:
    busy_shop(tmp_path)
    before = due_list(open_shop(tmp_path), TODAY)
    (tmp_path / "register.json").write_bytes(spoilt)
    assert due_list(open_shop(tmp_path), TODAY) == before


def test_rows_of_another_shape_in_the_register_are_worked_out_anew(tmp_path: Path) -> None:
    """As a fieldlog of the same version and rules may have left them that folded otherwise."""
    names = busy_shop(tmp_path)
    before = due_list(open_shop(tmp_path), TODAY)
    for name in names:
        # not touched lately, so that the register takes its row on trust
        os.utime(tmp_path / "logbooks" / f"{name}.jsonl", (1.7e9, 1.7e9))
    other = Register(
        tmp_path / "register.json",
        Logbooks(tmp_path),
        stamp=rules_stamp(),
        row_of=lambda book: {"id": book.name, "what": "an older fold"},
    )
    other.refresh()
    fresh = open_shop(tmp_path)
    assert due_list(fresh, TODAY) == before
    assert all("what" in row["row"] for row in fresh.register.rows())


def test_one_session_sees_what_another_one_sealed(tmp_path: Path) -> None:
    mine = ready_shop(tmp_path)
    hoist = register(mine)
    assert summaries(mine)[hoist.id].entries == 1
    inspect(open_shop(tmp_path), hoist.id)
    assert summaries(mine)[hoist.id].entries == 2
