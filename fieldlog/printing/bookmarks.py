"""The reader's outline of a PDF that is written page by page: a flat list of marks, in two levels.

Each mark is written as one short object (ISO 32000-1, 12.3.3) that leads straight to its page, without the
named destinations that reportlab would add, so that ten thousand labels stay small.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct
from reportlab.pdfbase import pdfdoc


class Mark(Struct, frozen=True):
    """A line of the outline: where it leads, in points from the page's lower left corner, or its whole page.

    A mark of level 1 stands below the one of level 0 before it, which is shown closed.
    """

    title: str
    page: str
    level: int = 0
    at: tuple[float, float] | None = None


def write_outline(marks: Sequence[Mark], document: Any, first_number: int) -> Iterator[str]:
    """The objects of the outline in PDF's words: its root, then one a mark, numbered from `first_number`."""
    tops = [index for index, mark in enumerate(marks) if not mark.level]
    ends = [*tops[1:], len(marks)]
    number = first_number + 1  # of the first mark
    yield (f"<</Type/Outlines/First {number + tops[0]} 0 R/Last {number + tops[-1]} 0 R/Count {len(tops)}>>")
    neighbours = zip([None, *tops[:-1]], [*tops[1:], None], strict=True)
    for (before, after), top, end in zip(neighbours, tops, ends, strict=True):
        below = ""
        if end > top + 1:
            below = f"/First {number + top + 1} 0 R/Last {number + end - 1} 0 R/Count {top + 1 - end}"
        yield _mark(
            marks[top], document, parent=first_number, first=number, beside=(before, after), below=below
        )
        for index in range(top + 1, end):
            beside = (index - 1 if index > top + 1 else None, index + 1 if index + 1 < end else None)
            yield _mark(marks[index], document, parent=number + top, first=number, beside=beside)


def _mark(
    mark: Mark,
    document: Any,
    *,
    parent: int,
    first: int,
    beside: tuple[int | None, int | None],
    below: str = "",
) -> str:
    before, after = beside
    links = "" if before is None else f"/Prev {first + before} 0 R"
    links += "" if after is None else f"/Next {first + after} 0 R"
    title = pdfdoc.PDFString(mark.title).format(document).decode("latin-1")
    page, _ = document.idToObjectNumberAndVersion[mark.page]
    where = "/Fit" if mark.at is None else f"/XYZ {mark.at[0]:.0f} {mark.at[1]:.0f} null"
    return f"<</Title {title}/Parent {parent} 0 R{links}{below}/Dest[{page} 0 R{where}]>>"
