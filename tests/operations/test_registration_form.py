"""The registration form: every field takes what is right and refuses what is wrong while it is typed."""

from datetime import date

import pytest

from fieldlog.operations.entering import Field, check_field
from fieldlog.operations.registration_form import registration_fields
from tests.operations.builder import REGISTRATION, TODAY

FIELDS = {field.name: field for field in registration_fields(rulebook="general", today=TODAY)}
REQUIRED = {
    "maker",
    "model",
    "serial",
    "drive",
    "capacity",
    "falls",
    "lift",
    "chain",
    "limit_switches",
    "container",
    "overload_device",
    "trolley",
    "lifts_persons",
    "site",
    "service",
    "rulebook",
}
GOOD = {
    "maker": ("Fenwright", "Tidebarrow & Sons"),
    "model": ("LC 500",),
    "serial": ("4711", "A-17/3"),
    "year": ("1900", "2019", "2026"),
    "drive": ("electric", "air", "hand", "h"),
    "capacity": ("500", "500 kg", "1 t", "2000 lb", "0,5 t"),
    "falls": ("1", "12"),
    "lift": ("6", "6 m", "20 ft", "6,5"),
    "chain": ("5x15", "11,3 x 31 mm"),
    "grade": ("T", "DAT"),
    "book_links": ("1", "11", "99"),
    "book_basis": ("inside", "o"),
    "book_length": ("165.2", "6 1/2 in"),
    "book_discard": ("167.5",),
    "book_document": ("LC book, 3rd edition, p. 31",),
    "hook_throat": ("30", "1 3/16 in"),
    "limit_switches": ("yes", "n"),
    "container": ("yes", "no"),
    "overload_device": ("yes", "no"),
    "trolley": ("yes", "no"),
    "lifts_persons": ("yes", "no"),
    "group": ("M4", "1Am"),
    "site": ("intake hall",),
    "place": ("bay 2",),
    "service": ("normal", "heavy", "s"),
    "rulebook": ("general", "us", "de", "uk"),
}
BAD = {
    "maker": ("", "x" * 81, "two\nlines"),
    "model": ("", "x" * 81),
    "serial": ("", "\x00"),
    "year": ("1899", "2027", "19", "twenty"),
    "drive": ("", "steam"),
    "capacity": ("", "0", "-5", "500 kN", "1,000", "1 ton", "heavy"),
    "falls": ("", "0", "13", "1.5"),
    "lift": ("", "0", "6 kg", "high"),
    "chain": ("", "5", "15x5", "5x15x3"),
    "grade": ("x" * 81,),
    "book_links": ("0", "100", "eleven"),
    "book_basis": ("gauge", "both"),
    "book_length": ("0", "165,400", "nan"),
    "book_discard": ("0", "long"),
    "book_document": ("x" * 81,),
    "hook_throat": ("0", "wide"),
    "limit_switches": ("", "maybe"),
    "container": ("", "1"),
    "overload_device": ("", "?"),
    "trolley": ("", "some"),
    "lifts_persons": ("", "never"),
    "group": ("M99",),
    "site": ("", "x" * 81),
    "place": ("x" * 81,),
    "service": ("", "light"),
    "rulebook": ("", "mars"),
}


def test_every_field_has_good_and_bad_examples() -> None:
    assert set(FIELDS) == set(GOOD) == set(BAD)
    assert len(FIELDS) == 26
    assert set(REGISTRATION) <= set(FIELDS)


def test_what_must_be_filled_in() -> None:
    assert {name for name, field in FIELDS.items() if field.required} == REQUIRED


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in GOOD.items() for text in texts])
def test_what_is_taken(name: str, text: str) -> None:
    assert check_field(FIELDS[name], text) == ""


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in BAD.items() for text in texts])
def test_what_is_refused_in_a_sentence_beside_the_field(name: str, text: str) -> None:
    said = check_field(FIELDS[name], text)
    assert said
    assert "\n" not in said
    assert len(said) < 200


def test_the_year_ends_with_the_day_of_registration() -> None:
    def year_field(today: date) -> Field:
        fields = registration_fields(rulebook="general", today=today)
        return next(field for field in fields if field.name == "year")

    assert check_field(year_field(date(2026, 12, 31)), "2027")
    assert check_field(year_field(date(2027, 1, 1)), "2027") == ""


@pytest.mark.parametrize(
    ("drive", "gear"),
    [("", "yes"), ("electric", "yes"), ("air", "yes"), ("hand", "no"), ("H", "no"), ("ha ", "no")],
)
def test_a_hand_hoist_is_proposed_without_powered_gear(drive: str, gear: str) -> None:
    fields = {f.name: f for f in registration_fields(rulebook="general", drive=drive, today=TODAY)}
    assert {fields[name].default for name in ("limit_switches", "container", "overload_device")} == {gear}
    assert {fields[name].default for name in ("trolley", "lifts_persons")} == {"no"}


def test_the_shops_rulebook_is_proposed() -> None:
    fields = {f.name: f for f in registration_fields(rulebook="uk", today=TODAY)}
    assert fields["rulebook"].default == "uk"
