"""The hoist as registered, as a value.

A record has no behaviour; questions about it are functions elsewhere. Lengths are millimetres, masses
kilograms, both Decimal. A new field needs a default, so that lines written before it still open.
"""

from datetime import date
from decimal import Decimal
from typing import ClassVar

from msgspec import Struct

from fieldlog.domain.vocabulary import Basis, Drive, ServiceClass


class ChainSize(Struct, frozen=True, kw_only=True):
    """Nominal diameter dn and nominal pitch pn (inside length of one link)."""

    dn_mm: Decimal
    pn_mm: Decimal
    grade: str = ""


class BookValue(Struct, frozen=True, kw_only=True):
    """The hoist maker's own figures over `links` links, with the document they come from.

    A book may give the length as new, the discard length, or both.
    """

    links: int
    basis: Basis = Basis.INSIDE
    length_mm: Decimal | None = None
    discard_mm: Decimal | None = None
    document: str


class Hoist(Struct, frozen=True, kw_only=True):
    """Nameplate and installation facts; `rulebook` is the regime of the place where it hangs."""

    kind: ClassVar[str] = "registration"

    id: str
    maker: str
    model: str
    serial: str
    year: int | None = None
    drive: Drive
    capacity_kg: Decimal
    falls: int
    lift_mm: Decimal
    chain: ChainSize
    book: BookValue | None = None
    hook_throat_mm: Decimal | None = None
    limit_switches: bool = False
    container: bool = False
    overload_device: bool = False
    trolley: bool = False
    lifts_persons: bool = False
    site: str
    place: str = ""
    service: ServiceClass = ServiceClass.NORMAL
    group: str = ""
    rulebook: str
    registered_on: date
