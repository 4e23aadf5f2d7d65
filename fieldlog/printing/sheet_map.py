"""A sheet of labels as a small map: which places are used, which will be printed, which stay free."""

from fieldlog.domain.counting import counted
from fieldlog.errors import InputError
from fieldlog.printing.labels import check_start
from fieldlog.printing.layouts import Template, labels_on_page

USED, PRINTED, FREE = ".", "#", "o"
LEGEND = f"{USED} used before   {PRINTED} printed now   {FREE} stays free"
MARGIN = 4


def sheet_map(template: Template, start: int, many: int) -> list[str]:
    """Lines of a map of the sheets that `many` labels from place `start` of the first one take.

    Each row names its first place. Full sheets between the first and the last one are only counted; a roll is
    told in one line. Raises InputError for a place that the sheet does not have, or for no label.
    """
    check_start(template, start)
    if many < 1:
        raise InputError("There is no label to print.")
    room = labels_on_page(template)
    if room == 1:
        return [f"{counted(many, 'label')} of the roll, one a page"]
    end = start - 1 + many
    pages = -(-end // room)
    lines = _page(template, 1, start - 1, min(end, room))
    if pages > 2:
        between = "page 2 is full" if pages == 3 else f"pages 2 to {pages - 1} are full"
        lines.append(f"{between}, {room} labels each")
    if pages > 1:
        lines += _page(template, pages, 0, end - (pages - 1) * room)
    return [*lines, LEGEND]


def _page(template: Template, page: int, used: int, end: int) -> list[str]:
    """One sheet: places up to `used` are used, from there up to `end` printed."""
    nx, room = template.grid.nx, labels_on_page(template)
    signs = USED * used + PRINTED * (end - used) + FREE * (room - end)
    rows = [f"{first + 1:>{MARGIN}}  {' '.join(signs[first : first + nx])}" for first in range(0, room, nx)]
    return [f"page {page}:", *rows]
