"""Questions about an inspection beside those about each reading: its day, wire diameters, hook.

They are asked and may be confirmed, never a refusal. The bounds are common practice, no source.
"""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from fieldlog.domain.records import DiameterReading, Entry, Hoist, HookReading, LabelPrinted
from fieldlog.operations.shop import OpenHoist
from fieldlog.units import format_mm

# New wire is near its nominal diameter, and worn wire is discarded long before half of it.
WIRE_LEAST, WIRE_MOST = Decimal("0.5"), Decimal("1.1")
# A hook does not close under load, and is discarded long before it is half as wide again.
THROAT_LEAST, THROAT_MOST = Decimal("0.95"), Decimal("1.5")


def _work_of(entry: Entry) -> tuple[date, str] | None:
    """Day and name of what was done to the hoist; a registration or a printed label is no work on it."""
    day = getattr(entry.body, "done_on", None)
    if isinstance(entry.body, (Hoist, LabelPrinted)) or not isinstance(day, date):
        return None
    return day, entry.body.kind


def question_day(opened: OpenHoist, day: date) -> tuple[str, ...]:
    """A question where the day of an inspection lies before work that is sealed already."""
    done = [_work_of(entry) for entry in opened.history.entries if entry.line not in opened.history.struck]
    last = max((work for work in done if work is not None), default=None)
    if last is None or day >= last[0]:
        return ()
    return (f"{day.isoformat()} lies before the {last[1]} sealed for {last[0].isoformat()}: right day?",)


def question_diameter(reading: DiameterReading, dn_mm: Decimal) -> tuple[str, ...]:
    """A question for each diameter that no wire of this chain can have."""
    return tuple(_wire_questions(reading, dn_mm))


def _wire_questions(reading: DiameterReading, dn_mm: Decimal) -> Iterator[str]:
    for name, value in (("d1", reading.d1_mm), ("d2", reading.d2_mm)):
        if not WIRE_LEAST * dn_mm <= value <= WIRE_MOST * dn_mm:
            yield (
                f"{name} {format_mm(value)} mm on a chain of {format_mm(dn_mm)} mm:"
                " right place, unit and decimal point?"
            )


def question_hook(reading: HookReading, new_mm: Decimal | None) -> tuple[str, ...]:
    """A question where the throat is much narrower than new, or wider than a hook lives to be."""
    now = reading.throat_mm
    if now is None or new_mm is None or THROAT_LEAST * new_mm <= now <= THROAT_MOST * new_mm:
        return ()
    return (
        f"throat {format_mm(now)} mm, as new {format_mm(new_mm)} mm:"
        " measured between the same marks, right unit and decimal point?",
    )
