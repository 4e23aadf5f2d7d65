"""The due list: one row a hoist with its most pressing inspection, overdue first."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

from msgspec import Struct

from fieldlog.domain.criteria import Certainty
from fieldlog.domain.due_dates import last_day_in_time
from fieldlog.domain.history import NOT_TRUSTED
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.rules import DateRule, Rulebook
from fieldlog.domain.schedule import Due, DueBy
from fieldlog.domain.verdict import Fitness, Summary, fitness_on
from fieldlog.operations.finding import at_site
from fieldlog.operations.shop import Shop, damaged, rulebook_named, summaries


class ListedDue(Struct, frozen=True, kw_only=True):
    """An inspection of a hoist as `Due` has it, without the sentences that say why, which its page has.

    They would be most of a large shop's list, the same again and again.
    """

    inspection: InspectionKind
    due_on: date
    anchor: date
    rule: str
    source: str
    by: DueBy
    certainty: Certainty


class DueRow(Struct, frozen=True, kw_only=True):
    """One hoist on a day. `days` is what is left until the due day, negative once it is past."""

    id: str
    name: str
    serial: str
    site: str
    place: str
    drive: str
    fitness: Fitness
    reasons: tuple[str, ...]
    kind: str
    due_on: date | None
    days: int | None
    overdue: bool
    in_time_until: date | None
    used_pct: Decimal | None
    open_defects: int
    dues: tuple[ListedDue, ...]


def in_time_until(due: Due | ListedDue, rulebook: Rulebook) -> date:
    """The last day on which this inspection is in time. Months of grace are for the periodic one alone.

    Nobody waits two months for a check that is due every month or week, before first use or after a move
    (common practice, no source). Nor is there any for running hours or a time out of use, which no date
    rule speaks of.
    """
    forgiven = due.inspection is InspectionKind.PERIODIC and due.by is DueBy.DATE
    rule = rulebook.date_rule if forgiven else DateRule.CALENDAR
    return last_day_in_time(due.due_on, rule)


def _next(summary: Summary, rulebook: Rulebook, day: date) -> Due | None:
    """The most pressing inspection: one that is overdue before one that still has grace, then by day."""
    return min(summary.dues, key=lambda due: (day <= in_time_until(due, rulebook), due.due_on), default=None)


def due_row(summary: Summary, rulebook: Rulebook, day: date) -> DueRow:
    """The row of one hoist on a day."""
    due = _next(summary, rulebook, day)
    standing = fitness_on(summary, day)
    latest = None if due is None else in_time_until(due, rulebook)
    return DueRow(
        id=summary.id,
        name=f"{summary.maker} {summary.model}",
        serial=summary.serial,
        site=summary.site,
        place=summary.place,
        drive=summary.drive,
        fitness=standing.fitness,
        reasons=standing.reasons,
        kind="" if due is None else due.inspection.value,
        due_on=None if due is None else due.due_on,
        days=None if due is None else (due.due_on - day).days,
        overdue=latest is not None and day > latest,
        in_time_until=latest,
        used_pct=summary.used_pct,
        open_defects=summary.open_defects,
        dues=tuple(_listed(each) for each in summary.dues),
    )


def lost_row(name: str, problem: str) -> DueRow:
    """The row of a hoist of which nothing is known but its tag: it must not fall out of the list."""
    return DueRow(
        id=name,
        name="",
        serial="",
        site="",
        place="",
        drive="",
        fitness=Fitness.OUT_OF_SERVICE,
        reasons=(f"{NOT_TRUSTED}: {problem}",),
        kind="",
        due_on=None,
        days=None,
        overdue=False,
        in_time_until=None,
        used_pct=None,
        open_defects=0,
        dues=(),
    )


def _listed(due: Due) -> ListedDue:
    return ListedDue(
        inspection=due.inspection,
        due_on=due.due_on,
        anchor=due.anchor,
        rule=due.rule,
        source=due.source,
        by=due.by,
        certainty=due.certainty,
    )


def turning_days(summary: Summary, rulebook: Rulebook) -> list[date]:
    """The days on which a hoist's row begins to say something else than before, beside the days left."""
    last_days = {in_time_until(due, rulebook) for due in summary.dues} - {date.max}
    days = {stop.from_on for stop in summary.stops} | {day + timedelta(days=1) for day in last_days}
    return sorted(days if summary.retired_on is None else days | {summary.retired_on})


def is_retired(summary: Summary, day: date) -> bool:
    """Whether the hoist is used no more on that day; it stands in no due list then."""
    return summary.retired_on is not None and summary.retired_on <= day


def is_only_overdue(fitness: Fitness, *, overdue: bool) -> bool:
    """Whether nothing but an overdue inspection is against its use; that is never told as all well."""
    return overdue and fitness is Fitness.IN_SERVICE


def _order(row: DueRow) -> tuple[bool, date, str]:
    return not row.overdue, row.due_on or date.max, row.id


def due_list(
    shop: Shop, day: date, *, site: str = "", progress: Callable[[int, int], None] | None = None
) -> list[DueRow]:
    """All hoists in use on a day, overdue ones first, then by due date; of one site where it is named.

    One whose record does not even tell its site stands in the list of all alone. NotFoundError where
    `site_named` finds no such site.
    """
    known = summaries(shop, progress)
    rows = [
        due_row(summary, rulebook_named(summary.rulebook, shop), day)
        for summary in at_site(known, site).values()
        if not is_retired(summary, day)
    ]
    if not site.strip():
        rows += [lost_row(name, problem) for name, problem in damaged(shop).items() if name not in known]
    return sorted(rows, key=_order)


def days_words(days: int | None) -> str:
    """Days until the due day for people: 'in 12 days', 'today', '3 days late'."""
    if days is None:
        return ""
    if days == 0:
        return "today"
    if days < 0:
        return f"{-days} day{'s' if days < -1 else ''} late"
    return f"in {days} day{'s' if days > 1 else ''}"
