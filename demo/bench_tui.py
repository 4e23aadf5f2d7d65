"""How long the keys wait: start, verdict and due list in a real pseudo-terminal, beside a bare Textual app.

`python -m demo.bench tui [HOISTS ...]`, 24 and 20,000 hoists unless other counts are named. The bare app has
one Input and one DataTable of the same rows and runs in the same turns on the same machine: its Input shows a
reading as it is typed and judges nothing; to find, it keeps the rows in which the words stand. An answer
lasts from the key to the last byte that it writes, so whatever is painted later on counts.
"""

import os
import platform
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from statistics import median, quantiles

from msgspec import Struct

from .bench_sides import Sides
from .bench_terminal import LONG_QUIET_S, QUIET_S, Answer, Window
from .history import write_history

SIZES = (24, 20_000)
STARTS = 7
FIGURES = ("167.00", "166.65", "166.10")
"""On a 5 x 15 chain over 11 links: 165 mm new, discard from 167.475 mm on."""
REPEATS = 4
ROWS_DOWN = 20
WORD = "chlorine"
CLEAR, BACK, DOWN = "\x15", "\x7f", "\x1b[B"
LATER_S, VERDICT_S, RATIO, MOST_BYTES = 0.4, 0.050, 2, 2_000
"""To reach: how much later than bare the first row may come; p95 of a verdict, alone and beside; bytes."""
Say = Callable[[str], None]
Press = tuple[str, bool]
"""A key, and whether its answer counts."""
Pairs = Sequence[tuple[Answer, Answer]]


class Measure(Struct, frozen=True):
    """One thing done many times, by fieldlog and by the bare app in turns."""

    name: str
    pairs: Pairs

    @property
    def sides(self) -> tuple[tuple[Answer, ...], tuple[Answer, ...]]:
        """All of fieldlog's answers, then all of the bare app's."""
        ours, bare = zip(*self.pairs, strict=True)
        return ours, bare


def _start(window: Window, tag: str) -> Answer:
    seconds = window.until(tag)
    window.close()
    return Answer(seconds=seconds, size=0)


def start(sides: Sides) -> Measure:
    """From the command to the first row of the list, in turns; the first turn does not count."""
    times = [
        (_start(sides.ours(), sides.first), _start(sides.bare("list"), sides.first))
        for _ in range(STARTS + 1)
    ]
    return Measure("start to the first row", times[1:])


def _in_turns(ours: Window, bare: Window, presses: Iterable[Press], quiet_s: float = QUIET_S) -> Pairs:
    """The same keys on both sides, one on each in turn; both programs are left after the last."""
    found: list[tuple[Answer, Answer]] = []
    for key, counts in presses:
        pair = ours.press(key, quiet_s), bare.press(key, quiet_s)
        if counts:
            found.append(pair)
    ours.close()
    bare.close()
    return found


def _at_rest(window: Window, words: str) -> Window:
    window.until(words)
    window.rest(LONG_QUIET_S)
    return window


def _figures() -> Iterator[Press]:
    """Figures typed into an empty field again and again; what empties it does not count."""
    for turn in range(REPEATS):
        for figure in FIGURES:
            if turn or figure != FIGURES[0]:
                yield CLEAR, False
            yield from ((key, True) for key in figure)


def reading(sides: Sides) -> Measure:
    """Each key of a reading, until the verdict stands there anew."""
    ours, bare = _at_rest(sides.ours(), sides.first), _at_rest(sides.bare("reading"), sides.first)
    scan = f"FL:{sides.measured}\r"
    for keys, words in ((scan, "chain"), ("i", "which inspection"), ("\r", "answered"), ("m", "last time")):
        ours.go(keys, words)
    ours.go("166.1", "Limit 167.475 mm")
    ours.press(CLEAR)
    return Measure("key of a reading to its verdict", _in_turns(ours, bare, _figures()))


