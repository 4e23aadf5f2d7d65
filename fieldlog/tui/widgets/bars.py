"""Bars in signs: full for now, light for before, with a mark where the limit stands."""

from msgspec import Struct


class BarSigns(Struct, frozen=True, kw_only=True):
    """What bars are drawn with. They are told apart by sign, never by colour alone."""

    now: str
    before: str
    limit: str


DRAWN = BarSigns(now="█", before="░", limit="┃")
PLAIN = BarSigns(now="#", before="-", limit="|")


def bar_signs(*, plain: bool) -> BarSigns:
    """The signs of a terminal, ASCII alone where `plain`."""
    return PLAIN if plain else DRAWN


def bar(value: float, full: float, columns: int, sign: str) -> str:
    """A bar of `value` where `full` takes all columns; whatever is over nothing takes one at least."""
    if value <= 0 or full <= 0:
        return ""
    return sign * min(max(round(value / full * columns), 1), columns)


def bar_to_limit(value: float, limit: float, full: float, columns: int, *, sign: str, mark: str) -> str:
    """A bar on a scale from 0 to `full` with a mark where `limit` stands; the bar goes past it or not.

    Below the limit the bar never reaches the mark, at the limit and above it always does.
    """
    at = min(round(limit / full * columns), columns - 1)
    drawn = len(bar(value, full, columns, sign))
    drawn = min(drawn, at) if value < limit else max(drawn, at + 1)
    line = [sign if place < drawn else " " for place in range(columns)]
    line[at] = mark
    return "".join(line).rstrip()
