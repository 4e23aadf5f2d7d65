"""Due dates, design life, load spectrum, load test, lengths and tag IDs for the command line and scripts."""

import re
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.criteria import Source, cite
from fieldlog.domain.due_dates import calendar_date, days_date, last_day_in_time, month_end, plate_date
from fieldlog.domain.duty import LoadPart, Use, find_group, life_share, spectrum_class, spectrum_factor
from fieldlog.domain.load_test import required_load
from fieldlog.domain.rules import DateRule
from fieldlog.domain.tag_id import make_id, near, parse_id
from fieldlog.errors import InputError
from fieldlog.operations.calculating import drive_of, exact
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.units import parse_decimal, parse_length, parse_whole

EVERY = re.compile(r"(\d{1,3})([md])")
MONTH = re.compile(r"(\d{4})-(0[1-9]|1[0-2])")
MOST_DATES = 1000
GENERAL = "general"


def read_every(text: str) -> tuple[int | None, int | None]:
    """An interval as typed, '12m' or '7d': months and days, one of them None."""
    found = EVERY.fullmatch(text.strip().lower())
    if found is None or int(found[1]) == 0:
        raise InputError(f"an interval is months or days, as 12m or 7d, not {text[:20]!r}")
    number = int(found[1])
    return (number, None) if found[2] == "m" else (None, number)


def read_month(text: str) -> date:
    """A due month as YYYY-MM; its last day."""
    found = MONTH.fullmatch(text.strip())
    if found is None:
        raise InputError(f"a due month is YYYY-MM, not {text[:20]!r}")
    return month_end(date(int(found[1]), int(found[2]), 1))


def _date_source(rule: DateRule) -> Source:
    rules = load_rulebook(GENERAL)
    return next((entry.source for entry in rules.date_rules if entry.rule is rule), rules.date_rule_source)


class _Counting(Struct, frozen=True, kw_only=True):
    """How due dates are counted: one of months and days, the date rule, and the due date before."""

    months: int | None
    days: int | None
    rule: DateRule
    before: date | None = None
    out_of_service: bool = False


def _next(done: date, counting: _Counting) -> date:
    months = counting.months or 0
    if counting.days is not None:
        return done + timedelta(days=counting.days)
    if counting.rule is DateRule.DAYS:
        return days_date(done, months)
    if counting.rule is DateRule.MONTH_PLATE:
        return plate_date(done, counting.before, months, out_of_service=counting.out_of_service)
    return calendar_date(done, months)


def _series(done: date, counting: _Counting, count: int) -> list[date]:
    """Further due dates; by the calendar always from the anchor, never from one due date to the next."""
    if counting.months is not None and counting.rule is DateRule.CALENDAR:
        return [calendar_date(done, counting.months * place) for place in range(1, count + 1)]
    dates = [_next(done, counting)]
    while len(dates) < count:
        follow = replace(counting, before=dates[-1], out_of_service=False)
        dates.append(_next(dates[-1], follow))
    return dates


def due(
    *, done: date, every: str, rule: str, due_month: str, count: int, out_of_service: bool
) -> dict[str, Any]:
    """The next due date, or the next `count` ones.

    `in_time` tells whether `done` was, where the month is given in which it was due.
    """
    if not 1 <= count <= MOST_DATES:
        raise InputError(f"the count is from 1 to {MOST_DATES}, not {count}")
    months, days = read_every(every)
    date_rule = DateRule(rule)
    before = read_month(due_month) if due_month else None
    counting = _Counting(
        months=months, days=days, rule=date_rule, before=before, out_of_service=out_of_service
    )
    try:
        dates = _series(done, counting, count)
    except (OverflowError, ValueError):
        raise InputError(f"{every} from {done.isoformat()}, {count} times, lies past the year 9999") from None
    source = _date_source(date_rule)
    result: dict[str, Any] = {
        "in_time": None if before is None else done <= last_day_in_time(before, date_rule),
        "rule": date_rule.value,
        "source": cite(source),
        "certainty": source.certainty.value,
    }
    if count == 1:
        return {"next": dates[0].isoformat(), **result}
    return {"dates": [day.isoformat() for day in dates], **result}


