"""What happens to a hoist as one of a fleet, as values: taken over, handed on, retired, its defects told.

A record has no behaviour; questions about it are functions elsewhere. A new field needs a default, so that
lines written before it still open.
"""

from datetime import date
from typing import ClassVar

from msgspec import Struct

from fieldlog.domain.inspection_records import ChainReading
from fieldlog.domain.vocabulary import InspectionKind


class TakenOver(Struct, frozen=True, kw_only=True):
    """What older paper says of the hoist: its last inspection and reading there, taken over unseen.

    It stands in the timeline and never counts as an inspection by this shop. `source` is the document;
    `done_on` and `occasion` are that inspection's, where the paper tells them.
    """

    kind: ClassVar[str] = "taken over"

    source: str
    done_on: date | None = None
    occasion: InspectionKind | None = None
    reading: ChainReading | None = None
    remark: str = ""


class TakenIn(Struct, frozen=True, kw_only=True):
    """The lines above came from another shop, whole: `lines` of them, the last one with the hash `head`.

    Instruments and signatures that those lines name are known there and not here.
    """

    kind: ClassVar[str] = "taken in"

    done_on: date
    from_shop: str
    lines: int
    head: str


class Retired(Struct, frozen=True, kw_only=True):
    """The hoist is used no more here: scrapped, sold or handed over; nothing is due any more.

    A later registration record puts it to use again.
    """

    kind: ClassVar[str] = "retired"

    done_on: date
    why: str
    went_to: str = ""


class Notice(Struct, frozen=True, kw_only=True):
    """Defects told to somebody: which, to whom and how ('by letter', 'on the spot'), on a day."""

    kind: ClassVar[str] = "notice"

    done_on: date
    defects: tuple[str, ...]
    whom: str
    how: str
    remark: str = ""
