"""Where labels go on a sheet, with words beside it."""

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

GAP = "   "
PAGE = "page "


def beside(sheet: Sequence[str], words: Sequence[str], width: int, height: int) -> list[str]:
    """The pages of a sheet map beside each other, then the words, wrapped to what is left of the width.

    A single page needs no heading. Words that do not fit in end with '...'.
    """
    blocks = _blocks(sheet)
    if len(blocks) == 1 and blocks[0][0].startswith(PAGE):
        blocks = [blocks[0][1:]]
    left = _joined(blocks)
    room = max(width - len(left[0]) - len(GAP) if left else width, 20)
    right = [part for line in words for part in textwrap.wrap(line, room, break_on_hyphens=False)]
    if len(right) > height > 0:
        right = [*right[: height - 1], "..."]
    return [a + b for a, b in zip_longest(left, (f"{GAP}{line}" for line in right), fillvalue="")][:height]


def _blocks(sheet: Sequence[str]) -> list[list[str]]:
    """The lines of each page."""
    blocks: list[list[str]] = []
    for line in sheet:
        if (line.startswith(PAGE) and line.endswith(":")) or not blocks:
            blocks.append([])
        blocks[-1].append(line)
    return blocks


def _joined(blocks: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(map(len, block)) for block in blocks]
    rows = zip_longest(*blocks, fillvalue="")
    return [GAP.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows]
