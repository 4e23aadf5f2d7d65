"""Proves what is read from older paper: its day, its reading, and what is asked about an odd one."""

from decimal import Decimal

from fieldlog.domain.records import ChainReading, InspectionKind, TakenOver
from fieldlog.operations.taking_over import NO_PLACE, taken_over_from, taken_over_questions
from tests.domain.build import hoist
from tests.operations.builder import TODAY


def test_nothing_on_paper_is_no_record():
    assert taken_over_from({"last_source": "book 4"}, today=TODAY, document="f.csv") == (None, ())


def test_a_day_alone_and_a_reading_alone_are_enough():
    body, _ = taken_over_from({"last_day": "2026-11-25"}, today=TODAY, document="f.csv")
    assert body == TakenOver(source="f.csv", done_on=TODAY, occasion=InspectionKind.PERIODIC)
    body, _ = taken_over_from({"last_reading": "6.54 in"}, today=TODAY, document="f.csv")
    # 1 in = 25.4 mm (international yard and pound agreement, 1959)
    reading = ChainReading(place=NO_PLACE, links=11, value_mm=Decimal("166.116"), typed="6.54 in")
    assert body == TakenOver(source="f.csv", reading=reading)


def test_a_day_to_come_is_a_problem():
    body, problems = taken_over_from({"last_day": "2026-11-26"}, today=TODAY, document="f.csv")
    assert body is None
    assert [problem.place for problem in problems] == ["Last inspection"]


def test_a_reading_over_another_number_of_links_is_asked_about():
    def paper(value: str) -> TakenOver:
        return TakenOver(source="f", reading=ChainReading(place="hook", links=11, value_mm=Decimal(value)))

    assert taken_over_questions(paper("166.1"), hoist()) == ()
    assert "looks like 12 links" in taken_over_questions(paper("181"), hoist())[0]
