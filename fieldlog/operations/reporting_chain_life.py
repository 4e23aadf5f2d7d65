"""The chain life report: the chain on the hoist and how it wears, and every chain before it."""

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.history import ChainLife
from fieldlog.domain.records import ChainFitted
from fieldlog.domain.report_content import Block, Column, Fact, Facts, Report, Section, Table, Text, Words
from fieldlog.operations.paper import chain_limit
from fieldlog.operations.paper_units import (
    PaperUnits,
    shop_chain,
    shop_length,
    shop_long_length,
    units_of,
)
from fieldlog.operations.reporting_chain import reading_blocks, wear_plot, wear_table
from fieldlog.operations.reporting_looked_at import diameter_history
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    BOOK_GOVERNS,
    fact,
    fitted_set,
    hoist_blocks,
    percent,
    present,
    reference_of,
    said,
    small,
)
from fieldlog.operations.shop import OpenHoist, Shop, need_settings, open_hoist
from fieldlog.operations.wear_along import on_this_chain

EARLIER = (
    Column(title="Chain", share=8),
    Column(title="Size, grade", share=20),
    Column(title="Fitted", share=14),
    Column(title="Taken off", share=14),
    Column(title="Days", share=8, figures=True),
    Column(title="Used at the last reading", share=20, figures=True),
    Column(title="Readings", share=10, figures=True),
)


def chain_report(shop: Shop, hoist_id: str) -> Report:
    """Size, reference, limit, wear and trend of the chain on the hoist, and its earlier chains.

    NotFoundError for a hoist that is not there.
    """
    settings, opened = need_settings(shop), open_hoist(shop, hoist_id)
    last, units = opened.history.entries[-1], units_of(settings)
    return Report(
        title="Chain life report",
        about=hoist_id,
        shop=settings.shop,
        shop_address=settings.address,
        subject=f"{opened.hoist.maker} {opened.hoist.model}: load chain and its wear",
        author=settings.shop,
        dated=max(day_of_work(last), last.at.date()),
        reference=reference_of(opened, settings, last),
        sections=(
            Section(title="The hoist", blocks=hoist_blocks(opened, units)),
            Section(title="The chain on the hoist", blocks=_now(shop, opened, units)),
            Section(title="Wear against time", blocks=_wear(opened, units)),
            Section(title="Latest readings", blocks=_latest(opened, units)),
            Section(title="Wire diameters of this chain", blocks=_diameters(opened, units)),
            Section(title="Earlier chains", blocks=_earlier(opened, units)),
        ),
    )


def _limit_words(shop: Shop, opened: OpenHoist, units: PaperUnits) -> str:
    """Length as new and at discard in one line, with where they come from."""
    reference, allowed = chain_limit(shop, opened)
    new = shop_length(reference.length_mm, units)
    discard = shop_length(reference.length_mm + allowed.growth_mm, units)
    over = f"{reference.links} links {reference.basis}"
    return f"{over}: {new} ({reference.origin}), discard at {discard} ({allowed.rule}; {allowed.source})"


def _now(shop: Shop, opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    chain, fitted = opened.history.chain, fitted_set(opened)
    if chain is None:
        return (Text(words=said("No chain is recorded.")),)
    facts = present(
        (
            fact("Chain", f"number {chain.number} of this hoist"),
            fact("Size and grade", shop_chain(chain.size, units)),
            fact("On the hoist since", _since(chain, fitted)),
            fact("Length as new and limit", _limit_words(shop, opened, units)),
            *(_set_facts(fitted, units) if fitted is not None else ()),
        )
    )
    return (Facts(rows=facts), small(BOOK_GOVERNS))


def _since(chain: ChainLife, fitted: ChainFitted | None) -> str:
    day = chain.fitted_on.isoformat()
    return day if fitted is not None else f"at least {day}, when the hoist was registered"


def _set_facts(fitted: ChainFitted, units: PaperUnits) -> tuple[Fact, ...]:
    baseline = ""
    if fitted.baseline_mm is not None:
        length = shop_length(fitted.baseline_mm, units)
        baseline = f"{length} over {fitted.baseline_links} links {fitted.baseline_basis}"
    whole = "chain, pocket wheel and both guides" if fitted.wheel_and_guides_too else "the chain alone"
    return (
        fact("Fitted as", f"{whole}; {fitted.why_part_only}" if fitted.why_part_only else whole),
        fact("Why another size", fitted.why_other_size),
        fact("Certificate", fitted.certificate),
        fact("Length fitted", shop_long_length(fitted.length_mm, units)),
        fact("Measured when fitted", baseline),
    )


def _wear(opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    chain = opened.history.chain
    if chain is None or not chain.wear:
        return (Text(words=said("This chain has not been measured yet.")),)
    plot = wear_plot(chain.wear, opened.rulebook.watch_share)
    first: tuple[Block, ...] = () if plot is None else (plot,)
    return (*first, wear_table(chain.wear, units), small(A_PERSON_DECIDES))


def _latest(opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    measured = [body for body in on_this_chain(opened) if body.readings]
    if not measured or not opened.history.last_readings:
        return (Text(words=said("This chain has not been measured yet.")),)
    body = measured[-1]
    return (
        Text(words=said(f"At the inspection of {body.done_on.isoformat()} ({body.occasion}):")),
        *reading_blocks(body, opened, units),
    )


def _diameters(opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    table = diameter_history([body for body in on_this_chain(opened) if body.diameters], units)
    return (table,) if table.rows else (Text(words=said("None was measured.")),)


def _earlier(opened: OpenHoist, units: PaperUnits) -> tuple[Block, ...]:
    lives = opened.history.earlier_chains
    if not lives:
        return (Text(words=said("This is the first chain in the logbook.")),)
    ends = [life.fitted_on for life in lives[1:]]
    if opened.history.chain is not None:
        ends.append(opened.history.chain.fitted_on)
    rows: list[tuple[Words, ...]] = []
    for life, end in zip(lives, ends, strict=False):
        last = life.wear[-1] if life.wear else None
        used = None if last is None or not last.allowed_mm else last.growth_mm / last.allowed_mm * 100
        rows.append(
            (
                said(str(life.number)),
                said(shop_chain(life.size, units)),
                said(life.fitted_on.isoformat()),
                said(end.isoformat()),
                said(str((end - life.fitted_on).days)),
                said(percent(used) or "not measured"),
                said(str(len(life.wear))),
            )
        )
    told = small("The first chain counts from the day on which the hoist was registered.")
    return (Table(columns=EARLIER, rows=tuple(rows)), told)
