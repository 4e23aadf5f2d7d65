"""A record and its line in a logbook: one JSON object in UTF-8 that ends with a newline.

The order of the keys is fixed: v, prev, uid, kind, by, at, data. Decimals and dates are strings and no
number is ever a float, so that neither text nor hash changes on the way.
"""

import re
from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from typing import Annotated, Any, TypeVar

import msgspec

from fieldlog.domain.records import Body, Entry, Unknown
from fieldlog.errors import DamagedError, InputError, StoreError
from fieldlog.store.kinds import KINDS, VERSION
from fieldlog.store.quick_shapes import QuickHead, quick_body, quick_look, quick_parts

UID = re.compile(r"[0-9a-f]{32}")
_NOT_FINITE = re.compile(rb'"\s*[+-]?(?:s?nan[0-9]*|inf(?:inity)?)\s*"')
_Shape = TypeVar("_Shape")


class LineError(DamagedError):
    """A line that does not read as a record; `wrong` says why without naming the line."""

    def __init__(self, number: int, wrong: str) -> None:
        self.wrong = wrong
        super().__init__(f"line {number}: {wrong}")


class _Line(msgspec.Struct):
    """The line as it stands, with what every version must hold to."""

    v: Annotated[int, msgspec.Meta(ge=1)]
    prev: Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{64}\Z")]
    uid: Annotated[str, msgspec.Meta(min_length=1)]
    kind: str
    by: str
    at: Annotated[datetime, msgspec.Meta(tz=True)]
    data: Any


def _refuse_float(text: str) -> Any:
    raise ValueError(f"the number {text} is not a string or a whole number")


_WRITER = msgspec.json.Encoder()
# Reads JSON strictly: no NaN, no half of a surrogate pair, no broken UTF-8, no second value.
_LINE = msgspec.json.Decoder(_Line, float_hook=_refuse_float)


def plain(value: Any) -> Any:
    """The value as dicts, lists, strings, whole numbers, booleans and None; Decimals and dates as strings."""
    return _with_lists(msgspec.to_builtins(value))


