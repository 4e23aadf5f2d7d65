"""The blocks of a report as things that flow down a page."""

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec.structs import replace
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Paragraph, Spacer, Table

from fieldlog.domain.report_content import (
    Bars,
    Block,
    Column,
    Facts,
    Section,
    SignatureLine,
    Signatures,
    Statement,
    Text,
    WearPlot,
    Words,
)
from fieldlog.domain.report_content import Table as TableOfWords
from fieldlog.printing import reports_style as look
from fieldlog.printing.fonts import REGULAR, font_name
from fieldlog.printing.reports_bars import BarDrawing
from fieldlog.printing.reports_plot import WearDrawing
from fieldlog.printing.reports_style import Typesetter, styles

LABEL_SHARE = 0.24
LABEL_SHARE_OF_TWO = 0.36
GAP = 2 * mm
ROOM_FOR_A_HEADING, ROOM_UNDER_A_HEADING = 12 * mm, 40 * mm
MOST_HIGH = 10_000 * mm
KEPT_WHOLE = 8
SIGNING_ROOM = 11 * mm
ROOM_FOR_A_ROW = 150 * mm
BROAD_LETTER, LEADING = 6.0, 11.4
"""A letter is taken for wider than it is on average, so that no row is thought shorter than it is."""


class Prose(Paragraph):  # type: ignore[misc]
    """A paragraph that breaks its lines once for a width: tables ask for its height several times."""

    broken_at = -1.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its width and height, worked out anew only for another width."""
        # Whoever tried to split it has thrown the broken lines away.
        if self.broken_at != width or not hasattr(self, "blPara"):
            super().wrap(width, height)
            self.broken_at = width
        return self.width, self.height


class Heading(Prose):
    """A heading that the reader's outline leads to."""

    def __init__(self, text: str, style: Any, *, plain: str, key: str, level: int) -> None:
        super().__init__(text, style)
        self.plain, self.key, self.level = plain, key, level

    def split(self, _width: float, _height: float) -> list[Flowable]:
        """Never: a place in the outline is one place."""
        return []

    def draw(self) -> None:
        """Mark the place, then draw the words."""
        self.canv.bookmarkHorizontal(self.key, 0, self.height)
        self.canv.addOutlineEntry(self.plain, self.key, self.level, closed=self.level == 0)
        super().draw()


def section_flowables(section: Section, number: int, width: float, setter: Typesetter) -> Iterator[Flowable]:
    """The heading and all blocks of a section, `number` being its place in the report."""
    first = section.level == 0
    blocks = [block_flowables(block, width, setter) for block in section.blocks]
    yield CondPageBreak(ROOM_FOR_A_HEADING + _beginning(blocks[:2], width))
    yield Spacer(0, (4 if first else 2.5) * mm)
    title = setter.clean(section.title)
    style = styles()[look.SECTION if first else look.SUBSECTION]
    heading = Heading(
        setter.markup(section.title), style, plain=title, key=f"section-{number}", level=section.level
    )
    yield _ruled(heading, width) if first else heading
    for flowables in blocks:
        yield Spacer(0, 1.2 * mm)
        yield from flowables


def _beginning(blocks: list[list[Flowable]], width: float) -> float:
    """The height that must be left under a heading, so that it does not stand alone: its first two
    blocks, or so much of long ones."""
    heights = [flowable.wrapOn(None, width, MOST_HIGH)[1] for flowables in blocks for flowable in flowables]
    return float(min(sum(heights), ROOM_UNDER_A_HEADING))


def _ruled(heading: Heading, width: float) -> Table:
    return Table(
        [[heading]],
        colWidths=[width],
        style=[("LINEBELOW", (0, 0), (-1, -1), look.LINE, look.INK), *_padding(0, 1.2)],
    )


