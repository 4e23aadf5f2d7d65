"""The wear along a hoist's chain: a bar for each place, last time's below it, and the limit."""

from collections.abc import Iterator

from textual.app import ComposeResult

from fieldlog.domain.criteria import Verdict
from fieldlog.errors import FieldlogError
from fieldlog.operations.wear_along import PlaceWear, Wear, WearAlong, wear_along
from fieldlog.tui.marks import VERDICT_MARKS, VERDICT_TONES, share
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.watching import WatchesHoist
from fieldlog.tui.widgets.bars import BarSigns, bar_signs, bar_to_limit
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.units import format_mm

LIMIT = 100.0
PLACE, TELLS = 22, 25
LEAST_BAR = 12
EDGES = 4  # blanks between the columns, and the scroll bar


def bar_columns(width: int) -> int:
    """Columns that a window of this width leaves for a bar."""
    return max(width - PLACE - TELLS - EDGES, LEAST_BAR)


def along_rows(along: WearAlong, columns: int, signs: BarSigns) -> list[Row]:
    """A scale, then each place with what it has grown now and last time."""
    known = [wear for place in along.places for wear in (place.wear, place.before) if wear is not None]
    if not known:
        return [_row(str(at), place, "", place.words) for at, place in enumerate(along.places)]
    full = max(LIMIT * 1.1, *(float(wear.used_pct) for wear in known))
    rows = [Row(key="scale", cells=("", _scale(full, columns), "limit 100 %"), selectable=False)]
    for at, place in enumerate(along.places):
        rows.extend(_place_rows(str(at), place, full, columns, signs))
    return rows


def _scale(full: float, columns: int) -> str:
    at = min(round(LIMIT / full * columns), columns - 1)
    return f"0 %{'100 %'.rjust(max(at - 2, 0))}"[:columns]


def _row(key: str, place: PlaceWear, bar: str, tells: str) -> Row:
    tone = "plain" if place.verdict is None else VERDICT_TONES[place.verdict]
    return Row(key=key, cells=(place.place, bar, tells), tone=tone)


def _place_rows(key: str, place: PlaceWear, full: float, columns: int, signs: BarSigns) -> Iterator[Row]:
    def drawn(wear: Wear, sign: str) -> str:
        return bar_to_limit(float(wear.used_pct), LIMIT, full, columns, sign=sign, mark=signs.limit)

    if place.wear is None:
        mark = "" if place.verdict is None else f" {VERDICT_MARKS[place.verdict]}"
        yield _row(key, place, "", f"{place.words or 'no length read'}{mark}")
    else:
        yield _row(key, place, drawn(place.wear, signs.now), _tells(place.wear, place.verdict))
    if place.before is not None:
        cells = ("  last time", drawn(place.before, signs.before), _tells(place.before))
        yield Row(key=f"{key}-before", cells=cells, selectable=False)


def _tells(wear: Wear, verdict: Verdict | None = None) -> str:
    mark = "" if verdict is None else VERDICT_MARKS[verdict]
    return f"{format_mm(wear.growth_mm)} mm {share(wear.used_pct)} {mark}".rstrip()


class AlongPage(DrawnPage, WatchesHoist):
    """The places of the working length, with the same in words above them."""

    first_focus = "#places-drawn"

    def __init__(self, hoist_id: str, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.hoist_id = hoist_id

    def heading(self) -> str:
        """What is drawn, of which hoist, on which day."""
        return f"{self.hoist_id}   wear along the chain   {self.today().isoformat()}"

    def body(self) -> ComposeResult:
        """Words, then the bars as rows that scroll."""
        yield self.words()
        columns = (Column(title="Place", width=PLACE), Column(title="Grown, % of the allowed"))
        yield LineTable((*columns, Column(title="Grown", width=TELLS)), id="places-drawn", opens=False)

    def on_resize(self) -> None:
        """Draw for the new width."""
        if self.query(LineTable):
            self.show_rows()

    def show_rows(self) -> None:
        """Read the hoist again and draw its places; of one that does not read nothing is drawn."""
        try:
            along = wear_along(self.shop, self.hoist_id)
        except FieldlogError as error:
            self.query_one(LineTable).set_rows([])
            self.show_words(f"X {error}")
            return
        self.show_words(along.sentence)
        signs = bar_signs(plain=self.plain)
        self.query_one(LineTable).set_rows(along_rows(along, bar_columns(self.app.size.width), signs))
