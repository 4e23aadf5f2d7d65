"""How the store holds up as it grows: 1,000, 5,000 and 20,000 hoists of 40 records, beside barer ways.

Each figure stands beside the same done by Python that does nothing, sqlite3, plain TinyDB, an fsync or
sha256sum, in one run, so that a busy machine slows all of them.
"""

import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from statistics import median
from time import perf_counter

from msgspec import Struct, field

from fieldlog.operations.finding import find_words
from fieldlog.operations.shop import append, new_uid, open_hoist, open_shop, summaries
from fieldlog.store.ready import FILE, SINCE

from .bench_fleet import LINES, tags, write_fleet
from .bench_rivals import (
    DUE,
    TINYDB_DUE,
    TINYDB_SEAL,
    make_sqlite,
    make_tinydb,
    read_sqlite,
    seal_sqlite,
    search_sqlite,
)
from .history import TECHNICIAN, write_history

SIZES = (1_000, 5_000, 20_000)
TINYDB_MOST = 1_000
"""Beyond this plain TinyDB, which writes its whole file for every record, takes minutes a save."""
AGED_NS = 10**10
Say = Callable[[str], None]
TOMORROW = """
import datetime, sys
from fieldlog.cli import main

today = datetime.datetime

class Tomorrow(today):
    @classmethod
    def now(cls, tz=None):
        return today.now(tz) + datetime.timedelta(days=1)

datetime.datetime = Tomorrow
sys.exit(main(sys.argv[1:]))
"""


class Figures(Struct, kw_only=True):
    """What was measured at one size, in seconds (memory in MB), by the name of the measure."""

    size: int
    data_mb: float
    ours: dict[str, float] = field(default_factory=dict)
    beside: dict[str, dict[str, float]] = field(default_factory=dict)

    def put(self, name: str, ours: float, **beside: float) -> None:
        """Note a measure with those that stand beside it."""
        self.ours[name], self.beside[name] = ours, beside


# Started from a small process: Linux counts what the starting one had in memory to the new one's peak.
_LAUNCH = """
import os, subprocess, sys, time
begin = time.perf_counter()
child = subprocess.Popen(sys.argv[2:])
_, status, usage = os.wait4(child.pid, 0)
seconds = time.perf_counter() - begin
with open(sys.argv[1], "w") as file:
    file.write(f"{seconds} {usage.ru_maxrss / 1024} {os.waitstatus_to_exitcode(status)}")
"""


def _command(*arguments: str | Path, stdin: str = "") -> tuple[float, float, str]:
    """Seconds, peak memory [MB] and output of a command; its children are not counted in the memory."""
    environment = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    with tempfile.NamedTemporaryFile("r") as told:
        command = [sys.executable, "-c", _LAUNCH, told.name, *map(str, arguments)]
        done = subprocess.run(
            command, input=stdin, stdout=subprocess.PIPE, text=True, env=environment, check=True
        )
        seconds, memory, code = told.read().split()
    if code not in ("0", "1"):
        raise SystemExit(f"{' '.join(map(str, arguments))[:200]} ended with {code}")
    return float(seconds), float(memory), done.stdout


def _middle(act: Callable[[], float], rounds: int) -> float:
    return median(act() for _ in range(rounds))


def _timed(act: Callable[[], object]) -> float:
    begin = perf_counter()
    act()
    return perf_counter() - begin