def read_use(text: str) -> Use:
    """Running hours, km and f as typed: 'HOURS:KM:F'."""
    parts = text.split(":")
    if len(parts) != 3:
        raise InputError(f"a use is HOURS:KM:F, as 800:0.25:1.1, not {text[:30]!r}")
    hours, km, factor = (
        parse_decimal(part, what)
        for part, what in zip(parts, ("the hours", "km", "the factor f"), strict=True)
    )
    return Use(hours=hours, km=km, factor=factor)


def life(*, group: str, uses: Sequence[str]) -> dict[str, Any]:
    """The used share of the design life of a group of mechanism."""
    found = find_group(group, load_rulebook(GENERAL).groups)
    share = life_share([read_use(text) for text in uses], found)
    return {
        "used_h": exact(share.used_h),
        "design_h": exact(share.design_h),
        "share_pct": exact(share.share_pct),
        "remaining_h": exact(share.remaining_h),
        "group": f"{found.id} ({found.fem})",
        "source": cite(found.source),
        "certainty": found.source.certainty.value,
    }


def spectrum(*, parts: Sequence[str]) -> dict[str, Any]:
    """Load spectrum factor and class from parts 'LOADSHARE:TIMESHARE'."""
    read = []
    for text in parts:
        shares = text.split(":")
        if len(shares) != 2:
            raise InputError(f"a part is LOADSHARE:TIMESHARE, as 0.5:0.25, not {text[:30]!r}")
        load, time = parse_decimal(shares[0], "the load share"), parse_decimal(shares[1], "the time share")
        read.append(LoadPart(load_share=load, time_share=time))
    km = spectrum_factor(read)
    found = spectrum_class(km, load_rulebook(GENERAL).spectra)
    return {"km": exact(km), "class": found.title, "source": cite(found.source)}


def load_test(*, capacity_kg: Decimal, drive: str, rulebook: str, overload_device: bool) -> dict[str, Any]:
    """The stipulated test load with what its weights may be off [kg]."""
    needed = required_load(
        capacity_kg, drive_of(drive), load_rulebook(rulebook), overload_device=overload_device
    )
    return {
        "load_kg": exact(needed.load_kg),
        "low_kg": exact(needed.low_kg),
        "high_kg": exact(needed.high_kg),
        "factor": exact(needed.factor),
        "source": cite(needed.source),
        "certainty": needed.source.certainty.value,
    }


def length(text: str) -> dict[str, Any]:
    """A length as typed in mm."""
    return {"mm": exact(parse_length(text, "mm", "the length").value)}


def give_id(prefix: str, number: str) -> dict[str, Any]:
    """The tag ID of a prefix and number."""
    made = make_id(prefix.upper(), parse_whole(number, "the number", 1, 999_999))
    return {"id": made, "ok": True, "near": []}


def check_id(text: str) -> dict[str, Any]:
    """Whether a typed tag is right; near tags where it is not."""
    try:
        return {"id": parse_id(text), "ok": True, "near": []}
    except InputError as error:
        return {"id": None, "ok": False, "near": list(_near(text)), "why": str(error)}


def _near(text: str) -> list[str]:
    """Right tags that differ from the typed one by one character in its number or at its end."""
    bare = "".join(character for character in text.upper() if character.isalnum()).removeprefix("FL")
    prefix = "".join(character for character in bare[:4] if character.isalpha())
    digits = "".join(character for character in bare[len(prefix) :] if character.isdigit())
    numbers = {int(digits[:end]) for end in (len(digits), len(digits) - 1) if 0 < end <= 6}
    candidates = []
    for number in numbers:
        try:
            candidates.append(make_id(prefix, number))
        except InputError:
            continue
    return near(text, candidates)
