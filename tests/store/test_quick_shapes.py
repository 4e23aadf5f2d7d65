"""The quick look never passes what the long one refuses, and what it passes reads alike both ways."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.store.codec import LineError, _decode_slowly, decode, encode
from fieldlog.store.ending import GENESIS
from fieldlog.store.quick_shapes import quick_look
from tests.store.samples import WHEN, inspection, uid, withdrawal

LINE = encode(inspection(2), prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)
PIECES = st.sampled_from(
    [
        b"NaN",
        b"1.5",
        b"-0",
        b"1e5",
        b'"',
        b"null",
        b"true",
        b'"NaN"',
        b"Infinity",
        b"\\ud83d",
        b"\xff",
        b"[]",
        b"{}",
    ]
)


def slowly(line: bytes) -> Any:
    return told(lambda: _decode_slowly(line, 1))


def told(read: Callable[[], Any]) -> Any:
    try:
        return read()
    except LineError as fault:
        return fault.wrong


def test_what_fieldlog_seals_passes() -> None:
    for body in (inspection(), withdrawal()):
        assert quick_look(encode(body, prev=GENESIS, uid=uid(1), by="Ada Fenn", at=WHEN)) is not None


@given(st.integers(0, len(LINE) - 2), st.integers(0, 12), st.one_of(PIECES, st.binary(max_size=4)))
def test_a_changed_line_reads_as_the_long_look_reads_it(place: int, over: int, piece: bytes) -> None:
    changed = LINE[:place] + piece.replace(b"\n", b"") + LINE[min(place + over, len(LINE) - 1) :]
    assert told(lambda: decode(changed, 1)) == slowly(changed)
    if quick_look(changed) is not None:
        assert not isinstance(slowly(changed), str)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"2.10"', b"2.10"),  # a float, which is refused wherever it stands
        (b'"2.10"', b'"NaN"'),
        (b'"2.10"', b'"-Infinity"'),
        (b'"2.10"', b'"2.10 "'),
        (b'"2.10"', b'"2_10"'),
        (b'"links":11', b'"links":11.0'),
        (b'"links":11', b'"links":11,"later":1'),
        (b'"kind":"inspection"', b'"kind":"unheard of"'),
        (b'{"v":1', b'{"v":2'),
        (b'"prev":"0', b'"prev":"G'),
        (b'"data":{', b'"data":{"later":1.5,'),
        (b'"data":{', b'"data":{"later":"\\ud83d",'),
    ],
)
def test_what_is_not_as_fieldlog_writes_it_is_left_to_the_long_look(old: bytes, new: bytes) -> None:
    assert old in LINE
    changed = LINE.replace(old, new, 1)
    assert quick_look(changed) is None
    assert told(lambda: decode(changed, 1)) == slowly(changed)
