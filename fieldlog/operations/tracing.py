"""What an instrument has touched: every reading since its last good calibration, for when it failed one."""

from collections.abc import Iterator
from datetime import date

from msgspec import Struct

from fieldlog.domain.corrections import struck_lines
from fieldlog.domain.records import Inspection, Instrument
from fieldlog.errors import NotFoundError
from fieldlog.operations.shop import Shop, shop_bodies
from fieldlog.units import format_mm


class Touched(Struct, frozen=True, kw_only=True):
    """One reading taken with the instrument: where it stands, what was read, and what the register said."""

    hoist: str
    line: int
    day: date
    by: str
    what: str
    state: str = ""


class Trace(Struct, frozen=True, kw_only=True):
    """The readings in doubt: those after `good_on` (None: no good calibration is known) up to `failed_on`."""

    instrument: str
    good_on: date | None
    failed_on: date
    readings: tuple[Touched, ...]


def _calibrations(shop: Shop, name: str) -> list[Instrument]:
    bodies = shop_bodies(shop, "instruments")
    found = [body for body in bodies if isinstance(body, Instrument) and body.name == name]
    if not found:
        raise NotFoundError(f"no instrument {name!r} is in the tool register")
    return found


def trace_failed(shop: Shop, name: str) -> Trace | None:
    """Every reading since the last good calibration before the latest failed one; None if none has failed.

    Readings of the failing day itself are in doubt too, those of the good day are not. Struck records are
    left out. NotFoundError for an instrument that the register does not know.
    """
    calibrations = _calibrations(shop, name)
    failed = [body.calibrated_on for body in calibrations if not body.passed and body.calibrated_on]
    if not failed:
        return None
    failed_on = max(failed)
    good = [
        body.calibrated_on
        for body in calibrations
        if body.passed and body.calibrated_on and body.calibrated_on < failed_on
    ]
    good_on = max(good, default=None)
    touched = readings_with(shop, name)
    return Trace(
        instrument=name,
        good_on=good_on,
        failed_on=failed_on,
        readings=tuple(
            reading
            for reading in touched
            if (good_on is None or good_on < reading.day) and reading.day <= failed_on
        ),
    )


def out_of_calibration(shop: Shop, name: str) -> tuple[Touched, ...]:
    """The chain readings that were taken while the register could not vouch for the instrument."""
    return tuple(reading for reading in readings_with(shop, name) if _is_doubtful(reading.state))


def _is_doubtful(state: str) -> bool:
    return bool(state) and not state.startswith("in calibration")


def readings_with(shop: Shop, name: str) -> tuple[Touched, ...]:
    """Every reading taken with an instrument, hoist by hoist and then by the day of the work."""
    found: list[Touched] = []
    for hoist in shop.logbooks.hoist_names():
        entries = shop.logbooks.read(hoist).entries
        struck = struck_lines(entries)
        for entry in entries:
            if entry.line not in struck and isinstance(entry.body, Inspection):
                found += [
                    Touched(
                        hoist=hoist,
                        line=entry.number,
                        day=entry.body.done_on,
                        by=entry.by,
                        what=what,
                        state=state,
                    )
                    for what, state in _with(entry.body, name)
                ]
    return tuple(sorted(found, key=lambda touched: (touched.hoist, touched.day, touched.line)))


def _with(body: Inspection, name: str) -> Iterator[tuple[str, str]]:
    """What this inspection read with the instrument, in words, and its state where that is kept."""
    for reading in body.readings:
        if reading.instrument == name and reading.value_mm is not None:
            over = f"{reading.links} links {reading.basis}"
            yield f"{over} at {reading.place}: {format_mm(reading.value_mm)} mm", reading.instrument_state
    for diameter in body.diameters:
        if diameter.instrument == name:
            both = f"{format_mm(diameter.d1_mm)} and {format_mm(diameter.d2_mm)} mm"
            yield f"diameters at {diameter.place}: {both}", ""
    for pitch in body.pitches:
        if pitch.instrument == name:
            yield f"single pitch at {pitch.place}: {format_mm(pitch.pitch_mm)} mm", ""
    for hook in body.hooks:
        if hook.instrument == name and hook.throat_mm is not None:
            yield f"throat of the {hook.which} hook: {format_mm(hook.throat_mm)} mm", ""
    if body.unused is not None and body.unused.instrument == name:
        yield f"{body.unused.links} unused links: {format_mm(body.unused.length_mm)} mm", ""


def trace_lines(trace: Trace) -> list[str]:
    """The trace for people."""
    since = (
        "no good calibration is known" if trace.good_on is None else f"good on {trace.good_on.isoformat()}"
    )
    count = len(trace.readings)
    lines = [
        f"{trace.instrument} failed its calibration on {trace.failed_on.isoformat()}; {since}.",
        f"{count} reading{'s are' if count != 1 else ' is'} in doubt: measure again with a tool that passed.",
    ]
    return lines + [
        f"{touched.hoist}  {touched.day.isoformat()}  line {touched.line}  {touched.what}  ({touched.by})"
        for touched in trace.readings
    ]