def _padding(side: float, rise: float) -> list[tuple[Any, ...]]:
    """Padding of all cells [pt]. They name the embedded font, or the reader's own would be asked for."""
    everywhere = ((0, 0), (-1, -1))
    return [
        ("FONTNAME", *everywhere, font_name(REGULAR)),
        ("LEFTPADDING", *everywhere, side),
        ("RIGHTPADDING", *everywhere, side),
        ("TOPPADDING", *everywhere, rise),
        ("BOTTOMPADDING", *everywhere, rise),
        ("VALIGN", *everywhere, "TOP"),
    ]


def block_flowables(  # noqa: PLR0911 (one kind, one return)
    block: Block, width: float, setter: Typesetter
) -> list[Flowable]:
    """One block, drawn `width` points wide."""
    match block:
        case Facts():
            if not block.rows:
                return []
            table = _facts(block, width, setter)
            return [table if len(block.rows) > KEPT_WHOLE else KeepTogether([table])]
        case TableOfWords():
            return [_table(block, width, setter)] if block.rows else []
        case Text():
            return _prose(block.words, _text_style(block), setter) if block.words.text else []
        case Statement():
            return [_statement(block, width, setter)]
        case WearPlot():
            caption = _prose(Words(text=block.words), look.SMALL, setter)
            return [KeepTogether([WearDrawing(block), Spacer(0, GAP / 2), *caption])]
        case Bars():
            return [KeepTogether([_bars(block, width, setter)])] if block.rows else []
        case Signatures():
            return [KeepTogether([_signatures(block, width, setter)])]


def _text_style(block: Text) -> str:
    if block.small:
        return look.SMALL
    return look.STRONG_TEXT if block.words.strong else look.PLAIN


def _prose(words: Words, style: str, setter: Typesetter) -> list[Flowable]:
    """The words as paragraphs, one for each line of theirs: broken lines within one would be slow to set."""
    lines = words.text.splitlines() or [""]
    return [Prose(setter.words(replace(words, text=line)), styles()[style]) for line in lines]


def _facts(block: Facts, width: float, setter: Typesetter) -> Table:
    pairs = [
        (_prose(Words(text=fact.label), look.LABEL, setter), _prose(fact.words, look.PLAIN, setter))
        for fact in block.rows
    ]
    if not block.two_columns:
        widths = [width * LABEL_SHARE, width * (1 - LABEL_SHARE)]
        tall = any(_is_tall(fact.words, widths[1]) for fact in block.rows)
        return Table(pairs, colWidths=widths, style=_padding(0, 0.8), splitInRow=int(tall))
    half = (len(pairs) + 1) // 2
    left, right = pairs[:half], [*pairs[half:], ([], [])][:half]
    widths = [width / 2 * LABEL_SHARE_OF_TWO, width / 2 * (1 - LABEL_SHARE_OF_TWO)] * 2
    style = [*_padding(0, 0.8), ("RIGHTPADDING", (1, 0), (1, -1), 3 * mm)]
    rows = [(*a, *b) for a, b in zip(left, right, strict=True)]
    tall = any(_is_tall(fact.words, widths[1]) for fact in block.rows)
    return Table(rows, colWidths=widths, style=style, splitInRow=int(tall))


def _table(block: TableOfWords, width: float, setter: Typesetter) -> Table:
    kinds = [_column_style(column, dense=block.dense) for column in block.columns]
    rows = [
        [_prose(words, kind, setter) for words, kind in zip(row, kinds, strict=True)] for row in block.rows
    ]
    widths = _widths(block.columns, width)
    tall = any(_is_tall(words, width) for row in block.rows for words, width in zip(row, widths, strict=True))
    return Table(
        [_heads(block.columns, setter), *rows],
        colWidths=widths,
        style=_rows_style(),
        repeatRows=1,
        splitInRow=int(tall),
    )


