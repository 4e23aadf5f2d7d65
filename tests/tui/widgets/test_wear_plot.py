"""The wear plot says with signs alone where readings, limit, trend and band are; plain is plain ASCII."""

import subprocess
import sys
from datetime import date, timedelta

import pytest

from fieldlog.domain.report_content import PlotPoint, WearPlot
from fieldlog.operations.wear_over_time import WearOverTime
from fieldlog.tui.widgets.wear_plot import DRAWN, PLAIN, TITLE, Signs, ticks, wear_plot_lines

START = date(2025, 1, 10)
SIZES = [(78, 16), (118, 33), (198, 52)]
BOTH = pytest.mark.parametrize(("plain", "signs"), [(False, DRAWN), (True, PLAIN)])


def at(days: int, percent: float) -> PlotPoint:
    return PlotPoint(day=START + timedelta(days=days), percent=percent)


def worn(**changes: object) -> WearOverTime:
    plot = WearPlot(
        points=(at(0, 10), at(200, 20), at(400, 30)),
        watch_percent=80,
        forecast=(at(0, 10), at(1800, 100)),
        early=(at(0, 4), at(1250, 100)),
        late=(at(0, 16), at(2400, 100)),
    )
    given = {"sentence": "", "about": "", "first": START, "last": at(1900, 0).day, "plot": plot} | changes
    return WearOverTime(**given)  # type: ignore[arg-type]


def drawn(wear: WearOverTime, size: tuple[int, int] = SIZES[0], *, plain: bool = True) -> list[str]:
    return wear_plot_lines(wear, columns=size[0], lines=size[1], plain=plain)


def rows_with(lines: list[str], sign: str) -> list[int]:
    """Lines inside the frame that hold a sign, counted from the top."""
    return [place for place, line in enumerate(lines[1:-1]) if sign in line[13:-1]]


@BOTH
@pytest.mark.parametrize("size", SIZES)
def test_it_fits_its_size_with_a_title_and_told_signs(
    size: tuple[int, int], plain: bool, signs: Signs
) -> None:
    lines = drawn(worn(), size, plain=plain)
    assert len(lines) == size[1]
    assert max(map(len, lines)) <= size[0]
    assert lines[0] == TITLE
    assert lines[-1] == (
        f"{signs.reading} reading   {signs.limit} limit   {signs.watch} watch   {signs.trend} trend"
        f"   {signs.band} its 95 % band"
    )


def test_plain_is_ascii_alone_and_shows_the_same_lines() -> None:
    plain, other = drawn(worn()), drawn(worn(), plain=False)
    assert all(line.isascii() for line in plain)
    assert not any(line.isascii() for line in other[1:-4])
    assert len(plain) == len(other)


@BOTH
def test_limit_and_watch_line_are_level_and_named_on_the_axis(plain: bool, signs: Signs) -> None:
    lines = drawn(worn(), plain=plain)
    (limit,) = [line for line in lines if line.startswith("limit 100 %")]
    (watch,) = [line for line in lines if line.startswith(" watch 80 %")]
    assert limit.count(signs.limit) > 50
    assert watch.count(signs.watch) > 40
    assert lines.index(limit) < lines.index(watch)


@BOTH
def test_readings_rise_in_as_many_places_as_were_measured(plain: bool, signs: Signs) -> None:
    lines = drawn(worn(), SIZES[1], plain=plain)
    found = [
        (line.index(signs.reading, 12), place)
        for place, line in enumerate(lines[1:-1])
        if signs.reading in line[12:]
    ]
    assert len(found) == 3
    columns = [column for column, _ in sorted(found)]
    heights = [place for _, place in sorted(found)]
    assert columns == sorted(columns)
    assert heights == sorted(heights, reverse=True)
    # the first reading on the frame's left edge, the others at 200 and 400 of 1900 days of 105 columns
    assert [round((column - columns[0]) / 105 * 1900, -2) for column in columns] == [0, 200, 400]


