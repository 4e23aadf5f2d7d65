"""A record that can not be relied on stops its hoist, and no return that came after it lifts that."""

from datetime import date

from fieldlog.domain.history import distrusted
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import InspectionKind, ReturnToService, Unknown
from fieldlog.domain.verdict import Fitness, Summary, fitness_on, summarise
from tests.domain.build import hoist, inspection, rulebook, sealed, strike

DAY, LATER = date(2026, 3, 1), date(2026, 12, 1)
LATER_RECORD = Unknown(name="withdrawal", data={"why": "told in a later shape"})
RETURN = ReturnToService(done_on=date(2026, 4, 1), guards_on_tools_out=True)


def first_use() -> object:
    return inspection(DAY, InspectionKind.FIRST_USE)


def summary(*bodies: object) -> Summary:
    return summarise(fold(sealed(hoist(), *bodies)), rulebook())  # type: ignore[arg-type]


def test_a_damaged_record_stops_a_hoist_that_was_in_service() -> None:
    history = fold(sealed(hoist(), first_use()))  # type: ignore[arg-type]
    assert fitness_on(summarise(history, rulebook()), LATER).fitness is Fitness.IN_SERVICE
    stopped = summarise(distrusted(history, "line 3 does not read"), rulebook())
    standing = fitness_on(stopped, LATER)
    assert standing.fitness is Fitness.OUT_OF_SERVICE
    assert standing.reasons == ("its record can not be trusted: line 3 does not read",)
    assert standing.reasons[0] in stopped.sticker_refusals
    # what is hidden may be a withdrawal of any day, also of one before the last good line was sealed
    begun = history.hoist.registered_on if history.hoist is not None else DAY
    assert fitness_on(stopped, begun).fitness is Fitness.OUT_OF_SERVICE


def test_a_record_without_a_hoist_stays_nobodys() -> None:
    history = fold(())
    assert distrusted(history, "line 1 does not read") == history


def test_a_record_of_a_later_fieldlog_stops_the_hoist_whatever_follows() -> None:
    told = "line 3 (withdrawal) is of a later fieldlog: read it with that"
    for bodies in ((first_use(), LATER_RECORD), (first_use(), LATER_RECORD, RETURN)):
        found = summary(*bodies)
        standing = fitness_on(found, LATER)
        assert (standing.fitness, standing.reasons) == (Fitness.OUT_OF_SERVICE, (told,))
        assert told in found.sticker_refusals


def test_one_that_is_struck_out_stops_nothing() -> None:
    assert fitness_on(summary(first_use(), LATER_RECORD, strike(3)), LATER).fitness is Fitness.IN_SERVICE