class _Bench:
    """One size: its store, and the rivals beside it."""

    def __init__(self, folder: Path, works: Path, size: int, moment: datetime) -> None:
        self.folder, self.moment = folder, moment
        self.root = folder / "store"
        self.root.mkdir()
        data = write_fleet(works, self.root, size)
        for path in (self.root / "logbooks").iterdir():
            # as a store that was not written a moment ago
            held = path.stat().st_mtime_ns
            os.utime(path, ns=(held, held - AGED_NS))
        self.figures = Figures(size=size, data_mb=data / 1e6)
        self.tag = next(tags(1))

    def fieldlog(self, *arguments: str) -> tuple[float, float, str]:
        return _command(sys.executable, "-m", "fieldlog", "--store", self.root, *arguments)

    def rebuild(self) -> None:
        """Nothing worked out yet: the first list after a register was lost."""
        seconds, memory, told = self.fieldlog("due", "--json")
        self.rows = json.loads(told)["hoists"]
        self.figures.put("cold rebuild of the register", seconds)
        self.figures.put("peak memory of the rebuild [MB]", memory)

    def rivals(self) -> None:
        begin = perf_counter()
        self.base = make_sqlite(self.folder / "base.sqlite", self.root / "logbooks", self.rows)
        self.figures.beside["cold rebuild of the register"]["sqlite3, filled"] = perf_counter() - begin
        self.tiny = self.folder / "tiny.json" if self.figures.size <= TINYDB_MOST else None
        if self.tiny is not None:
            make_tinydb(self.tiny, self.root / "logbooks", self.rows)

    def due(self) -> None:
        """Asked again, first thing next morning, after a record was sealed, and with no row worked out."""

        def bare() -> float:
            return _command(sys.executable, "-c", "pass")[0]

        def sqlite() -> float:
            return _command(sys.executable, "-c", DUE, self.folder / "base.sqlite")[0]

        beside = {"bare start": _middle(bare, 7), "sqlite3": _middle(sqlite, 5)}
        if self.tiny is not None:
            beside["TinyDB"] = _command(sys.executable, "-c", TINYDB_DUE, self.tiny)[0]
        self.figures.put(
            "due list, asked again", _middle(lambda: self.fieldlog("due", "--json")[0], 7), **beside
        )
        self.figures.put("peak memory of the due list [MB]", self.fieldlog("due", "--json")[1])
        tomorrow = (sys.executable, "-c", TOMORROW, "--store", self.root, "due", "--json")
        self.figures.put("due list, first of the day", _middle(lambda: _command(*tomorrow)[0], 7))
        self.figures.put("due list, after a seal", _middle(self._due_after_a_seal, 7))
        for name in (FILE, SINCE):
            (self.root / name).unlink()
        self.figures.put("due list, its rows lost", self.fieldlog("due", "--json")[0])

    def _due_after_a_seal(self) -> float:
        shop, tag = open_shop(self.root), list(tags(2))[-1]
        opened = open_hoist(shop, tag)
        _, body = opened.history.inspections[-1]
        append(shop, tag, body, by=TECHNICIAN, now=self.moment, head=opened.head)
        return self.fieldlog("due", "--json")[0]

    def seal(self) -> None:
        """One inspection at the end of a logbook of 40 lines, and of one of 25 times as many."""
        shop = open_shop(self.root)
        opened = open_hoist(shop, self.tag)
        _, body = opened.history.inspections[-1]
        line = (self.root / "logbooks" / f"{self.tag}.jsonl").read_bytes().splitlines(keepends=True)[-1]
        head = opened.head

        def ours() -> None:
            nonlocal head
            entry = append(shop, self.tag, body, by=TECHNICIAN, now=self.moment, head=head, uid=new_uid())
            head = entry.line

        def bare() -> None:
            with (self.folder / "bare").open("ab", buffering=0) as file:
                file.write(line)
                os.fsync(file.fileno())

        def sqlite() -> None:
            seal_sqlite(self.base, self.tag, line.decode(), 0)

        for name in ("seal", f"seal after {LINES * 25:,} lines"):
            times = [(_timed(ours), _timed(bare), _timed(sqlite)) for _ in range(60)]
            mine, fsync, rival = (median(side) for side in zip(*times, strict=True))
            self.figures.put(name, mine, **{"write and fsync": fsync, "sqlite3": rival})
            if name == "seal":
                for _ in range(LINES * 25 - 100):
                    ours()
        if self.tiny is not None:
            _, _, told = _command(sys.executable, "-c", TINYDB_SEAL, self.tiny, stdin=line.decode())
            self.figures.beside["seal"]["TinyDB"] = float(told)

    def read(self) -> None:
        shop, tag = open_shop(self.root), list(tags(3))[-1]
        ours = _middle(lambda: _timed(lambda: open_hoist(shop, tag)), 20)
        rival = _middle(lambda: _timed(lambda: read_sqlite(self.base, tag)), 20)
        self.figures.put("read one hoist, checked", ours, **{"sqlite3, unchecked": rival})
        known = summaries(shop)
        self.figures.put(
            "search by a word",
            _middle(lambda: _timed(lambda: find_words("chlorine", known)), 5),
            sqlite3=_middle(lambda: _timed(lambda: search_sqlite(self.base, "chlorine")), 5),
        )

    def verify(self) -> None:
        files = sorted(map(str, (self.root / "logbooks").iterdir()))
        listed = "\0".join(files)
        _command("xargs", "-0", "sha256sum", stdin=listed)  # what the disk had to fetch is in memory now
        beside = _command("xargs", "-0", "sha256sum", stdin=listed)[0]
        seconds, memory, _ = self.fieldlog("verify")
        self.figures.put("verify", seconds, sha256sum=beside)
        self.figures.put("peak memory of verify [MB]", memory)


def measure(folder: Path, works: Path, size: int, moment: datetime, say: Say) -> Figures:
    """All measures at one size, in a folder of its own that is emptied at the end."""
    begin = perf_counter()
    bench = _Bench(folder, works, size, moment)
    written = perf_counter() - begin
    say(f"{size:,} hoists x {LINES} records, {bench.figures.data_mb:,.0f} MB, written in {written:.0f} s")
    for part in (bench.rebuild, bench.rivals, bench.due, bench.read, bench.verify, bench.seal):
        part()
    bench.base.close()
    return bench.figures


def _shown(name: str, value: float) -> str:
    if "[MB]" in name:
        return f"{value:,.0f} MB"
    if value >= 1:
        return f"{value:,.2f} s"
    return f"{value * 1000:,.1f} ms" if value >= 0.01 else f"{value * 1000:,.2f} ms"


def table(found: Sequence[Figures]) -> list[str]:
    """The figures as Markdown: a row a measure, a column a size, what stands beside in brackets."""
    lines = [
        "| | " + " | ".join(f"{each.size:,} x {LINES} ({each.data_mb:,.0f} MB)" for each in found) + " |"
    ]
    lines.append("| --- " * (len(found) + 1) + "|")
    for name in found[0].ours:
        cells = []
        for each in found:
            beside = ", ".join(f"{what} {_shown(name, value)}" for what, value in each.beside[name].items())
            cells.append(_shown(name, each.ours[name]) + (f" ({beside})" if beside else ""))
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return lines


def run(say: Say = print, sizes: Sequence[int] = SIZES) -> None:
    """Measure every size and say the table."""
    from fieldlog.cli.context import now

    moment, found = now(), []
    with tempfile.TemporaryDirectory(prefix="fieldlog-bench-") as name:
        works = Path(name) / "works"
        write_history(works, moment)
        for size in sizes:
            folder = Path(name) / str(size)
            folder.mkdir()
            found.append(measure(folder, works, size, moment, say))
            with suppress(OSError):
                shutil.rmtree(folder)
    say("\n".join(table(found)))


def main(sizes: Sequence[int]) -> int:
    """The sizes named, or all; stores lie where temporary files lie (TMPDIR)."""
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} processors")
    run(sizes=list(sizes) or SIZES)
    return 0
