"""A quick look at a line's shape: several times quicker than making its record, and never laxer.

The shapes are worked out from the records themselves. Numbers with decimals must stand as plain strings, and
no field may be one that this version does not know; a line that does not pass is read by `codec.decode`,
whose word is the last one.
"""

import types
from datetime import datetime
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, Union, get_args, get_origin

import msgspec
from msgspec.structs import FieldInfo, fields

from fieldlog.domain.records import Body
from fieldlog.store.kinds import KINDS, VERSION

# Finite and written out, so that neither NaN nor a power of ten passes here.
_NUMBER = Annotated[str, msgspec.Meta(pattern=r"\A-?[0-9]+(?:\.[0-9]+)?\Z")]


class QuickHead(msgspec.Struct, forbid_unknown_fields=True, gc=False):
    """What stands in a line before its data."""

    v: int
    prev: Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{64}\Z")]
    uid: Annotated[str, msgspec.Meta(min_length=1)]
    kind: str
    by: str
    at: Annotated[datetime, msgspec.Meta(tz=True)]


_HEAD = msgspec.json.Decoder(QuickHead)
_DATA = b',"data":'


@cache
def _decoder(kind: str) -> msgspec.json.Decoder[Any] | None:
    shape: Any = KINDS.get(kind)
    return None if shape is None else msgspec.json.Decoder(_quick(shape))


def quick_look(line: bytes) -> tuple[QuickHead, Any] | None:
    """The line's head and its data; None where `codec.decode` must be asked.

    The data has the record's own field names; Decimals stay strings in it.
    """
    try:
        head, data = quick_parts(line)
        decoder = _decoder(head.kind)
        if decoder is None or head.v != VERSION:
            return None
        return head, decoder.decode(data)
    except (ValueError, RecursionError):
        return None


def quick_parts(line: bytes) -> tuple[QuickHead, bytes]:
    """The line's head and its data as JSON text; ValueError where it is not as this version writes it.

    The data stands last, and no text within the head can hold the mark before it: there each quote would
    have a backslash. Whether the data itself reads is for its reader to say.
    """
    head, mark, rest = line.partition(_DATA)
    if not mark or not rest.endswith(b"}\n"):
        raise ValueError("no data stands at the end")
    return _HEAD.decode(head + b"}"), rest[:-2]


def quick_body(kind: str, data: bytes) -> Body:
    """The record of this kind; ValueError, ArithmeticError or KeyError where it can not be had."""
    body: Body = _full(kind).decode(data)
    return body


@cache
def _full(kind: str) -> msgspec.json.Decoder[Any]:
    return msgspec.json.Decoder(KINDS[kind])


@cache
def _quick(shape: Any) -> Any:
    """The same type with every record in it as a light structure and every Decimal as a checked string."""
    if shape is Decimal:
        return _NUMBER
    if isinstance(shape, type) and issubclass(shape, msgspec.Struct):
        members = [(field.name, _quick(field.type), *_default(field)) for field in fields(shape)]
        return msgspec.defstruct(shape.__name__, members, kw_only=True, gc=False, forbid_unknown_fields=True)
    inner = get_args(shape)
    if get_origin(shape) is tuple:
        return tuple[tuple(each if each is Ellipsis else _quick(each) for each in inner)]  # type: ignore[misc]
    if get_origin(shape) in (Union, types.UnionType):
        return Union[tuple(_quick(each) for each in inner)]  # noqa: UP007 (made at run time)
    return shape


def _default(field: FieldInfo) -> tuple[Any, ...]:
    """The default as it stands, as whoever reads the data asks for it; an empty tuple where there is none."""
    if field.default is not msgspec.NODEFAULT:
        return (field.default,)
    return () if field.default_factory is msgspec.NODEFAULT else (field.default_factory(),)
