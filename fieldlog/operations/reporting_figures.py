"""The shop's figures on paper: load by month, worn chains, how long chains last, readings in doubt."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from datetime import date

from fieldlog.domain.counting import counted
from fieldlog.domain.report_content import (
    Bar,
    Bars,
    Block,
    Column,
    Facts,
    Report,
    Section,
    Statement,
    Table,
    Text,
    Words,
)
from fieldlog.operations.due_month import DueInspection, shop_dues
from fieldlog.operations.figures import ChainLives, ShopFigures, WornChain, shop_figures, size_of
from fieldlog.operations.finding import at_site
from fieldlog.operations.paper_units import METRIC, PaperUnits, shop_chain, stacked, units_of
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    BOOK_GOVERNS,
    bare_percent,
    converted_note,
    fact,
    percent,
    present,
    said,
    small,
    strong,
)
from fieldlog.operations.shop import Shop, damaged, need_settings, summaries

LIMIT, FULL = 100.0, 110.0
MONTH, DUE = Column(title="Month", share=15), Column(title="Inspections due", share=45)
LOAD = (Column(title="Count", share=9, figures=True), Column(title="Of these", share=40))
HOIST = Column(title="Hoist", share=15)
USED = Column(title="Allowed growth used, line at 100 %", share=36)
LIVES = (
    Column(title="Load chain", share=34),
    Column(title="Service class", share=22),
    Column(title="Chains replaced", share=18, figures=True),
    Column(title="Mean life, days", share=18, figures=True),
    Column(title="Of these at least", share=18, figures=True),
)
HOW_LOAD = (
    "Counted is the next inspection of each kind of every hoist in use, by the day on which it is due; this"
    " month counts from the day of the report. What is past its day stands above the months: overdue, or in"
    " grace where the rulebook still allows it. Solid bars are overdue."
)
HOW_WORN = (
    "At the last measured inspection, at the worst place, to a tenth of a percent. At 100 % the chain is"
    " discarded: a solid bar and the mark X are at this limit or past it."
)
HOW_LIVES = (
    "From the fitting of a chain to the fitting of the next one. Those counted as 'at least' hung there when"
    " the hoist was registered, and count from that day: the mean may be longer."
)
NOT_COUNTED = "What can not be trusted in these logbooks is not counted: run fieldlog verify."
HOW_UNDECIDED = (
    "Counted is every chain length that was judged at any inspection. Undecided is what lies nearer to the"
    " limit than the tool can tell; a finer tool decides more of them."
)


def _worn_columns(units: PaperUnits) -> tuple[Column, ...]:
    """A chain's size takes more room where it is converted."""
    chain = 13 if units == METRIC else 20
    return (
        Column(title="Used, %", share=9, figures=True),
        Column(title="Load chain", share=chain),
        Column(title="Hangs at", share=49 - chain),
    )


def figures_report(
    shop: Shop, day: date, *, site: str = "", progress: Callable[[int, int], None] | None = None
) -> Report:
    """The figures on a day, of all hoists in use or of one site.

    Every logbook is read; `progress` is told (done, all) and may raise to stop. NotFoundError where
    `site_named` finds no such site.
    """
    settings, units = need_settings(shop), units_of(need_settings(shop))
    sites = {held.site for held in at_site(summaries(shop), site).values()}
    figures = shop_figures(shop, day, site=site, progress=progress)
    past = [one for one in shop_dues(shop, day) if one.due_on < day and one.site in sites]
    return Report(
        title="Figures of the shop",
        about=next(iter(sites)) if len(sites) == 1 else "all sites",
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"as on {day.isoformat()}",
        author=settings.shop,
        dated=day,
        reference=f"{settings.shop}  |  figures of {day.isoformat()}",
        sections=(
            Section(title="The shop", blocks=(*_shop(shop, figures, past), *converted_note(units))),
            Section(title="Inspections due, by month", blocks=_load(figures, past)),
            Section(title="Most worn chains", blocks=_worn(figures, units)),
            Section(title="Mean life of replaced chains", blocks=_lives(figures, units)),
        ),
    )


