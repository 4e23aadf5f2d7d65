"""Tags and stickers say what is true, a sticker is refused with the reason, what was printed is recorded."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.label_content import CHAIN, DUE, FIELDS, TAG, WITHDRAWN
from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind, LabelPrinted
from fieldlog.errors import DamagedError, InputError, NotFoundError, RefusedError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.paper import content, note_printed, printed_before
from fieldlog.operations.servicing import fit_chain, mend, return_to_service, withdraw
from fieldlog.operations.shop import Shop, open_hoist, open_shop
from tests.operations.builder import ADA, BEN, NOW, RULE, TODAY, inspect, ready_shop, register, with_ben
from tests.operations.service import CHAIN_SET, MENDING, RETURN, WITHDRAWAL

FREQUENT, PERIODIC = InspectionKind.FREQUENT, InspectionKind.PERIODIC
LATER = ("165.5", "166.2", "166.0")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def texts(shop: Shop, hoist_id: str, kind: str, day: date = TODAY) -> dict[str, str]:
    return dict(content(shop, hoist_id, kind, today=day).texts)


def refusal(shop: Shop, hoist_id: str, day: date = TODAY) -> str:
    with pytest.raises(RefusedError, match=f"no due sticker for {hoist_id}: ") as error:
        content(shop, hoist_id, DUE, today=day)
    return str(error.value).split(": ", 1)[1]


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


def test_the_sticker_shows_the_month_of_the_strict_date(shop: Shop) -> None:
    """A year after 2026-11-25, to the day (calendar rule, as dateutil counts): month 11 of 2027, no later."""
    hoist = register(shop)
    entry = inspect(shop, hoist.id)
    label = content(shop, hoist.id, DUE, today=TODAY)
    assert label.texts == {
        "heading": "next inspection due",
        "month": "11",
        "year": "2027",
        "kind": "periodic",
        "id": hoist.id,
        "due": "2027-11-25",
        "done": "2026-11-25",
        "by": ADA,
        "shop": "Saltmarsh Hoist Service",
        "head": entry.line[:10],
    }
    assert label.code == f"FL:{hoist.id}"
    assert set(label.texts) <= set(FIELDS[DUE])


def test_the_sticker_names_who_did_the_inspection_it_counts_from(shop: Shop) -> None:
    """The periodic one is what it is for, although another person has looked at the hoist since."""
    with_ben(shop)
    hoist = register(shop, day=date(2026, 9, 1))
    inspect(shop, hoist.id, day=date(2026, 9, 1))
    inspect(shop, hoist.id, FREQUENT, day=date(2026, 9, 1), by=BEN, readings=LATER)
    inspect(shop, hoist.id, FREQUENT, day=TODAY, by=BEN, readings=LATER)
    said = texts(shop, hoist.id, DUE)
    assert (said["kind"], said["done"], said["by"]) == ("periodic", "2026-09-01", ADA)


def test_nothing_inspected_nothing_given(shop: Shop) -> None:
    assert "no inspection is sealed yet" in refusal(shop, register(shop).id)


def test_a_check_between_times_is_not_the_inspection_before_first_use(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, FREQUENT)
    assert "the inspection before first use is missing" in refusal(shop, hoist.id)


@pytest.mark.parametrize(
    ("grade", "item", "serious", "given"),
    [
        (DefectGrade.STOPS_NOW, "labels", False, False),
        (DefectGrade.STOPS_FROM, "nameplate", False, False),
        (DefectGrade.WATCH, "hook-latch", False, False),  # a safety item
        (DefectGrade.NOTED, "nameplate", True, False),  # a risk of serious injury
        (DefectGrade.WATCH, "nameplate", False, True),
        (DefectGrade.NOTED, "nameplate", False, True),
    ],
)
def test_an_open_defect_that_affects_safety_bars_the_sticker(
    shop: Shop, grade: DefectGrade, item: str, serious: bool, given: bool
) -> None:
    """No proof of inspection while defects that affect safety are open (DGUV Vorschrift 54, 23a)."""
    hoist = register(shop)
    defect = DefectDraft(what="bent", grade=grade, stops_on="2027-01-01", serious=serious)
    inspect(shop, hoist.id, defects={item: defect})
    if given:
        assert texts(shop, hoist.id, DUE)["year"] == "2027"
    else:
        assert "D1: bent" in refusal(shop, hoist.id)


def test_a_discard_verdict_an_undecided_one_and_an_item_not_seen_bar_it(shop: Shop) -> None:
    worn, doubtful, unseen = (register(shop, serial=serial) for serial in "123")
    inspect(shop, worn.id, readings=("165.4", "167.475", "165.9"))
    inspect(shop, doubtful.id, readings=("165.4", "167.2", "165.9"), instrument=RULE)
    inspect(shop, unseen.id, answers={"upper-guide": AnswerKind.NOT_SEEN})
    assert "grown 2.475 of 2.475 mm allowed" in refusal(shop, worn.id)
    assert "undecided: load chain elongation" in refusal(shop, doubtful.id)
    assert refusal(shop, unseen.id) == "not seen: Upper guide: cracks at the top"


def test_a_chain_to_be_watched_does_not_bar_it(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=("165.4", "167.1", "165.9"))
    assert texts(shop, hoist.id, DUE)["due"] == "2027-11-25"


def test_a_withdrawn_hoist_gets_none_until_it_is_returned(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    assert refusal(shop, hoist.id) == "withdrawn: dropped load"
    return_to_service(shop, hoist.id, RETURN, by=ADA, now=NOW, today=TODAY)
    assert texts(shop, hoist.id, DUE)["month"] == "11"


def test_every_reason_is_said_once(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, defects={"hook-latch": DefectDraft(what="latch bent")})
    assert refusal(shop, hoist.id) == "D1: latch bent"
    mend(shop, hoist.id, MENDING, by=ADA, now=NOW, today=TODAY)
    assert refusal(shop, hoist.id) == "D1: latch bent"
    return_to_service(shop, hoist.id, RETURN, by=ADA, now=NOW, today=TODAY)
    assert texts(shop, hoist.id, DUE)["id"] == hoist.id


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


def test_one_that_was_printed_before_is_known_by_what_it_says(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    tag, sticker = (content(shop, hoist.id, kind, today=TODAY) for kind in (TAG, DUE))
    assert printed_before(open_hoist(shop, hoist.id), sticker) is None
    for day in (date(2026, 11, 25), date(2026, 11, 26)):
        note_printed(shop, sticker, "roll-62", by=ADA, now=NOW, today=day)
    assert printed_before(open_hoist(shop, hoist.id), sticker) == date(2026, 11, 26)
    assert printed_before(open_hoist(shop, hoist.id), tag) is None
    again = date(2026, 12, 20)
    inspect(shop, hoist.id, PERIODIC, day=again, readings=LATER)
    assert printed_before(open_hoist(shop, hoist.id), content(shop, hoist.id, DUE, today=again)) is None


def test_the_month_plates_month_stands_on_the_sticker(shop: Shop) -> None:
    """BetrSichV 14(5): the due month is given; 12 months from June 2025 is June 2026."""
    hoist = register(shop, rulebook="de", day=date(2025, 6, 20))
    inspect(shop, hoist.id, day=date(2025, 6, 20))
    said = texts(shop, hoist.id, DUE, date(2025, 6, 20))
    assert (said["month"], said["year"], said["due"]) == ("06", "2026", "2026-06-30")


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


@pytest.mark.parametrize(
    ("scheme", "said", "ral"),
    [
        ("six-years-due", "2027 yellow", "1012"),  # StVZO annex IX: 2027 is yellow, RAL 1012
        ("four-years-done", "done 2026 yellow", ""),  # counted on from the printed 2012 blue, 2014 yellow
    ],
)
def test_the_year_s_colour_is_named_in_words(shop: Shop, scheme: str, said: str, ral: str) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    label = content(shop, hoist.id, DUE, today=TODAY, year_colours=scheme)
    assert label.texts["colour"] == said
    assert label.year_colour is not None
    assert (label.year_colour.name, label.year_colour.ral) == ("yellow", ral)
    plain = content(shop, hoist.id, DUE, today=TODAY)
    assert plain.year_colour is None
    assert "colour" not in plain.texts


def test_an_unknown_colour_scheme_is_refused_with_those_there_are(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    with pytest.raises(InputError, match="one of six-years-due, four-years-done, not 'rainbow'"):
        content(shop, hoist.id, DUE, today=TODAY, year_colours="rainbow")


def test_a_second_print_of_the_same_sticker_says_so_on_the_sticker(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id)
    for expected in (None, "2", "3"):
        label = content(shop, hoist.id, DUE, today=TODAY)
        assert label.texts.get("print") == expected
        note_printed(shop, label, "roll-62", by=ADA, now=NOW, today=TODAY, copies=2)
    assert "print" not in texts(shop, hoist.id, TAG)
    assert "print" not in texts(shop, hoist.id, CHAIN)
    again = date(2026, 12, 20)
    inspect(shop, hoist.id, PERIODIC, day=again, readings=LATER)
    assert "print" not in texts(shop, hoist.id, DUE, again)