def _with_lists(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _with_lists(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_with_lists(item) for item in value]
    return value


def from_plain(data: Any, shape: type[_Shape]) -> _Shape:
    """A value of the shape from what `plain` gave; StoreError where it does not fit."""
    try:
        return msgspec.convert(data, shape)
    except msgspec.ValidationError as fault:
        raise StoreError(f"kept data does not fit {shape.__name__}: {fault}") from None


def encode(body: Body, *, prev: str, uid: str, by: str, at: datetime) -> bytes:
    """The line that seals a record, with its newline.

    `prev` is the SHA-256 of the line before in hex, 64 zeros for the first; `uid` 32 hex digits; `at`
    carries its offset from UTC. InputError where the line could not be read back as it was given.
    """
    return encode_checked(body, prev=prev, uid=uid, by=by, at=at)[0]


def encode_checked(body: Body, *, prev: str, uid: str, by: str, at: datetime) -> tuple[bytes, Entry]:
    """The line as `encode` gives it, and the entry that it reads back as, with the number 1."""
    if isinstance(body, Unknown):
        raise InputError(f"a record of the unknown kind {body.name!r} can be kept but not sealed")
    if not UID.fullmatch(uid):
        raise InputError(f"a record's uid is 32 hex digits, not {uid[:40]!r}")
    if not by.strip():
        raise InputError("a record needs the name of who seals it")
    head = {"v": VERSION, "prev": prev, "uid": uid, "kind": body.kind, "by": by, "at": at.isoformat()}
    try:
        line = msgspec.json.encode({**head, "data": body}) + b"\n"
    except UnicodeEncodeError:
        raise InputError(
            f"this {body.kind} holds a character that is not valid Unicode: type that text anew"
        ) from None
    except (TypeError, ValueError) as fault:
        raise InputError(f"this {body.kind} can not be sealed: {fault}") from None
    return line, _read_back(line, body)


def _read_back(line: bytes, body: Body) -> Entry:
    """A line that fieldlog could not read again would shut its logbook for ever, so none is written."""
    try:
        back = _decode_own(line)
    except LineError as fault:
        raise InputError(f"this {body.kind} can not be sealed: {fault.wrong}") from None
    if not _is_same(back.body, body):
        raise InputError(f"this {body.kind} can not be sealed: it would not read back as it was given")
    return back


def _is_same(one: Body, other: Body) -> bool:
    """As MessagePack, where a float is never the same as nothing or as text, as it would be in JSON."""
    try:
        return msgspec.msgpack.encode(one) == msgspec.msgpack.encode(other)
    except OverflowError:  # a whole number of more than 64 bits
        return bool(msgspec.to_builtins(one) == msgspec.to_builtins(other))


def _decode_own(line: bytes) -> Entry:
    """As `decode` for a line that was made just now; what is compared with it afterwards finds any float."""
    quick = _read_quickly(line)
    return decode(line, 1) if quick is None else _entry(1, line, quick[0], quick[2])


def _read_quickly(line: bytes) -> tuple[QuickHead, bytes, Body] | None:
    """Head, data and body of a line; None for one that they can not be had of so.

    It holds for what this version wrote alone: floats, unknown fields and odd spellings pass unseen.
    """
    try:
        head, data = quick_parts(line)
        body = quick_body(head.kind, data)
    except (KeyError, ValueError, ArithmeticError, RecursionError):
        return None
    # as Decimal itself spells them; other spellings do not come out as they went in
    if head.v != VERSION or b"NaN" in line or b"Infinity" in line:
        return None
    return head, data, body


def _is_as_written(data: bytes, body: Body) -> bool:
    """Whether the record comes out as it went in: then it holds no float, no unknown field, nothing odd.

    About half the time of a second look.
    """
    text = bytearray(len(data))
    try:
        _WRITER.encode_into(body, text)
    except ValueError:
        return False
    return text == data


def decode(line: bytes, number: int) -> Entry:
    """The entry that a line with its newline holds; `number` counts from 1. LineError where it does not read.

    A kind this version does not know, or a known one in a later version's shape, becomes Unknown.
    Fields that it does not know are passed over.
    """
    if not line.endswith(b"\n") or line.find(b"\n") != len(line) - 1:
        raise LineError(number, "it is not exactly one line.")
    quick = _read_quickly(line)
    if quick is not None:
        head, data, body = quick
        if _is_as_written(data, body) or quick_look(line) is not None:
            return _entry(number, line, head, body)
    return _decode_slowly(line, number)


def _decode_slowly(line: bytes, number: int) -> Entry:
    """Any line, also of other versions; says what is wrong with one that does not read."""
    try:
        raw = _LINE.decode(line)
    except (ValueError, RecursionError) as fault:
        raise LineError(number, f"it does not read as a record ({fault}).") from None
    if not isinstance(raw.data, dict):
        raise LineError(number, "it does not read as a record (its data is not an object).")
    body = _body(raw, number)
    if _may_spell_infinity(line) and not all(found.is_finite() for found in _decimals(body)):
        raise LineError(number, f"a number in this {raw.kind} is not finite.")
    return _entry(number, line, raw, body)


def _entry(number: int, line: bytes, head: QuickHead | _Line, body: Body) -> Entry:
    return Entry(
        number=number,
        line=sha256(line).hexdigest(),
        prev=head.prev,
        v=head.v,
        uid=head.uid,
        by=head.by,
        at=head.at,
        body=body,
    )


def _body(raw: _Line, number: int) -> Body:
    shape = KINDS.get(raw.kind)
    if shape is None:
        return Unknown(name=raw.kind, data=raw.data)
    try:
        body: Body = msgspec.convert(raw.data, shape)
    except (ValueError, ArithmeticError) as fault:
        if raw.v > VERSION:
            return Unknown(name=raw.kind, data=raw.data)
        raise LineError(number, f"it does not read as a record of the kind {raw.kind} ({fault}).") from None
    return body


def _may_spell_infinity(line: bytes) -> bool:
    """A quick look for NaN and Infinity, which read as Decimals: only few lines need the long look."""
    low = line.lower()
    if b"\\" in low:
        return True  # what an escape spells is not seen here
    # words such as maintenance and confirmed are frequent, and no number holds anything else
    return (b"nan" in low or b"inf" in low) and _NOT_FINITE.search(low) is not None


def _decimals(value: Any) -> Iterator[Decimal]:
    """Every Decimal in a body, however deep."""
    if isinstance(value, Decimal):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _decimals(item)
    elif isinstance(value, msgspec.Struct):
        for name in value.__struct_fields__:
            yield from _decimals(getattr(value, name))
