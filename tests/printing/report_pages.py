"""Reports by hand, and what can be read and seen on their pages by readers that fieldlog does not use."""

from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pypdf
import pypdfium2

from fieldlog.domain.report_content import (
    Block,
    Column,
    Fact,
    Facts,
    PlotPoint,
    Report,
    Section,
    SignatureLine,
    Signatures,
    Statement,
    Table,
    Text,
    WearPlot,
    Words,
)

GREEK = "Υδραυλικά Έργα Θεσσαλονίκης"
POLISH = "Zażółć gęślą jaźń, Łódź"
CYRILLIC = "Ґалаґан-Їжакевич"
FIRST = date(2025, 1, 1)


def words(text: str, **marks: bool) -> Words:
    return Words(text=text, **marks)


def plot(*percents: float, words: str = "Trend: no trend yet.", **lines: Any) -> WearPlot:
    """A chain read every hundred days."""
    points = tuple(
        PlotPoint(day=FIRST + timedelta(days=100 * place), percent=percent)
        for place, percent in enumerate(percents)
    )
    return WearPlot(points=points, watch_percent=80.0, words=words, **lines)


def table(rows: int = 3, cell: str = "kept") -> Table:
    columns = (Column(title="Place", share=3), Column(title="Length, mm", share=2, figures=True))
    return Table(
        columns=columns,
        rows=tuple((words(f"{cell} {row}"), words(f"165.{row}")) for row in range(rows)),
    )


BLOCKS: tuple[Block, ...] = (
    Statement(headline="X OUT OF SERVICE", lines=("D1: guide cracked", "lock 9"), grave=True),
    Statement(headline="+ IN SERVICE"),
    Facts(
        rows=(
            Fact(label="Owner", words=words(GREEK)),
            Fact(label="Address", words=words("not recorded", missing=True)),
            Fact(label="Tag", words=words("SW-0007-X", strong=True)),
        ),
        two_columns=True,
    ),
    Facts(rows=(Fact(label="Remark", words=words("first line\nsecond line")),)),
    table(),
    Text(words=words("Nothing was left unseen.")),
    Text(words=words("A verdict does not replace a person."), small=True),
    plot(20.0, 40.0, 60.0),
    Signatures(
        lines=(
            SignatureLine(role="Signed by", name=POLISH, says="I made this inspection."),
            SignatureLine(role="For the owner"),
        )
    ),
)


def report(*blocks: Block, count: int = 1, level: int = 0, **changes: Any) -> Report:
    """A report of `count` sections that hold these blocks each, or one of every kind."""
    values: dict[str, Any] = {
        "title": "Inspection report",
        "about": "SW-0007-X",
        "shop": "Saltmarsh Hoist Service",
        "shop_address": "7 Sluice Lane",
        "subject": "Fenwright LC 500: periodic, 2026-02-27",
        "author": "Ada Fenn",
        "dated": date(2026, 2, 27),
        "reference": "Saltmarsh Hoist Service | logbook SW-0007-X, line 3, 0123456789",
        "sections": tuple(
            Section(title=f"Part {number}", blocks=blocks or BLOCKS, level=level)
            for number in range(1, count + 1)
        ),
    }
    return Report(**(values | changes))


def reader(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(BytesIO(pdf))


def text_of(pdf: bytes) -> str:
    """All text of all pages, words kept apart by one space, as somebody who copies it gets it."""
    return " ".join(" ".join(page.extract_text() for page in reader(pdf).pages).split())


def boxes(pdf: bytes) -> list[list[tuple[float, float, float, float]]]:
    """Left, lower, right and upper end of every character that leaves ink, page by page [pt]."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        letters = text.get_text_range()
        found.append(
            [text.get_charbox(at) for at in range(text.count_chars()) if letters[at : at + 1].strip()]
        )
    return found