def _bars(block: Bars, width: float, setter: Typesetter) -> Table:
    """A row for each bar, with its label before it and its figures behind it."""
    columns = (block.label, block.drawn, *block.beside)
    label, *beside = [_column_style(column, dense=False) for column in (block.label, *block.beside)]
    rows = [
        [
            _prose(row.label, label, setter),
            [BarDrawing(row, block.full, block.limit)],
            *(_prose(words, kind, setter) for words, kind in zip(row.beside, beside, strict=True)),
        ]
        for row in block.rows
    ]
    style = [*_rows_style(), ("VALIGN", (0, 1), (-1, -1), "MIDDLE")]
    return Table(
        [_heads(columns, setter), *rows], colWidths=_widths(columns, width), style=style, repeatRows=1
    )


def _heads(columns: Sequence[Column], setter: Typesetter) -> list[list[Flowable]]:
    return [
        _prose(Words(text=column.title), look.HEAD_FIGURE if column.figures else look.HEAD, setter)
        for column in columns
    ]


def _widths(columns: Sequence[Column], width: float) -> list[float]:
    whole = sum(column.share for column in columns)
    return [width * column.share / whole for column in columns]


def _rows_style() -> list[tuple[Any, ...]]:
    """Rows parted by hairlines below ruled headings."""
    return [
        *_padding(1.2 * mm, 1.6),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("LINEBELOW", (0, 0), (-1, 0), look.LINE, look.INK),
        ("LINEBELOW", (0, 1), (-1, -1), look.HAIRLINE, look.FAINT),
    ]


def _column_style(column: Column, *, dense: bool) -> str:
    if dense:
        return look.DENSE_FIGURE if column.figures else look.DENSE
    return look.FIGURE if column.figures else look.PLAIN


def _is_tall(words: Words, width: float) -> bool:
    """Whether a text may be higher than a page: only then may its row be split, which is not pretty."""
    lines = sum(1 + len(line) * BROAD_LETTER / width for line in words.text.splitlines())
    return bool(lines * LEADING > ROOM_FOR_A_ROW)


def _statement(block: Statement, width: float, setter: Typesetter) -> Table:
    """A framed headline with its sentences; white on black where use is stopped."""
    head = look.HEADLINE_GRAVE if block.grave else look.HEADLINE
    rows = [[_prose(Words(text=block.headline), head, setter)]]
    rows += [[_prose(Words(text=line), look.PLAIN, setter)] for line in block.lines]
    style = [*_padding(3 * mm, 1.5), ("BOX", (0, 0), (-1, -1), look.FRAME, look.INK)]
    style += [("TOPPADDING", (0, 0), (-1, 0), 3), ("BOTTOMPADDING", (0, 0), (-1, 0), 5)]
    style += [("BOTTOMPADDING", (0, -1), (-1, -1), 6)]
    if block.grave:
        style.append(("BACKGROUND", (0, 0), (-1, 0), look.INK))
    if block.lines:
        style.append(("TOPPADDING", (0, 1), (-1, 1), 5))
    tall = any(_is_tall(Words(text=line), width) for line in block.lines)
    return Table(rows, colWidths=[width], style=style, splitInRow=int(tall))


def _signatures(block: Signatures, width: float, setter: Typesetter) -> Table:
    """Beside each other: role, what the signature says, room to sign, name, and where the day goes."""
    columns = [_signature(line, setter) for line in block.lines]
    count = max(len(columns), 2)
    columns += [[[]] * 5] * (count - len(columns))
    style = [*_padding(0, 1), ("RIGHTPADDING", (0, 0), (-1, -1), 6 * mm)]
    style += [("LINEBELOW", (at, 2), (at, 2), look.LINE, look.INK) for at in range(len(block.lines))]
    return Table(list(zip(*columns, strict=True)), colWidths=[width / count] * count, style=style)


def _signature(line: SignatureLine, setter: Typesetter) -> list[list[Flowable]]:
    name = line.name or "name"
    return [
        _prose(Words(text=line.role, strong=True), look.PLAIN, setter),
        _prose(Words(text=line.says), look.SMALL, setter),
        [Spacer(0, SIGNING_ROOM)],
        _prose(Words(text=name), look.PLAIN if line.name else look.SMALL, setter),
        _prose(Words(text="signature, place and day"), look.SMALL, setter),
    ]
