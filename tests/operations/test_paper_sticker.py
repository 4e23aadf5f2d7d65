"""A due sticker shows the date of the record, or is refused with the reason; a second says it is one."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.label_content import CHAIN, DUE, FIELDS, TAG
from fieldlog.domain.records import AnswerKind, DefectGrade, InspectionKind
from fieldlog.errors import InputError, RefusedError
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.paper import content, note_printed, printed_before
from fieldlog.operations.servicing import mend, return_to_service, withdraw
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.builder import ADA, BEN, NOW, RULE, TODAY, inspect, ready_shop, register, with_ben
from tests.operations.label_texts import texts
from tests.operations.service import MENDING, RETURN, WITHDRAWAL

FREQUENT, PERIODIC = InspectionKind.FREQUENT, InspectionKind.PERIODIC
LATER = ("165.5", "166.2", "166.0")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def refusal(shop: Shop, hoist_id: str, day: date = TODAY) -> str:
    with pytest.raises(RefusedError, match=f"no due sticker for {hoist_id}: ") as error:
        content(shop, hoist_id, DUE, today=day)
    return str(error.value).split(": ", 1)[1]


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
