"""The shop's figures as rows: bars by month, the most worn chains, chain lives, readings in doubt."""

from collections.abc import Iterator, Sequence
from datetime import date

from fieldlog.domain.counting import counted
from fieldlog.operations.due_month import DueInspection
from fieldlog.operations.figures import MonthLoad, ShopFigures
from fieldlog.tui.widgets.bars import BarSigns, bar, bar_to_limit
from fieldlog.tui.widgets.line_table import Row
from fieldlog.units import format_mm

LABEL, TELLS, TELLS_WIDE = 10, 40, 60
WIDE = 110
LEAST_BAR = 12
EDGES = 4
LIMIT, FULL = 100.0, 110.0


def bar_columns(width: int) -> int:
    """Columns that a window of this width leaves for a bar."""
    return max(width - LABEL - tells_columns(width) - EDGES, LEAST_BAR)


def tells_columns(width: int) -> int:
    """Columns for the words behind a bar."""
    return TELLS if width < WIDE else TELLS_WIDE


def load_words(figures: ShopFigures, past: Sequence[DueInspection]) -> str:
    """The load of the coming months in a sentence."""
    overdue = sum(due.overdue for due in past)
    late = f"{counted(overdue, 'inspection')} overdue"
    total = sum(month.inspections for month in figures.load)
    if not total:
        return f"{late}; nothing is due in the next {len(figures.load)} months."
    most = max(figures.load, key=lambda month: month.inspections)
    return f"{late}; {total} due in {len(figures.load)} months, most in {most.month} ({most.inspections})."


COUNTED = {
    "life": "Counted from the fitting of a chain to the fitting of the next one, * also from registration.",
    "doubt": "Every chain length judged at any inspection; undecided ones want a finer tool.",
}


def how_counted(key: str) -> str:
    """How the figure of a row is counted."""
    return COUNTED.get(key.split("-", 1)[0], "Nothing is due there.")


def first_day_of(key: str, figures: ShopFigures, dues: Sequence[DueInspection]) -> date | None:
    """The day on which the first inspection of a row of the load is due; None for other rows."""
    past = [due for due in dues if due.due_on < figures.day]
    ahead = [due for due in dues if due.due_on >= figures.day]
    rows = {
        "overdue": [due for due in past if due.overdue],
        "grace": [due for due in past if not due.overdue],
        "later": [due for due in ahead if f"{due.due_on:%Y-%m}" > figures.load[-1].month],
    }
    found = rows.get(key, [due for due in ahead if f"{due.due_on:%Y-%m}" == key])
    return min((due.due_on for due in found), default=None)


def figure_rows(
    figures: ShopFigures, past: Sequence[DueInspection], columns: int, signs: BarSigns
) -> list[Row]:
    """All of it. `past` are the inspections whose day is past; a worn chain's row has its tag as key."""
    rows = [*_load_rows(figures, past, columns, signs), *_worn_rows(figures, columns, signs)]
    rows += [*_life_rows(figures, columns, signs), *_doubt_rows(figures, columns, signs)]
    if figures.skipped:
        text = f"Left out, because their logbooks do not read: {', '.join(figures.skipped)}"
        rows.append(_heading("skipped", text))
    return rows


def _heading(key: str, text: str) -> Row:
    return Row(key=f"heading-{key}", cells=(text,), tone="heading", selectable=False)


def _load_rows(
    figures: ShopFigures, past: Sequence[DueInspection], columns: int, signs: BarSigns
) -> Iterator[Row]:
    yield _heading("load", "Inspections due, by month (count)")
    overdue = [due for due in past if due.overdue]
    grace = [due for due in past if not due.overdue]
    full = max([len(overdue), len(grace), *(month.inspections for month in figures.load)], default=0)

    def row(key: str, label: str, count: int, kinds: str, tone: str = "plain") -> Row:
        tells = f"{count}  {kinds}".rstrip()
        return Row(key=key, cells=(label, bar(count, full, columns, signs.now), tells), tone=tone)

    yield row("overdue", "overdue !", len(overdue), _past_kinds(overdue), "bad" if overdue else "plain")
    if grace:
        yield row("grace", "in grace", len(grace), _past_kinds(grace), "caution")
    for month in figures.load:
        yield row(month.month, month.month, month.inspections, _kinds(month))
    if figures.later:
        cells = ("later", "", f"{figures.later}  after {figures.load[-1].month}")
        yield Row(key="later", cells=cells)


def _kinds(month: MonthLoad) -> str:
    return ", ".join(f"{count} {kind}" for kind, count in month.by_kind.items())


def _past_kinds(past: Sequence[DueInspection]) -> str:
    names = [due.kind for due in past]
    return ", ".join(f"{names.count(kind)} {kind}" for kind in sorted(set(names)))


def _worn_rows(figures: ShopFigures, columns: int, signs: BarSigns) -> Iterator[Row]:
    if not figures.worn:
        yield _heading("worn", "Most worn chains: none to draw, no length of a chain was measured yet")
        return
    yield _heading("worn", "Most worn chains, % of the allowed growth (100 % is the limit; Enter opens)")
    full = max(FULL, *(float(chain.used_pct) for chain in figures.worn))
    for chain in figures.worn:
        used = float(chain.used_pct)
        drawn = bar_to_limit(used, LIMIT, full, columns, sign=signs.now, mark=signs.limit)
        where = f"{chain.site}, {chain.place}" if chain.place else chain.site
        tells = f"{format_mm(chain.used_pct)} %  {chain.size} mm  {where}"
        yield Row(key=chain.id, cells=(chain.id, drawn, tells), tone="bad" if used >= LIMIT else "plain")


def _life_rows(figures: ShopFigures, columns: int, signs: BarSigns) -> Iterator[Row]:
    if not figures.chain_lives:
        yield _heading("life", "Mean chain life: none to draw, no chain was replaced yet")
        return
    yield _heading("life", "Mean life of replaced chains by size and service class (days; * at least)")
    full = max(lives.mean_days for lives in figures.chain_lives)
    for place, lives in enumerate(figures.chain_lives):
        least = "*" if lives.from_registration else ""
        chains = "1 chain" if lives.lives == 1 else f"{lives.lives} chains"
        tells = f"{lives.mean_days} d{least}  {lives.service} service, {chains}"
        cells = (f"{lives.size} mm"[:LABEL], bar(lives.mean_days, full, columns, signs.now), tells)
        yield Row(key=f"life-{place}", cells=cells)


def _doubt_rows(figures: ShopFigures, columns: int, signs: BarSigns) -> Iterator[Row]:
    share = figures.undecided_pct
    if share is None:
        yield _heading("doubt", "Undecided readings: none to draw, no length of a chain was judged yet")
        return
    yield _heading("doubt", "Undecided readings, % of all chain lengths that were judged")
    tells = f"{share} %  ({figures.undecided} of {figures.readings})"
    yield Row(key="doubt", cells=("undecided", bar(float(share), LIMIT, columns, signs.now), tells))
