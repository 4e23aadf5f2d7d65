"""The chain life report: the chain on the hoist and how it wears, and every chain before it."""

from datetime import date

from fieldlog.domain.corrections import day_of_work
from fieldlog.domain.history import ChainLife
from fieldlog.domain.records import ChainFitted, Inspection
from fieldlog.domain.report_content import Block, Column, Fact, Facts, Report, Section, Table, Text, Words
from fieldlog.operations.hoist_page import chain_rule
from fieldlog.operations.reporting_chain import reading_blocks, wear_plot, wear_table
from fieldlog.operations.reporting_looked_at import diameter_history
from fieldlog.operations.reporting_words import (
    A_PERSON_DECIDES,
    BOOK_GOVERNS,
    fact,
    fitted_entry,
    fitted_set,
    hoist_facts,
    mm,
    percent,
    present,
    reference_of,
    said,
    small,
)
from fieldlog.operations.shop import OpenHoist, Shop, need_settings, open_hoist
from fieldlog.units import format_mm

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
    last = opened.history.entries[-1]
    stricter = settings.stricter_rule_governs
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
            Section(title="The hoist", blocks=(Facts(rows=present(hoist_facts(opened)), two_columns=True),)),
            Section(title="The chain on the hoist", blocks=_now(opened, stricter_rule_governs=stricter)),
            Section(title="Wear against time", blocks=_wear(opened)),
            Section(title="Latest readings", blocks=_latest(opened)),
            Section(title="Wire diameters of this chain", blocks=_diameters(opened)),
            Section(title="Earlier chains", blocks=_earlier(opened)),
        ),
    )


def size_words(life: ChainLife) -> str:
    """Size and grade of a chain: '5 x 15 mm, T'."""
    words = f"{format_mm(life.size.dn_mm)} x {format_mm(life.size.pn_mm)} mm"
    return f"{words}, {life.size.grade}" if life.size.grade else words


def _now(opened: OpenHoist, *, stricter_rule_governs: bool) -> tuple[Block, ...]:
    chain, fitted = opened.history.chain, fitted_set(opened)
    if chain is None:
        return (Text(words=said("No chain is recorded.")),)
    facts = present(
        (
            fact("Chain", f"number {chain.number} of this hoist"),
            fact("Size and grade", size_words(chain)),
            fact("On the hoist since", _since(chain, fitted)),
            fact("Length as new and limit", chain_rule(opened, stricter_rule_governs=stricter_rule_governs)),
            *(_set_facts(fitted) if fitted is not None else ()),
        )
    )
    return (Facts(rows=facts), small(BOOK_GOVERNS))


def _since(chain: ChainLife, fitted: ChainFitted | None) -> str:
    day = chain.fitted_on.isoformat()
    return day if fitted is not None else f"at least {day}, when the hoist was registered"


def _set_facts(fitted: ChainFitted) -> tuple[Fact, ...]:
    baseline = ""
    if fitted.baseline_mm is not None:
        baseline = f"{mm(fitted.baseline_mm)} over {fitted.baseline_links} links {fitted.baseline_basis}"
    whole = "chain, pocket wheel and both guides" if fitted.wheel_and_guides_too else "the chain alone"
    return (
        fact("Fitted as", f"{whole}; {fitted.why_part_only}" if fitted.why_part_only else whole),
        fact("Why another size", fitted.why_other_size),
        fact("Certificate", fitted.certificate),
        fact("Length fitted", mm(fitted.length_mm)),
        fact("Measured when fitted", baseline),
    )


def _wear(opened: OpenHoist) -> tuple[Block, ...]:
    chain = opened.history.chain
    if chain is None or not chain.wear:
        return (Text(words=said("This chain has not been measured yet.")),)
    plot = wear_plot(chain.wear, opened.rulebook.watch_share)
    first: tuple[Block, ...] = () if plot is None else (plot,)
    return (*first, wear_table(chain.wear), small(A_PERSON_DECIDES))


def _on_this_chain(opened: OpenHoist) -> list[Inspection]:
    """The inspections since this chain hangs there; on the day of fitting, those sealed after it."""
    fitted = fitted_entry(opened)
    since = (date.min, 0) if fitted is None else (day_of_work(fitted), fitted.number)
    return [body for entry, body in opened.history.inspections if (body.done_on, entry.number) > since]


def _latest(opened: OpenHoist) -> tuple[Block, ...]:
    measured = [body for body in _on_this_chain(opened) if body.readings]
    if not measured or not opened.history.last_readings:
        return (Text(words=said("This chain has not been measured yet.")),)
    body = measured[-1]
    return (
        Text(words=said(f"At the inspection of {body.done_on.isoformat()} ({body.occasion}):")),
        *reading_blocks(body, opened),
    )


def _diameters(opened: OpenHoist) -> tuple[Block, ...]:
    table = diameter_history([body for body in _on_this_chain(opened) if body.diameters])
    return (table,) if table.rows else (Text(words=said("None was measured.")),)


def _earlier(opened: OpenHoist) -> tuple[Block, ...]:
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
                said(size_words(life)),
                said(life.fitted_on.isoformat()),
                said(end.isoformat()),
                said(str((end - life.fitted_on).days)),
                said(percent(used) or "not measured"),
                said(str(len(life.wear))),
            )
        )
    told = small("The first chain counts from the day on which the hoist was registered.")
    return (Table(columns=EARLIER, rows=tuple(rows)), told)