def _undecided_words(figures: ShopFigures) -> str:
    if figures.undecided_pct is None:
        return "no length of a chain has been judged yet"
    return f"{percent(figures.undecided_pct)}, {figures.undecided} of {figures.readings} lengths judged"


def _shop(shop: Shop, figures: ShopFigures, past: Iterable[DueInspection]) -> Iterator[Block]:
    late = sum(one.overdue for one in past)
    ahead = sum(month.inspections for month in figures.load)
    hoists = f"{figures.hoists} in use, {figures.out_of_service} out of service"
    facts = (
        fact("Hoists", hoists),
        fact("Overdue", f"{counted(late, 'inspection')} of {counted(figures.overdue, 'hoist')}"),
        fact("Undecided readings", _undecided_words(figures)),
        fact("Due ahead", f"{ahead} in {len(figures.load)} months, {figures.later} later"),
    )
    yield Facts(rows=present(facts), two_columns=True)
    yield small(HOW_UNDECIDED)
    told = damaged(shop)
    faults = [*told.values(), *(f"{name} does not read" for name in figures.skipped if name not in told)]
    if faults:
        yield Statement(headline="! NOT ALL RECORDS COUNT", lines=(*faults, NOT_COUNTED))


def _load(figures: ShopFigures, past: Iterable[DueInspection]) -> tuple[Block, ...]:
    grace = Counter(one.kind for one in past if not one.overdue)
    late = Counter(one.kind for one in past if one.overdue)
    bars = [_load_bar(strong("Overdue"), late, solid=True)] if late else []
    bars += [_load_bar(said("In grace"), grace)] if grace else []
    bars += [_load_bar(said(month.month), Counter(month.by_kind)) for month in figures.load]
    full = max(bar.length for bar in bars)
    if not full:
        return (Text(words=said("Nothing is due.")),)
    return (Bars(label=MONTH, drawn=DUE, beside=LOAD, rows=tuple(bars), full=full), small(HOW_LOAD))


def _load_bar(label: Words, kinds: Counter[str], *, solid: bool = False) -> Bar:
    told = ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
    count = kinds.total()
    return Bar(label=label, length=float(count), beside=(said(str(count)), said(told)), solid=solid)


def _worn(figures: ShopFigures, units: PaperUnits) -> tuple[Block, ...]:
    if not figures.worn:
        return (Text(words=said("No length of a chain has been measured yet.")),)
    rows = tuple(_worn_bar(chain, units) for chain in figures.worn)
    full = max(FULL, *(bar.length for bar in rows))
    bars = Bars(label=HOIST, drawn=USED, beside=_worn_columns(units), rows=rows, full=full, limit=LIMIT)
    return (bars, small(HOW_WORN), small(f"{A_PERSON_DECIDES} {BOOK_GOVERNS}"))


def _worn_bar(chain: WornChain, units: PaperUnits) -> Bar:
    used, at_limit = bare_percent(chain.used_pct), chain.used_pct >= LIMIT
    return Bar(
        label=strong(chain.id),
        length=float(chain.used_pct),
        beside=(
            strong(f"X {used}") if at_limit else said(used),
            said(stacked(shop_chain(size_of(chain.size), units))),
            said(f"{chain.site}, {chain.place}" if chain.place else chain.site),
        ),
        solid=at_limit,
    )


def _lives(figures: ShopFigures, units: PaperUnits) -> tuple[Block, ...]:
    if not figures.chain_lives:
        return (Text(words=said("No chain has been replaced yet.")),)
    rows = tuple(_life(lives, units) for lives in figures.chain_lives)
    return (Table(columns=LIVES, rows=rows), small(HOW_LIVES))


def _life(lives: ChainLives, units: PaperUnits) -> tuple[Words, ...]:
    return (
        said(shop_chain(size_of(lives.size), units)),
        said(lives.service),
        said(str(lives.lives)),
        said(str(lives.mean_days)),
        said(str(lives.from_registration)),
    )
