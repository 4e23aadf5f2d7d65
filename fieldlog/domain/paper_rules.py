"""The part of a rulebook that decides what paper says: particulars, stickers, colours, letters, keeping."""

from decimal import Decimal
from enum import StrEnum

from msgspec import Struct

from fieldlog.domain.criteria import Source


class Occasion(StrEnum):
    """When a particular must stand in a report."""

    ALWAYS = "always"
    FIRST = "first or at a new place"
    RECURRENT = "recurrent"
    DEFECTS = "where there are defects"
    TESTS = "where there were tests"
    POWERED = "powered hoists"


class Particular(Struct, frozen=True, kw_only=True):
    """Something that a report must say; `field` is the record's word for it."""

    id: str
    field: str
    says: str
    when: Occasion
    source: Source


class StickerRule(Struct, frozen=True, kw_only=True):
    """Whether a sticker may be given with open defects that leave safety untouched; never with others."""

    id: str
    with_minor_defects: bool
    source: Source


class RetentionRule(Struct, frozen=True, kw_only=True):
    """How long records of a sort are kept: the event that ends it, and never under `least_months`."""

    id: str
    records: str
    until: str
    least_months: int = 0
    source: Source


class YearColour(Struct, frozen=True, kw_only=True):
    """A colour by name, as #RRGGBB for a screen or printer (near it) and by RAL number if known."""

    name: str
    hex: str
    ral: str = ""


class YearMeans(StrEnum):
    """What the year of a coloured sticker stands for."""

    DUE = "due"
    DONE = "done"


class YearColourScheme(Struct, frozen=True, kw_only=True):
    """Colours that repeat year by year; the first stands for `from_year`."""

    id: str
    title: str
    means: YearMeans
    from_year: int
    colours: tuple[YearColour, ...]
    source: Source


class Lettering(Struct, frozen=True, kw_only=True):
    """Height of letters: one unit for every `distance_per_height` units of reading distance."""

    id: str
    distance_per_height: Decimal
    least_distance_mm: Decimal
    distance_source: Source | None = None
    source: Source
