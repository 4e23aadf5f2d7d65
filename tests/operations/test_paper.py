"""Tags of both kinds and chain plates say what is true or are refused, and what was printed is recorded."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.label_content import CHAIN, DUE, FIELDS, TAG, WITHDRAWN
from fieldlog.domain.records import DefectGrade, LabelPrinted
from fieldlog.errors import DamagedError, InputError, NotFoundError, RefusedError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.paper import content, note_printed
from fieldlog.operations.servicing import fit_chain, return_to_service, withdraw
from fieldlog.operations.shop import Shop, open_hoist, open_shop
from tests.operations.builder import ADA, BEN, NOW, TODAY, inspect, ready_shop, register, with_ben
from tests.operations.label_texts import texts
from tests.operations.service import CHAIN_SET, RETURN, WITHDRAWAL


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_the_tag_says_what_hangs_where(shop: Shop) -> None:
    hoist = register(shop, capacity="1 t", chain="11,3x31")
    label = content(shop, hoist.id, TAG, today=TODAY)
    assert label.texts == {
        "id": hoist.id,
        "capacity": "1000 kg",
        "chain": "11.3 x 31 mm, T",
        "site": "intake hall",
        "place": "bay 2",
        "shop": "Saltmarsh Hoist Service",
        "maker": "Fenwright LC 500, 4711",
    }
    assert label.code == f"FL:{hoist.id}"
    assert set(label.texts) <= set(FIELDS[TAG])


def test_without_a_grade_the_tag_names_the_size_alone(shop: Shop) -> None:
    assert texts(shop, register(shop, grade="").id, TAG)["chain"] == "5 x 15 mm"


def test_after_a_new_chain_the_tag_names_that_one(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    other = CHAIN_SET | {"grade": "DAT", "why_other_size": "the maker's new grade"}
    fit_chain(shop, hoist.id, other, by=ADA, now=NOW, today=TODAY)
    assert texts(shop, hoist.id, TAG)["chain"] == "5 x 15 mm, DAT"


def test_what_was_printed_is_recorded_with_the_head_that_stands_on_it(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    label = content(shop, hoist.id, DUE, today=TODAY)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    entry = note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY)
    assert entry.body == LabelPrinted(
        done_on=TODAY, label=DUE, template="roll-62", says="2027-11-25", head=label.texts["head"]
    )


def test_a_tag_is_recorded_with_the_head_it_was_drawn_from(shop: Shop) -> None:
    hoist = register(shop)
    label = content(shop, hoist.id, TAG, today=TODAY)
    head = open_hoist(shop, hoist.id).head
    entry = note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY)
    assert entry.body == LabelPrinted(
        done_on=TODAY, label=TAG, template="roll-62", says=hoist.id, head=head[:10]
    )


@pytest.mark.parametrize("kind", [TAG, DUE, WITHDRAWN, CHAIN])
def test_a_damaged_record_has_no_label_at_all(shop: Shop, kind: str) -> None:
    """What is printed goes into the record, and nothing is added to one that can not be trusted."""
    hoist = register(shop)
    inspect(shop, hoist.id)
    path = shop.root / "logbooks" / f"{hoist.id}.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"by":"', b'"by":"9', 1))
    with pytest.raises(DamagedError, match=f"no label for {hoist.id}: logbooks/{hoist.id}"):
        content(open_shop(shop.root), hoist.id, kind, today=TODAY)


def test_an_unknown_tag_has_no_paper(shop: Shop) -> None:
    for kind in (TAG, DUE, WITHDRAWN, CHAIN):
        with pytest.raises(NotFoundError, match="no such tag"):
            content(shop, "SW-4711-X", kind, today=TODAY)


@pytest.mark.parametrize("kind", ["spare", "proof", "Tag", "", "x" * 10_000])
def test_another_kind_of_label_is_never_taken_for_a_sticker(shop: Shop, kind: str) -> None:
    with pytest.raises(InputError, match="the label is one of tag, due, withdrawn, chain, not") as error:
        content(shop, register(shop).id, kind, today=TODAY)
    assert len(str(error.value)) < 120


def test_the_out_of_service_tag_says_why_who_when_and_which_lock(shop: Shop) -> None:
    """29 CFR 1910.147 (c)(5)(ii)(D): it identifies the employee who applied it."""
    with_ben(shop)
    hoist = register(shop)
    inspect(shop, hoist.id)
    entry = withdraw(shop, hoist.id, WITHDRAWAL, by=BEN, now=NOW, today=TODAY)
    label = content(shop, hoist.id, WITHDRAWN, today=TODAY)
    assert label.texts == {
        "signal": "DANGER",
        "message": "DO NOT USE",
        "heading": "hoist out of service",
        "reason": "dropped load",
        "id": hoist.id,
        "site": "intake hall",
        "place": "bay 2",
        "by": BEN,
        "since": "2026-11-25",
        "lock": "lock 14",
        "remove": f"{BEN}, or by a named authoriser",
        "shop": "Saltmarsh Hoist Service",
        "head": entry.line[:10],
    }
    assert label.code == f"FL:{hoist.id}"
    assert set(label.texts) <= set(FIELDS[WITHDRAWN])


def test_a_hoist_in_service_gets_no_out_of_service_tag(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    with pytest.raises(RefusedError, match="it is in service; withdraw it first"):
        content(shop, hoist.id, WITHDRAWN, today=TODAY)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    return_to_service(shop, hoist.id, RETURN, by=ADA, now=NOW, today=TODAY)
    with pytest.raises(RefusedError, match="withdraw it first"):
        content(shop, hoist.id, WITHDRAWN, today=TODAY)


def test_a_stopping_defect_is_enough_for_the_tag_and_names_the_inspector(shop: Shop) -> None:
    with_ben(shop)
    hoist = register(shop)
    inspect(shop, hoist.id, by=BEN, defects={"hook-latch": DefectDraft(what="latch bent")})
    said = texts(shop, hoist.id, WITHDRAWN)
    assert (said["reason"], said["by"], said["since"], said["lock"]) == (
        "D1: latch bent",
        BEN,
        "2026-11-25",
        "",
    )


def test_a_withdrawal_speaks_before_a_finding_and_every_reason_and_lock_is_told(shop: Shop) -> None:
    with_ben(shop)
    hoist = register(shop)
    inspect(shop, hoist.id, by=BEN, defects={"hook-latch": DefectDraft(what="latch bent")})
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    more = {"reason": "brake drifts", "lock": "lock 15"}
    withdraw(shop, hoist.id, more, by=BEN, now=NOW, today=TODAY)
    said = texts(shop, hoist.id, WITHDRAWN)
    assert said["by"] == BEN
    assert said["lock"] == "lock 14, lock 15"
    assert set(said["reason"].split("; ")) == {"D1: latch bent", "dropped load", "brake drifts"}


def test_a_defect_that_stops_use_later_is_not_on_the_tag_before_its_day(shop: Shop) -> None:
    hoist = register(shop)
    dated = DefectDraft(what="sling worn", grade=DefectGrade.STOPS_FROM, stops_on="2026-12-01")
    inspect(shop, hoist.id, defects={"hook-latch": dated})
    with pytest.raises(RefusedError, match="it is limited; withdraw it first"):
        content(shop, hoist.id, WITHDRAWN, today=date(2026, 11, 30))
    assert texts(shop, hoist.id, WITHDRAWN, date(2026, 12, 1))["since"] == "2026-12-01"


def test_a_hoist_never_inspected_is_tagged_by_who_registered_it(shop: Shop) -> None:
    hoist = register(shop)
    said = texts(shop, hoist.id, WITHDRAWN)
    assert (said["by"], said["since"]) == (ADA, "2026-11-25")
    assert "the inspection before first use is missing" in said["reason"]


def test_the_chain_plate_names_lengths_and_the_rule(shop: Shop) -> None:
    """11 links of 5 x 15 are 165 mm; powered 1.5 % of that are 2.475 mm (DOE-STD-1090-96, chapter 8)."""
    hoist = register(shop)
    label = content(shop, hoist.id, CHAIN, today=TODAY)
    said = label.texts
    assert (said["size"], said["grade"], said["links"]) == ("5 x 15 mm", "T", "11 links inside")
    assert (said["nominal"], said["discard"]) == ("165 mm", "167.475 mm")
    assert said["rule"].startswith("1.5 % of 11 x 15 mm; DOE-STD-1090-96")
    assert (said["reference"], said["fitted"]) == ("computed from 5 x 15", "2026-11-25")
    assert label.code == f"FL:{hoist.id}"
    assert set(said) <= set(FIELDS[CHAIN])


def test_the_plate_of_a_fitted_chain_counts_from_its_measured_length(shop: Shop) -> None:
    """165.1 mm measured at fitting and 2.475 mm of growth make 167.575 mm."""
    hoist = register(shop)
    inspect(shop, hoist.id)
    fit_chain(shop, hoist.id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    said = texts(shop, hoist.id, CHAIN)
    assert (said["nominal"], said["discard"]) == ("165.1 mm", "167.575 mm")
    assert said["reference"] == "measured on unused links"


def test_a_hand_hoist_may_grow_by_2_5_percent(shop: Shop) -> None:
    """2.5 % of 165 mm are 4.125 mm."""
    hoist = register(shop, drive="hand")
    assert texts(shop, hoist.id, CHAIN)["discard"] == "169.125 mm"
