"""A failed calibration lists every reading since the last good one, in every hoist."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import InspectionKind, StruckOut
from fieldlog.errors import NotFoundError
from fieldlog.operations.drafting import PitchDraft
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.shop import Shop, append, open_shop
from fieldlog.operations.tracing import (
    Touches,
    doubt_lines,
    out_of_calibration,
    readings_with,
    trace_failed,
    trace_lines,
)
from tests.operations.builder import (
    ADA,
    NOW,
    TODAY,
    at,
    begin,
    fill,
    inspect,
    ready_shop,
    register,
    with_instrument,
)

GOOD, FAILED = date(2026, 3, 1), date(2026, 9, 1)
FREQUENT = InspectionKind.FREQUENT


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    held = ready_shop(tmp_path)
    with_instrument(held, "C 12", calibrated_on=GOOD, interval_months=12)
    return held


def again(shop: Shop, day: date) -> None:
    with_instrument(shop, "C 12", calibrated_on=day, interval_months=12)


def measured(shop: Shop, *days: date) -> str:
    """A hoist inspected with the caliper on these days."""
    hoist = register(shop, day=date(2026, 1, 10))
    for place, day in enumerate(days):
        kind = FREQUENT if place else InspectionKind.FIRST_USE
        inspect(shop, hoist.id, kind, day=day, instrument="C 12")
    return hoist.id


def fail(shop: Shop) -> None:
    with_instrument(shop, "C 12", calibrated_on=FAILED, interval_months=12, passed=False)


def test_while_none_has_failed_nothing_is_in_doubt(shop: Shop) -> None:
    measured(shop, date(2026, 4, 1))
    assert trace_failed(shop, "C 12") is None
    with pytest.raises(NotFoundError, match="no instrument 'C 13' is in the tool register"):
        trace_failed(shop, "C 13")


def test_readings_from_the_good_day_on_are_in_doubt_and_those_of_that_day_are_not(shop: Shop) -> None:
    one = measured(shop, date(2026, 2, 28), GOOD, date(2026, 3, 2))
    other = measured(shop, FAILED, date(2026, 9, 2))
    fail(shop)
    trace = trace_failed(shop, "C 12")
    assert trace is not None
    assert (trace.good_on, trace.failed_on) == (GOOD, FAILED)
    found = {(touched.hoist, touched.day) for touched in trace.readings}
    assert found == {(one, date(2026, 3, 2)), (other, FAILED), (other, date(2026, 9, 2))}
    # three places each; diameters and hook were taken with no named instrument
    assert len(trace.readings) == 9
    lines = trace_lines(trace)
    assert lines[0] == "C 12 failed its calibration on 2026-09-01; good on 2026-03-01."
    assert lines[1].startswith("9 readings are in doubt")
    assert "11 links inside at usual working height: 165.4 mm" in lines[2]


def test_readings_after_the_failing_day_are_in_doubt_until_it_has_passed_again(shop: Shop) -> None:
    """Somebody went on with it before the failure was entered."""
    after = date(2026, 9, 20)
    measured(shop, date(2026, 4, 1), after, date(2026, 10, 1))
    fail(shop)

    def doubtful() -> set[date]:
        trace = trace_failed(shop, "C 12")
        assert trace is not None
        return {touched.day for touched in trace.readings}

    assert doubtful() == {date(2026, 4, 1), after, date(2026, 10, 1)}
    again(shop, date(2026, 10, 1))
    assert doubtful() == {date(2026, 4, 1), after}


def test_a_later_failure_takes_no_earlier_doubt_away(shop: Shop) -> None:
    measured(shop, date(2026, 4, 1), date(2026, 10, 1))
    fail(shop)
    again(shop, date(2026, 9, 15))
    with_instrument(shop, "C 12", calibrated_on=date(2026, 12, 1), passed=False)
    trace = trace_failed(shop, "C 12")
    assert trace is not None
    assert {touched.day for touched in trace.readings} == {date(2026, 4, 1), date(2026, 10, 1)}
    assert trace_lines(trace)[0] == (
        "C 12 failed its calibration on 2026-12-01; good on 2026-09-15; failed before on 2026-09-01."
    )


def test_failed_and_passed_on_one_day_leaves_that_day_and_none_after_it_in_doubt(shop: Shop) -> None:
    measured(shop, date(2026, 4, 1), FAILED, date(2026, 9, 2))
    fail(shop)
    again(shop, FAILED)
    trace = trace_failed(shop, "C 12")
    assert trace is not None
    assert {touched.day for touched in trace.readings} == {date(2026, 4, 1), FAILED}


def test_a_logbook_that_is_gone_or_cut_is_named(shop: Shop) -> None:
    gone, cut = measured(shop, date(2026, 4, 1)), measured(shop, date(2026, 4, 1))
    shop.register.refresh()
    (shop.root / "logbooks" / f"{gone}.jsonl").unlink()
    path = shop.root / "logbooks" / f"{cut}.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    again_open = open_shop(shop.root)
    again_open.register.refresh()
    assert readings_with(again_open, "C 12").broken == tuple(sorted((gone, cut)))


def test_without_a_good_calibration_every_reading_is_in_doubt(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    with_instrument(shop, "C 12", calibrated_on=FAILED, passed=False)
    measured(shop, date(2026, 2, 1))
    trace = trace_failed(shop, "C 12")
    assert trace is not None
    assert (trace.good_on, len(trace.readings)) == (None, 3)


def test_a_struck_record_is_left_out(shop: Shop) -> None:
    tag = measured(shop, date(2026, 4, 1))
    line = shop.logbooks.read(tag).head
    append(shop, tag, StruckOut(line=line, why="other hoist"), by=ADA, now=NOW, head=line)
    assert readings_with(shop, "C 12") == Touches(readings=())


def test_everything_read_with_it_is_found(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content, instrument="C 12")
    content.diameter_instrument = content.hook.instrument = "C 12"
    content.pitches = [PitchDraft(pitch="15.1", instrument="C 12")]
    content.unused = "165.2"
    seal_inspection(shop, draft, content, by=ADA, now=at(TODAY), today=TODAY)
    said = [touched.what for touched in readings_with(shop, "C 12").readings]
    assert len(said) == 7
    assert {
        "diameters at most worn place: 4.9 and 5 mm",
        "single pitch at the longest link: 15.1 mm",
        "throat of the lower hook: 30.5 mm",
        "11 unused links: 165.2 mm",
    } <= set(said)


def test_readings_taken_out_of_calibration_are_listed(shop: Shop) -> None:
    tag = measured(shop, date(2026, 4, 1), date(2027, 3, 1), date(2027, 3, 2))
    late = out_of_calibration(shop, "C 12").readings
    assert {touched.day for touched in late} == {date(2027, 3, 2)}
    assert late[0].state == "out of calibration since 2027-03-01"
    none_failed, counted, first, *_ = doubt_lines(shop, "C 12")
    assert none_failed == "No failed calibration of C 12 is recorded."
    assert counted == "3 readings of chains' lengths taken while the tool register could not vouch for it:"
    assert first.startswith(f"{tag}  2027-03-02  line 4")


def test_where_nothing_is_in_doubt_that_is_said(shop: Shop) -> None:
    measured(shop, date(2026, 4, 1))
    assert doubt_lines(shop, "C 12") == [
        "No failed calibration of C 12 is recorded.",
        "No length of a chain was taken with it while the tool register could not vouch for it.",
        "Of diameters, single pitches and hooks the records do not keep that.",
    ]


@pytest.mark.parametrize("failed", [True, False])
def test_a_logbook_that_does_not_read_to_its_end_is_named(shop: Shop, failed: bool) -> None:
    """What it hides may be in doubt too."""
    whole, broken = measured(shop, date(2026, 4, 1)), measured(shop, date(2026, 4, 1))
    if failed:
        fail(shop)
    path = shop.root / "logbooks" / f"{broken}.jsonl"
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    seen: list[tuple[int, int]] = []
    *_, last = doubt_lines(shop, "C 12", lambda done, total: seen.append((done, total)))
    assert last == f"Not known is what stands behind damage in {broken}: fieldlog verify tells more."
    assert whole not in last
    assert seen == [(1, 2), (2, 2)]
