"""A record becomes one line that anybody can read and comes back the same; no other line is taken."""

import json
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import force_setattr

from fieldlog.domain.records import Body, Inspection, Person, Unknown, Withdrawal
from fieldlog.errors import DamagedError, InputError, StoreError
from fieldlog.store.codec import KINDS, LineError, decode, encode, from_plain, plain
from fieldlog.store.ending import GENESIS
from tests.store.samples import DAY, WHEN, inspection, uid, withdrawal

# Written by hand from the published layout of the file, not by the code: this is the format that must stay.
BY_HAND = (
    '{"v":1,"prev":"' + "0" * 64 + '","uid":"' + "0" * 31 + '7","kind":"withdrawal","by":"Ada Fenn",'
    '"at":"2026-11-25T13:05:00+00:00","data":{"done_on":"2026-11-25","reason":"hook cracked","lock":""}}\n'
).encode()

PLACES = st.decimals(allow_nan=False, allow_infinity=False)
st.register_type_strategy(Decimal, PLACES)
BODIES = st.one_of([st.builds(kind) for kind in KINDS.values()])


def line_with(**changes: Any) -> bytes:
    raw = json.loads(BY_HAND)
    for key, value in changes.items():
        if value is None:
            del raw[key]
        else:
            raw[key] = value
    return json.dumps(raw).encode() + b"\n"


def test_the_line_stands_as_the_format_says() -> None:
    assert encode(withdrawal(), prev=GENESIS, uid=uid(7), by="Ada Fenn", at=WHEN) == BY_HAND


def test_a_line_written_by_hand_reads_back() -> None:
    entry = decode(BY_HAND, 3)
    assert (entry.number, entry.v, entry.prev, entry.uid, entry.by) == (3, 1, GENESIS, uid(7), "Ada Fenn")
    assert entry.at == WHEN
    assert entry.body == withdrawal()
    assert entry.line == sha256(BY_HAND).hexdigest()  # source: FIPS 180-4, as hashlib has it


def test_every_body_but_unknown_has_a_kind_of_its_own() -> None:
    bodies = [body for body in get_args(Body) if body is not Unknown]
    assert len(KINDS) == len(bodies)
    assert set(KINDS.values()) == set(bodies)