def test_the_band_begins_at_the_last_reading_and_holds_the_trend() -> None:
    lines = drawn(worn(), SIZES[1])
    rows = rows_with(lines, PLAIN.band)
    assert len(rows) > 5
    last_reading = max(line.rindex(PLAIN.reading) for line in lines[1:-1] if PLAIN.reading in line[12:])
    assert min(line.index(PLAIN.band) for line in lines[1:-3] if PLAIN.band in line) >= last_reading
    for row in rows[3:-3]:
        line = lines[1:-1][row]
        assert line.index(PLAIN.band) < line.index(PLAIN.trend) < line.rindex(PLAIN.band)


def test_without_a_forecast_only_what_is_seen_is_told() -> None:
    plot = WearPlot(points=(at(0, 10),), watch_percent=80)
    lines = drawn(worn(plot=plot, last=at(30, 0).day))
    assert lines[-1] == "o reading   = limit   - watch"
    assert PLAIN.trend not in "".join(lines[1:-1])
    assert "2025-01-10" in lines[-2]
    assert "2025-02-09" in lines[-2]


def test_an_open_band_goes_on_below_the_trend() -> None:
    """Where the flattest line never meets the limit its end is open, and it may fall."""
    plot = WearPlot(
        points=worn().plot.points,  # type: ignore[union-attr]
        watch_percent=80,
        forecast=(at(0, 10), at(1800, 100)),
        early=(at(0, 4), at(1250, 100)),
        late=(at(0, 40), at(2000, -10)),
    )
    assert rows_with(drawn(worn(plot=plot), SIZES[1]), PLAIN.band)


@pytest.mark.parametrize("highest", [100.0, 101.0, 260.0, 900.0, 5000.0])
def test_a_chain_past_its_limit_stays_in_the_picture_and_keeps_the_limit_named(highest: float) -> None:
    plot = WearPlot(points=(at(0, 10), at(400, highest)), watch_percent=80)
    lines = drawn(worn(plot=plot, last=at(460, 0).day))
    assert "reading" in lines[-1]
    assert sum(line[12:].count(PLAIN.reading) for line in lines[1:-1]) == 2
    assert any(line.startswith("limit 100 %") for line in lines)


def test_a_chain_shorter_than_new_stays_in_the_picture() -> None:
    plot = WearPlot(points=(at(0, -8), at(400, 3)), watch_percent=80)
    lines = drawn(worn(plot=plot, last=at(460, 0).day))
    assert sum(line[11:].count(PLAIN.reading) for line in lines[1:-1]) == 2


def test_nothing_to_draw_and_no_room() -> None:
    assert drawn(worn(plot=None)) == []
    sentence = ["Too small to draw in: 40 columns and 8 lines are needed."]
    assert drawn(worn(), (39, 16)) == sentence
    assert drawn(worn(), (78, 7)) == sentence
    assert len(drawn(worn(), (40, 8))) == 8


@pytest.mark.parametrize(
    ("last", "most", "labels"),
    [
        (date(2025, 1, 31), 4, ["2025-01-10", "2025-01-17", "2025-01-24", "2025-01-31"]),
        (date(2025, 6, 30), 5, ["2025-02", "2025-03", "2025-04", "2025-05", "2025-06"]),
        (date(2025, 12, 31), 5, ["2025-03", "2025-05", "2025-07", "2025-09", "2025-11"]),
        (date(2029, 12, 31), 5, ["2026-01", "2027-01", "2028-01", "2029-01"]),
        (date(2045, 1, 1), 5, ["2030-01", "2035-01", "2040-01", "2045-01"]),
    ],
)
def test_the_axis_has_whole_days_or_months_and_no_more_than_fit(
    last: date, most: int, labels: list[str]
) -> None:
    assert [label for _, label in ticks(START, last, most)] == labels


def test_the_plotting_library_is_loaded_when_something_is_drawn_and_not_before() -> None:
    check = "import sys, fieldlog.tui.screens.trend; assert 'plotext' not in sys.modules"
    subprocess.run([sys.executable, "-c", check], check=True)