def down(sides: Sides) -> Measure:
    """The cursor down the list, past the edge of the window."""
    ours, bare = _at_rest(sides.ours(), sides.first), _at_rest(sides.bare("list"), sides.first)
    return Measure("arrow down in the list", _in_turns(ours, bare, [(DOWN, True)] * ROWS_DOWN, LONG_QUIET_S))


def find(sides: Sides) -> Measure:
    """A word typed and taken back, each key until the list of what was found stands there."""
    ours, bare = _at_rest(sides.ours(), sides.first), _at_rest(sides.bare("find"), sides.first)
    ours.press("/", LONG_QUIET_S)
    keys = [*WORD, *BACK * len(WORD)]
    presses = [(key, turn > 0) for turn in range(2) for key in keys]
    return Measure("key of a word to find", _in_turns(ours, bare, presses, LONG_QUIET_S))


def late(values: Sequence[float]) -> float:
    """The 95th percentile: one of twenty takes longer."""
    return quantiles(values, n=20, method="inclusive")[-1]


def _ms(seconds: float) -> str:
    return f"{seconds * 1000:,.1f}"


def line(measure: Measure) -> str:
    """A row of the table: median and p95 [ms] of both sides, the ratio of p95, bytes (median and most)."""
    ours, bare = ([answer.seconds for answer in side] for side in measure.sides)
    times = "".join(f"{_ms(value):>10}" for side in (ours, bare) for value in (median(side), late(side)))
    sizes = [[answer.size for answer in side] for side in measure.sides]
    told = "".join(f"{round(median(size)):>9,}{max(size):>8,}" for size in sizes if any(size))
    return f"{measure.name:<34}{times}{late(ours) / late(bare):>7.1f} x{told}"


HEAD = (
    f"{'':<34}{'fieldlog':>20}{'bare Textual':>20}{'':>9}{'fieldlog':>17}{'bare':>17}\n"
    f"{'':<34}{'median ms':>10}{'p95 ms':>10}{'median ms':>10}{'p95 ms':>10}{'p95':>9}"
    f"{'bytes':>9}{'most':>8}{'bytes':>9}{'most':>8}"
)


def goals(begin: Measure, key: Measure) -> list[str]:
    """What was to be reached, each goal with what came out."""
    ours, bare = ([answer.seconds for answer in side] for side in begin.sides)
    after = median(ours) - median(bare)
    ours, bare = ([answer.seconds for answer in side] for side in key.sides)
    most = max(answer.size for answer in key.sides[0])
    found = (
        (f"first row within {_ms(LATER_S)} ms of bare", after <= LATER_S, f"{_ms(after)} ms after it"),
        (
            f"p95 of a verdict within {RATIO} x bare",
            late(ours) <= RATIO * late(bare),
            f"{late(ours) / late(bare):.1f} x",
        ),
        (f"p95 of a verdict under {_ms(VERDICT_S)} ms", late(ours) < VERDICT_S, f"{_ms(late(ours))} ms"),
        (f"under {MOST_BYTES:,} bytes a key of a reading", most < MOST_BYTES, f"{most:,} at most"),
    )
    return [f"to reach: {what}: {'reached' if met else 'not reached'}, {told}" for what, met, told in found]


def run(say: Say, folder: Path, sizes: Sequence[int], moment: datetime) -> None:
    """Measure every size, each in a store of its own below `folder`."""
    works = folder / "works"
    write_history(works, moment)
    for size in sizes:
        sides = Sides(folder / str(size), works, size, moment)
        say(f"\n{size:,} hoists\n{HEAD}")
        begin, key = start(sides), reading(sides)
        for measure in (begin, key, down(sides), find(sides)):
            say(line(measure))
        for told in goals(begin, key):
            say(told)


def main(sizes: Sequence[int]) -> int:
    """The sizes named, or both; stores lie where temporary files lie (TMPDIR)."""
    from fieldlog.cli.context import now

    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} processors")
    with tempfile.TemporaryDirectory(prefix="fieldlog-bench-") as name:
        run(print, Path(name), list(sizes) or SIZES, now())
    return 0