@settings(max_examples=150, deadline=None)
@given(body=BODIES)
def test_any_record_comes_back_the_same(body: Body) -> None:
    line = encode(body, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    assert line.count(b"\n") == 1
    assert line.endswith(b"\n")
    back = decode(line, 1)
    assert back.body == body
    assert plain(back.body) == plain(body)
    # source: RFC 8259, as Python's own json reads it: the same values and no float in them
    raw = json.loads(line, parse_float=pytest.fail, parse_constant=pytest.fail)
    assert raw["data"] == plain(body)


@pytest.mark.parametrize(
    "text",
    ["\u2028\u2029\x85", "\x00\x1b[2J", "two\nlines\r\n", '"quoted\\"', "Žižkov Ωμέγα Łódź", "😀", "\x7f"],
)
def test_any_text_stays_on_one_line_and_comes_back(text: str) -> None:
    line = encode(withdrawal(text), prev=GENESIS, uid=uid(1), by=f"Ada {text}", at=WHEN)
    assert line.count(b"\n") == 1
    entry = decode(line, 1)
    assert entry.by == f"Ada {text}"
    assert entry.body == withdrawal(text)


def test_half_a_surrogate_pair_is_refused_before_it_is_sealed() -> None:
    for body, by in ((withdrawal("hook \udc80"), "Ada Fenn"), (withdrawal(), "Ada \ud83d")):
        with pytest.raises(InputError, match="not valid Unicode: type that text anew"):
            encode(body, prev=GENESIS, uid=uid(1), by=by, at=WHEN)


@pytest.mark.parametrize("text", ["NaN", "sNaN", "Infinity", "-Infinity"])
def test_a_number_that_is_not_finite_is_neither_sealed_nor_read(text: str) -> None:
    reading = inspection().findings[0]
    body = inspection()
    bad = from_plain({**plain(body), "findings": [{**plain(reading), "value": text}]}, Inspection)
    with pytest.raises(InputError, match="not finite"):
        encode(bad, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    line = encode(body, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    with pytest.raises(LineError, match="not finite"):
        decode(line.replace(b'"2.10"', f'"{text}"'.encode()), 1)


def test_words_that_spell_infinity_are_only_words() -> None:
    body = withdrawal("NaN and Infinity in the maintenance info")
    assert decode(encode(body, prev=GENESIS, uid=uid(1), by="Inf", at=WHEN), 1).body == body


def test_decimals_keep_their_digits() -> None:
    line = encode(inspection(), prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    assert b'"value_mm":"167.10"' in line
    body = decode(line, 1).body
    assert isinstance(body, Inspection)
    assert str(body.readings[0].value_mm) == "167.10"


@pytest.mark.parametrize("number", ["1.5", "1e5", "-0.0", "1E400", "NaN", "Infinity"])
def test_a_float_in_a_line_is_refused(number: str) -> None:
    line = BY_HAND.replace(b'"lock":""', f'"later":{number}'.encode())
    with pytest.raises(LineError, match="line 4"):
        decode(line, 4)


def test_a_float_in_a_record_is_refused_before_it_is_sealed() -> None:
    body = from_plain({**plain(inspection()), "remark": ""}, Inspection)
    force_setattr(body, "remark", 1.5)
    with pytest.raises(InputError, match="this inspection can not be sealed"):
        encode(body, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)


@pytest.mark.parametrize("key", ["v", "prev", "uid", "kind", "by", "at", "data"])
def test_a_line_without_one_of_its_fields_is_refused_by_name(key: str) -> None:
    with pytest.raises(DamagedError, match=f"line 2: .*{key}"):
        decode(line_with(**{key: None}), 2)


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"\n",
        b"{}\n",
        b"[]\n",
        b"null\n",
        b"hello\n",
        BY_HAND[:-1],
        BY_HAND[:-2] + b"\n",
        BY_HAND + b"\n",
        BY_HAND[:-1] + b"x\n",
        BY_HAND[:40] + b"\n" + BY_HAND[40:],
        BY_HAND.replace(b"hook", b"h\xffok"),
        BY_HAND.replace(b"hook", b"h\\ud800k"),
        BY_HAND.replace(b"hook", b"h\x00ok"),
        b"[" * 100_000 + b"\n",
        line_with(v=0),
        line_with(v="1"),
        line_with(v=True),
        line_with(prev="0" * 63),
        line_with(prev="G" * 64),
        line_with(uid=""),
        line_with(at="2026-11-25T13:05:00"),
        line_with(at="yesterday"),
        line_with(data=[]),
        line_with(data={}),
        line_with(data={"done_on": "2026-13-01", "reason": "x", "lock": ""}),
        line_with(data={"done_on": "2026-11-25", "reason": 7, "lock": ""}),
    ],
)
def test_a_line_that_is_no_record_gets_one_sentence(line: bytes) -> None:
    with pytest.raises(LineError) as caught:
        decode(line, 12)
    assert str(caught.value) == f"line 12: {caught.value.wrong}"
    assert len(str(caught.value).splitlines()) == 1


def test_an_unknown_kind_is_kept_whole() -> None:
    data = {"colour": "blue", "parts": [1, "2", None, {"deep": True}]}
    body = decode(line_with(kind="varnish", v=9, data=data), 1).body
    assert body == Unknown(name="varnish", data=data)


def test_a_known_kind_in_a_later_shape_is_kept_and_the_same_shape_is_understood() -> None:
    later = {"reason_code": 7}
    assert decode(line_with(v=2, data=later), 1).body == Unknown(name="withdrawal", data=later)
    assert decode(line_with(v=2), 1).body == withdrawal()


def test_fields_of_later_versions_are_passed_over_and_missing_ones_take_their_default() -> None:
    data = {"done_on": "2026-11-25", "reason": "hook cracked", "later": {"any": 1}}
    entry = decode(line_with(data=data, signature="later"), 1)
    assert entry.body == Withdrawal(done_on=DAY, reason="hook cracked", lock="")


def test_every_field_is_written_even_where_it_has_its_default() -> None:
    line = encode(Person(name="Ada Fenn"), prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
    assert set(json.loads(line)["data"]) == {
        "name",
        "login",
        "qualification",
        "employer",
        "may_seal",
        "until",
        "address",
        "employer_address",
        "self_employed",
        "key_file",
        "seals",
    }


def test_what_could_not_be_read_again_is_not_sealed() -> None:
    good: dict[str, Any] = {"prev": GENESIS, "uid": uid(1), "by": "Ada Fenn", "at": WHEN}
    cases: list[tuple[Any, dict[str, Any], str]] = [
        (Unknown(name="varnish", data={}), {}, "unknown kind 'varnish'"),
        (withdrawal(), {"uid": "7"}, "32 hex digits"),
        (withdrawal(), {"uid": uid(1) + "\n"}, "32 hex digits"),
        (withdrawal(), {"by": "  "}, "the name of who seals it"),
        (withdrawal(), {"prev": "0"}, "can not be sealed"),
        (withdrawal(), {"at": datetime(2026, 11, 25, 13, 5)}, "timezone"),
        (Withdrawal(done_on="soon", reason="x"), {}, "can not be sealed"),  # type: ignore[arg-type]
        (Withdrawal(done_on=DAY, reason={1}), {}, "can not be sealed"),  # type: ignore[arg-type]
    ]
    for body, changes, sentence in cases:
        with pytest.raises(InputError, match=sentence):
            encode(body, **{**good, **changes})


def test_plain_values_come_back_as_their_shape_or_are_refused() -> None:
    assert from_plain(plain(inspection()), Inspection) == inspection()
    assert plain(inspection())["readings"][0]["value_mm"] == "167.10"
    with pytest.raises(StoreError, match="does not fit Inspection"):
        from_plain({"occasion": "never"}, Inspection)


@pytest.mark.parametrize("number", [167.1, 167.0, float("nan"), float("inf")])
def test_a_float_in_the_place_of_a_decimal_is_refused_before_it_is_sealed(number: float) -> None:
    """It would read back as another value: a line holds no number with a point outside of text."""
    body = inspection()
    force_setattr(body.findings[0], "value", number)
    with pytest.raises(InputError, match="would not read back as it was given"):
        encode(body, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
