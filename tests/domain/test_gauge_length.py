"""Of several unused lengths the one that serves, and that every reading explains itself with its numbers."""

from fieldlog.domain.chain import judge_reading
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.gauge_length import Unused, unused_for
from fieldlog.domain.records import Basis, Drive
from tests.domain.build import CALIPER, SIZE, D, reading, rulebook

GENERAL = rulebook()


def over(links: int, length: str, basis: Basis = Basis.INSIDE) -> Unused:
    return Unused(links=links, basis=basis, length_mm=D(length))


def test_the_shorter_of_two_unused_lengths_serves_whichever_was_first() -> None:
    fitted, beyond = over(11, "165.2"), over(11, "165.1")
    assert unused_for(11, fitted, beyond) is beyond
    assert unused_for(11, beyond, fitted) is beyond


def test_one_over_other_links_is_passed_over() -> None:
    assert unused_for(11, over(9, "135"), None) is None
    held = over(11, "165.3")
    assert unused_for(11, over(9, "135"), held) is held


def test_of_both_bases_the_inside_one_serves() -> None:
    inside, outside = over(11, "165.2"), over(11, "175.1", Basis.OUTSIDE)
    assert unused_for(11, outside, inside) is inside


def test_a_reading_explains_itself_with_its_numbers() -> None:
    # 5 x 15 over 11 links: 165 mm, 1.5 % of it 2.475 mm (DOE-STD-1090-96 ch. 8); 2.2 / 2.475 = 88.9 %;
    # 1.645 x 0.07 / sqrt 3 = 0.0665 (caliper 0.05 inside, DIN 862:1988)
    found = judge_reading(reading("167.2"), SIZE, GENERAL, Drive.ELECTRIC, instrument=CALIPER).finding
    assert found.verdict is Verdict.WATCH
    assert found.steps == (
        "reference over 11 links inside: 165 mm, computed from 5 x 15",
        "allowed growth: 1.5 % of 11 x 15 mm = 2.475 mm",
        "167.2 - 165 = 2.2 mm grown",
        "2.2 / 2.475 = 88.9 % used",
        "guard 1.645 x 0.07 / sqrt 3 = 0.0665 mm",
    )


def test_a_reading_taken_several_times_shows_its_mean_and_a_wider_doubt() -> None:
    repeats = (D("167.1"), D("167.3"))
    once = judge_reading(reading("167.2"), SIZE, GENERAL, Drive.ELECTRIC, instrument=CALIPER)
    twice = judge_reading(
        reading("167.2", repeats=repeats), SIZE, GENERAL, Drive.ELECTRIC, instrument=CALIPER
    )
    assert "(167.1 + 167.3) / 2 = 167.2 mm" in twice.finding.steps
    assert twice.guard_mm > once.guard_mm


def test_a_gauge_tells_no_growth() -> None:
    gauge = reading(None, basis=Basis.GAUGE, both_ends_touch=False)
    found = judge_reading(gauge, SIZE, GENERAL, Drive.ELECTRIC).finding
    assert len(found.steps) == 2
