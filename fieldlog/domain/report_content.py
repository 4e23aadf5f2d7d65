"""What stands in a report, before anybody decides how it is drawn.

A report is sections of blocks of words. Nothing here knows paper, type or a file; numbers are already words,
but for the wear plot and bars, whose lengths are floats because a drawing is made of them.
"""

from datetime import date

from msgspec import Struct

from fieldlog.errors import Problem

NOT_RECORDED = "not recorded"


class Words(Struct, frozen=True, kw_only=True):
    """A text as it will be read. `missing`: it stands for something that the records do not hold.

    `strong` is set for what must not be passed over, and never carries meaning alone.
    """

    text: str
    missing: bool = False
    strong: bool = False


class Fact(Struct, frozen=True, kw_only=True):
    """One particular: what it is, and what the records say."""

    label: str
    words: Words


class Facts(Struct, frozen=True, kw_only=True):
    """Particulars below each other; short ones may be drawn in two columns."""

    rows: tuple[Fact, ...]
    two_columns: bool = False


class Column(Struct, frozen=True, kw_only=True):
    """A column: its heading, its share of the width as a whole number, and whether it holds figures."""

    title: str
    share: int
    figures: bool = False


class Table(Struct, frozen=True, kw_only=True):
    """Rows of words below headings, one text for each column; `dense` for what is looked up, not read."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Words, ...], ...]
    dense: bool = False


class Text(Struct, frozen=True, kw_only=True):
    """A paragraph; `small` for cautions and for how to read what stands above it."""

    words: Words
    small: bool = False


class Statement(Struct, frozen=True, kw_only=True):
    """What must be seen first: a headline and the sentences behind it; `grave` where use is stopped."""

    headline: str
    lines: tuple[str, ...] = ()
    grave: bool = False


class PlotPoint(Struct, frozen=True, kw_only=True):
    """A share of the allowed growth [percent] found on a day."""

    day: date
    percent: float


class WearPlot(Struct, frozen=True, kw_only=True):
    """Used share of the allowed growth against time, with the limit at 100 percent.

    `watch_percent` is where 'watch' begins. `forecast` are the two ends of the trend's line; `early` and
    `late` those of its interval, None where there is none. `words` say what the trend tells.
    """

    points: tuple[PlotPoint, ...]
    watch_percent: float
    forecast: tuple[PlotPoint, PlotPoint] | None = None
    early: tuple[PlotPoint, PlotPoint] | None = None
    late: tuple[PlotPoint, PlotPoint] | None = None
    words: str = ""


class Bar(Struct, frozen=True, kw_only=True):
    """One row of bars: what it stands for, how long its bar is, and the figures beside it in words.

    `solid` bars stand out from the others; what they tell stands in the row's words too.
    """

    label: Words
    length: float
    beside: tuple[Words, ...]
    solid: bool = False


class Bars(Struct, frozen=True, kw_only=True):
    """Horizontal bars below each other, on one scale that begins at 0 and ends at `full`.

    `label` and `drawn` head the first two columns, `beside` the others, one text of a row for each. `limit`
    is where a mark crosses every bar, None for no mark.
    """

    label: Column
    drawn: Column
    beside: tuple[Column, ...]
    rows: tuple[Bar, ...]
    full: float
    limit: float | None = None


class SignatureLine(Struct, frozen=True, kw_only=True):
    """Where somebody signs by hand: as what, who if that is known, and what the signature says."""

    role: str
    name: str = ""
    says: str = ""


class Signatures(Struct, frozen=True, kw_only=True):
    """Lines to sign on, beside each other."""

    lines: tuple[SignatureLine, ...]


Block = Facts | Table | Text | Statement | WearPlot | Bars | Signatures


class Section(Struct, frozen=True, kw_only=True):
    """A heading with what stands below it. One of level 1 belongs to the one of level 0 above it."""

    title: str
    blocks: tuple[Block, ...]
    level: int = 0


class Report(Struct, frozen=True, kw_only=True):
    """A whole report. The same records give an equal value: `dated` comes from them and from no clock.

    `about` is the hoist's ID or the site, `reference` what names the records at the foot of every page.
    `missing` are the particulars that the rulebook asks for and the records do not hold.
    """

    title: str
    about: str
    shop: str
    shop_address: str
    subject: str
    author: str
    dated: date
    reference: str
    sections: tuple[Section, ...]
    missing: tuple[Problem, ...] = ()
