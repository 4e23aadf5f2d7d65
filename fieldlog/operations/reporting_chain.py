"""Chains in reports: readings as sealed, wear against time, and the chain life report."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from statistics import median

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.criteria import Finding
from fieldlog.domain.gauge_length import reference_for, unused_for
from fieldlog.domain.history import WearPoint
from fieldlog.domain.records import Basis, ChainReading, Inspection
from fieldlog.domain.report_content import Block, Column, PlotPoint, Table, Text, WearPlot, Words
from fieldlog.domain.trend import Trend, trend_of
from fieldlog.operations.paper_units import (
    METRIC,
    PaperUnits,
    figure_cell,
    figure_unit,
    shop_length,
    shop_lengths,
)
from fieldlog.operations.reporting_words import (
    bare_percent,
    said,
    small,
    verdict_words,
)
from fieldlog.operations.shop import OpenHoist, book_for_chain, current_size

LEAST_FOR_A_PLOT = 2
BEYOND = 0.15
"""How far past the last reading the trend is drawn where it meets no limit, as a share of the time so far."""
LIMIT_PERCENT = 100.0


def _lengths(units: PaperUnits) -> tuple[Column, ...]:
    unit = figure_unit(units)
    return (
        Column(title="Place", share=104),
        Column(title="Links", share=51),
        Column(title=f"Measured, {unit}", share=67, figures=True),
        Column(title=f"As new, {unit}", share=56, figures=True),
        Column(title=f"Grown, {unit}", share=54, figures=True),
        Column(title=f"Discard at, {unit}", share=69, figures=True),
        Column(title="Used, %", share=41, figures=True),
        Column(title="Verdict", share=60),
    )


def _wear(units: PaperUnits) -> tuple[Column, ...]:
    unit = figure_unit(units)
    return (
        Column(title="Day", share=20),
        Column(title=f"Worst growth, {unit}", share=20, figures=True),
        Column(title=f"Allowed, {unit}", share=20, figures=True),
        Column(title="Used of the allowed, %", share=25, figures=True),
    )


def used_percent(found: Finding) -> Decimal | None:
    """The share of the allowed growth that is used [percent], or None without a figure."""
    if found.value is None or not found.limit or found.limit <= 0:
        return None
    return found.value / found.limit * 100


def paired(body: Inspection) -> list[tuple[ChainReading, Finding | None]]:
    """Each chain reading with the finding on it; they were sealed in the same order."""
    findings = [found for found in body.findings if found.component == ELONGATION]
    if len(findings) != len(body.readings):
        return [(reading, None) for reading in body.readings]
    return list(zip(body.readings, findings, strict=True))


def _reading_row(reading: ChainReading, found: Finding | None, units: PaperUnits) -> tuple[Words, ...]:
    value, growth = reading.value_mm, None if found is None else found.value
    new = None if value is None or growth is None else value - growth
    limit = None if new is None or found is None or found.limit is None else new + found.limit
    measured = figure_cell(value, units)
    if reading.basis is Basis.GAUGE:
        measured = "both ends touch" if reading.both_ends_touch else "gap"
    used = None if found is None else used_percent(found)
    return (
        said(reading.place),
        said(f"{reading.links} {reading.basis}"),
        said(measured),
        said(figure_cell(new, units)),
        said(figure_cell(growth, units)),
        said(figure_cell(limit, units)),
        said(bare_percent(used)),
        said("") if found is None else verdict_words(found.verdict),
    )


def reading_blocks(body: Inspection, opened: OpenHoist, units: PaperUnits = METRIC) -> tuple[Block, ...]:
    """The chain readings of one inspection: table, spread, reference, tools and confirmed questions."""
    if not body.readings:
        return (Text(words=said("The chain was not measured at this inspection.")),)
    rows = tuple(_reading_row(reading, found, units) for reading, found in paired(body))
    notes = [*_spread(body.readings, units), *_origin(body, opened), *_tools(body.readings)]
    notes += [_repeats(reading, units) for reading in body.readings if reading.repeats]
    notes += [
        f"At {reading.place} it was asked: {question} The reading was confirmed."
        for reading in body.readings
        for question in reading.questions_confirmed
    ]
    return (Table(columns=_lengths(units), rows=rows), small(" ".join(notes)))


def _repeats(reading: ChainReading, units: PaperUnits) -> str:
    read = shop_lengths(reading.repeats, units)
    return f"At {reading.place} the mean of {len(reading.repeats)} readings: {read}."


def _spread(readings: Sequence[ChainReading], units: PaperUnits) -> list[str]:
    values = [reading.value_mm for reading in readings if reading.value_mm is not None]
    if len(values) < LEAST_FOR_A_PLOT:
        return []
    spread = shop_length(max(values) - min(values), units)
    return [f"The worst place governs; the readings spread over {spread}."]


def _origin(body: Inspection, opened: OpenHoist) -> list[str]:
    """Where the length as new comes from; told only where it gives the very length that was judged by."""
    chain = opened.history.chain
    for reading, found in paired(body):
        if reading.value_mm is None or found is None or found.value is None:
            continue
        measured = () if chain is None else (chain.baseline, chain.unused)
        unused = unused_for(reading.links, *measured)
        size, book = current_size(opened), book_for_chain(opened)
        reference = reference_for(size, reading.links, reading.basis, book, unused)
        if reference.length_mm == reading.value_mm - found.value:
            return [f"Length as new: {reference.origin}."]
    return []


def _tools(readings: Sequence[ChainReading]) -> list[str]:
    tools = dict.fromkeys((r.instrument, r.instrument_state) for r in readings if r.instrument)
    return [f"Measured with {name}{f' ({state})' if state else ''}." for name, state in tools]


def wear_table(wear: Sequence[WearPoint], units: PaperUnits = METRIC) -> Table:
    """The worst growth found at each inspection of one chain."""
    rows = tuple(
        (
            said(point.day.isoformat()),
            said(figure_cell(point.growth_mm, units)),
            said(figure_cell(point.allowed_mm, units)),
            said(bare_percent(point.growth_mm / point.allowed_mm * 100)),
        )
        for point in wear
    )
    return Table(columns=_wear(units), rows=rows)


def wear_plot(wear: Sequence[WearPoint], watch_share: Decimal) -> WearPlot | None:
    """The wear of one chain as a plot, with the trend where there is one; None under two readings."""
    points = tuple(
        PlotPoint(day=point.day, percent=float(point.growth_mm / point.allowed_mm * 100))
        for point in sorted(wear, key=lambda point: point.day)
        if point.allowed_mm > 0
    )
    if len({point.day for point in points}) < LEAST_FOR_A_PLOT:
        return None
    trend = trend_of(wear)
    return WearPlot(
        points=points,
        watch_percent=float(watch_share * 100),
        forecast=_line(points, trend, trend.slope_per_day, trend.meets_on),
        early=_line(points, trend, trend.high, trend.meets_early),
        late=_line(points, trend, trend.low, trend.meets_late),
        words=trend_words(trend),
    )


def trend_words(trend: Trend) -> str:
    """What the trend tells, and how it was found."""
    method = (
        f"Theil-Sen line through {trend.points} inspections with its 95 % interval; no verdict rests on it."
    )
    return f"Trend: {trend.words}." + (f" {method}" if trend.slope_per_day is not None else "")


def _line(
    points: Sequence[PlotPoint], trend: Trend, slope: float | None, meets: date | None
) -> tuple[PlotPoint, PlotPoint] | None:
    """The trend's line of this slope through its middle point, to where it meets the limit or a bit on."""
    if slope is None or trend.meets_on is None or points[-1].percent >= LIMIT_PERCENT:
        return None
    first, last = points[0].day, points[-1].day
    days = [float((point.day - first).days) for point in points]
    middle_x, middle_y = median(days), median(point.percent for point in points)
    if meets is not None:
        end = meets
    else:
        end = max(trend.meets_on, last) + timedelta(days=round((last - first).days * BEYOND))

    def at(day: date) -> PlotPoint:
        return PlotPoint(day=day, percent=middle_y + slope * 100 * ((day - first).days - middle_x))

    return at(first), at(end)
