"""What an instrument has touched: every reading since its last good calibration, for when it failed one."""

from collections.abc import Callable, Iterator
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.corrections import struck_lines
from fieldlog.domain.counting import counted
from fieldlog.domain.records import Entry, Inspection, Instrument
from fieldlog.errors import NotFoundError
from fieldlog.operations.shop import Shop, damaged, shop_bodies
from fieldlog.units import format_mm


class Touched(Struct, frozen=True, kw_only=True):
    """One reading taken with the instrument: where it stands, what was read, and what the register said."""

    hoist: str
    line: int
    day: date
    by: str
    what: str
    state: str = ""


class Touches(Struct, frozen=True, kw_only=True):
    """Readings, hoist by hoist and then by day; damage in the logbooks of `broken` may hide more."""

    readings: tuple[Touched, ...]
    broken: tuple[str, ...] = ()


class Trace(Struct, frozen=True, kw_only=True):
    """The readings in doubt: after the last good calibration before each failed one, until it passed again.

    `failed_on` is the day of the latest failed one, `good_on` that of the good one before it (None: none is
    known); `earlier` are the days of failed ones before.
    """

    instrument: str
    good_on: date | None
    failed_on: date
    readings: tuple[Touched, ...]
    broken: tuple[str, ...] = ()
    earlier: tuple[date, ...] = ()


class _Window(Struct, frozen=True):
    """From which good calibration (None: none known) to which (None: not yet) a failed one casts doubt."""

    good_on: date | None
    failed_on: date
    again_on: date | None

    def holds(self, day: date) -> bool:
        since = self.good_on is None or self.good_on < day
        return day == self.failed_on or (since and (self.again_on is None or day < self.again_on))


Progress = Callable[[int, int], None]


def _calibrations(shop: Shop, name: str) -> list[Instrument]:
    bodies = shop_bodies(shop, "instruments")
    found = [body for body in bodies if isinstance(body, Instrument) and body.name == name]
    if not found:
        raise NotFoundError(f"no instrument {name!r} is in the tool register")
    return found


def doubt_lines(shop: Shop, name: str, progress: Progress | None = None) -> list[str]:
    """For people: what is in doubt since a failed calibration, or, where none failed, for want of one.

    `progress` is told (done, all) after each logbook. NotFoundError as `trace_failed` raises it.
    """
    trace = trace_failed(shop, name, progress)
    if trace is not None:
        return trace_lines(trace)
    late = out_of_calibration(shop, name, progress)
    count = counted(len(late.readings), "reading")
    return [
        f"No failed calibration of {name} is recorded.",
        f"{count} of chains' lengths taken while the tool register could not vouch for it:"
        if late.readings
        else "No length of a chain was taken with it while the tool register could not vouch for it.",
        *_lines(late.readings),
        "Of diameters, single pitches and hooks the records do not keep that.",
        *_not_known(late.broken),
    ]


def trace_failed(shop: Shop, name: str, progress: Progress | None = None) -> Trace | None:
    """Every reading between the good calibrations around a failed one; None if none has failed.

    Readings of the failing day and after it are in doubt too, until it passes again; those of the good days
    are not. Struck records are left out. NotFoundError for an instrument that the register does not know.
    Source: that earlier results are looked at when a tool fails, ISO 9001:2015, 7.1.5.2 (from memory); from
    which day to which, common practice, no source.
    """
    windows = _windows(_calibrations(shop, name))
    if not windows:
        return None
    touched = readings_with(shop, name, progress)
    *before, latest = windows
    return Trace(
        instrument=name,
        good_on=latest.good_on,
        failed_on=latest.failed_on,
        readings=tuple(
            reading for reading in touched.readings if any(window.holds(reading.day) for window in windows)
        ),
        broken=touched.broken,
        earlier=tuple(window.failed_on for window in before),
    )


def _windows(calibrations: list[Instrument]) -> list[_Window]:
    """A window for each failed calibration, by day; of one day the record sealed later counts as later."""
    dated = sorted(
        ((body.calibrated_on, body.passed) for body in calibrations if body.calibrated_on),
        key=lambda held: held[0],
    )
    return [
        _Window(
            next((good for good, passed in reversed(dated[:place]) if passed), None),
            day,
            next((good for good, passed in dated[place + 1 :] if passed), None),
        )
        for place, (day, passed) in enumerate(dated)
        if not passed
    ]


def out_of_calibration(shop: Shop, name: str, progress: Progress | None = None) -> Touches:
    """The chain readings that were taken while the register could not vouch for the instrument."""
    found = readings_with(shop, name, progress)
    return replace(found, readings=tuple(each for each in found.readings if _is_doubtful(each.state)))


def _is_doubtful(state: str) -> bool:
    return bool(state) and not state.startswith("in calibration")


def readings_with(shop: Shop, name: str, progress: Progress | None = None) -> Touches:
    """Every reading taken with an instrument, struck ones left out."""
    found: list[Touched] = []
    broken: list[str] = []
    hoists = shop.logbooks.hoist_names()
    for done, hoist in enumerate(hoists, start=1):
        book = shop.logbooks.read(hoist)
        found += _touched(hoist, book.entries, name)
        broken += [] if shop.logbooks.doubt(book) is None else [hoist]
        if progress is not None:
            progress(done, len(hoists))
    broken += damaged(shop).keys() - set(broken)  # the register knows of logbooks that are gone
    order = sorted(found, key=lambda touched: (touched.hoist, touched.day, touched.line))
    return Touches(readings=tuple(order), broken=tuple(sorted(broken)))


def _touched(hoist: str, entries: tuple[Entry, ...], name: str) -> Iterator[Touched]:
    struck = struck_lines(entries)
    for entry in entries:
        if entry.line not in struck and isinstance(entry.body, Inspection):
            for what, state in _with(entry.body, name):
                yield Touched(
                    hoist=hoist,
                    line=entry.number,
                    day=entry.body.done_on,
                    by=entry.by,
                    what=what,
                    state=state,
                )


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
    if trace.earlier:
        since += f"; failed before on {', '.join(day.isoformat() for day in trace.earlier)}"
    count = len(trace.readings)
    lines = [
        f"{trace.instrument} failed its calibration on {trace.failed_on.isoformat()}; {since}.",
        f"{count} reading{'s are' if count != 1 else ' is'} in doubt: measure again with a tool that passed.",
    ]
    return [*lines, *_lines(trace.readings), *_not_known(trace.broken)]


def _lines(readings: tuple[Touched, ...]) -> Iterator[str]:
    for touched in readings:
        where = f"{touched.hoist}  {touched.day.isoformat()}  line {touched.line}"
        yield f"{where}  {touched.what}  ({touched.by})"


def _not_known(broken: tuple[str, ...]) -> list[str]:
    """Damage may hide readings, and whoever looks for those in doubt must hear of it."""
    if not broken:
        return []
    return [f"Not known is what stands behind damage in {', '.join(broken)}: fieldlog verify tells more."]
