"""The bench of the keys counts what a program writes, uses hoists as in a shop, and says what was reached."""

import sys
from pathlib import Path

import pytest

from demo.bench_sides import write_short_fleet
from demo.bench_terminal import Answer, Window
from demo.bench_tui import Measure, goals, line
from fieldlog.operations.shop import open_hoist, open_shop
from fieldlog.operations.verifying import verify
from tests.demo.written import machines, write

ECHO = "import sys, tty\ntty.setraw(0)\nprint('ready', flush=True)\n" + (
    "while (key := sys.stdin.read(1)) != '\\x11': print(key * 3, end='', flush=True)"
)


def test_bytes_are_those_that_the_program_wrote_for_the_key() -> None:
    window = Window([sys.executable, "-c", ECHO])
    assert window.until("ready") > 0
    window.rest()
    answer = window.press("7")
    assert (answer.size, answer.seconds > 0) == (3, True)
    assert "777" in window.text()
    window.go("x", "XXX")
    window.close()


def test_keys_that_lead_nowhere_end_the_bench_with_the_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("demo.bench_terminal.KEY_PATIENCE_S", 0.2)
    window = Window([sys.executable, "-c", ECHO])
    window.until("ready")
    with pytest.raises(SystemExit, match=r"did not lead to 'verdict'.*\n.*ready"):
        window.go("x", "verdict")
    window.close()


def test_the_short_hoists_hold(tmp_path: Path) -> None:
    """Few lines, none of them broken, and each hoist in use, so that its dues are worked out."""
    works = write(tmp_path / "works", fleet=machines("near-limit", "broken-guide"))
    root = tmp_path / "fleet"
    write_short_fleet(works.root, root, 3)
    shop = open_shop(root)
    assert verify(shop).problems == ()
    for tag in shop.logbooks.hoist_names():
        history = open_hoist(shop, tag).history
        assert 2 <= len(history.entries) <= 4
        assert history.inspections


def _measure(ours: float, size: int, bare: float = 0.030) -> Measure:
    pair = Answer(seconds=ours, size=size), Answer(seconds=bare, size=1_000)
    return Measure("key", [pair] * 20)


def test_a_row_has_median_p95_ratio_and_bytes_of_both_sides() -> None:
    words = line(_measure(0.045, 1_500)).split()
    assert words == ["key", "45.0", "45.0", "30.0", "30.0", "1.5", "x", "1,500", "1,500", "1,000", "1,000"]


@pytest.mark.parametrize(
    ("start_s", "key_s", "size", "met"),
    [
        (0.9, 0.0499, 1_999, [True, True, True, True]),
        (0.91, 0.0500, 2_000, [False, True, False, False]),
        (0.5, 0.0600, 1, [True, True, False, True]),
        (0.5, 0.0601, 1, [True, False, False, True]),
    ],
)
def test_each_goal_is_judged_below_at_and_above_its_limit(
    start_s: float, key_s: float, size: int, met: list[bool]
) -> None:
    """Within 0.4 s of bare (0.5 s here), within twice bare (30 ms here), under 50 ms, under 2,000 bytes."""
    told = goals(_measure(start_s, 1, bare=0.5), _measure(key_s, size))
    assert [": reached" in words for words in told] == met
