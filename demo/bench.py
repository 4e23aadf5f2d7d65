"""How long fieldlog takes, each figure beside the barest way to do the like, measured in the same run.

`python -m demo.bench`, and `python -m demo.bench store [HOISTS ...]` for the store as it grows,
`python -m demo.bench labels` for PDFs, `python -m demo.bench tui [HOISTS ...]` for the keys; stores lie
where temporary files lie: syncing costs what that disk asks. Medians of runs that take turns, so
that a busy machine slows both sides alike.
"""

import argparse
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from statistics import median
from time import perf_counter

from msgspec import Struct

from fieldlog.domain.label_content import TAG
from fieldlog.domain.records import InspectionKind
from fieldlog.operations.assessing import assess
from fieldlog.operations.drafting import begin_inspection
from fieldlog.operations.inspecting import preview
from fieldlog.operations.paper import content as label_content
from fieldlog.operations.shop import Shop, append, new_uid, open_hoist, open_shop

from . import bench_labels, bench_store, bench_tui
from .hands import Figures, answer_items, enter_figures
from .history import TECHNICIAN, write_history

LENGTHS = ("167.00", "166.65", "166.10")
"""On a 5 x 15 chain over 11 links: 165 mm new, discard from 167.475 mm on."""
KEY = "screen-1"


class Pair(Struct, frozen=True, kw_only=True):
    """Something of fieldlog and its bare counterpart, each done once a call; `per` calls' worth in one."""

    name: str
    bare_name: str
    ours: Callable[[], object]
    bare: Callable[[], object]
    rounds: int
    per: int = 1


def _seconds(act: Callable[[], object]) -> float:
    begin = perf_counter()
    act()
    return perf_counter() - begin


def measure(pair: Pair) -> tuple[float, float]:
    """Median seconds of both sides, after one round that does not count."""
    pair.ours(), pair.bare()
    times = [(_seconds(pair.ours), _seconds(pair.bare)) for _ in range(pair.rounds)]
    ours, bare = (median(side) / pair.per for side in zip(*times, strict=True))
    return ours, bare


def _run(*arguments: str) -> None:
    # A shop's Python keeps what it has compiled, even where this one was told not to.
    environment = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, *arguments]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)


def start(store: Path) -> Pair:
    """The due list of the invented works from a cold process, beside Python that does nothing."""
    return Pair(
        name="start: fieldlog due --json, 24 hoists",
        bare_name="python -c pass",
        ours=lambda: _run("-m", "fieldlog", "--store", str(store), "due", "--json"),
        bare=lambda: _run("-c", "pass"),
        rounds=15,
    )


def _bare_append(path: Path, line: bytes) -> None:
    with path.open("ab", buffering=0) as file:
        file.write(line)
        os.fsync(file.fileno())


def seal(shop: Shop, tag: str, moment: datetime, folder: Path) -> Pair:
    """One inspection sealed at the end of a logbook, beside its bytes appended to a file and synced."""
    opened = open_hoist(shop, tag)
    _, body = opened.history.inspections[-1]
    line = (shop.root / "logbooks" / f"{tag}.jsonl").read_bytes().splitlines(keepends=True)[-1]
    head = opened.head

    def ours() -> None:
        nonlocal head
        entry = append(shop, tag, body, by=TECHNICIAN, now=moment, head=head, uid=new_uid())
        head = entry.line

    return Pair(
        name=f"seal: one inspection, {len(line) / 1000:.1f} kB",
        bare_name="write and fsync those bytes",
        ours=ours,
        bare=lambda: _bare_append(folder / "bare.jsonl", line),
        rounds=200,
    )


def _bare_verdicts(lengths: tuple[str, ...]) -> list[str]:
    """The arithmetic alone: no units, no doubt, no questions, no sources."""
    new, limit = Decimal(11 * 15), Decimal("0.015") * 11 * 15
    return ["discard" if Decimal(text) - new >= limit else "keep" for text in lengths]


def keystroke(shop: Shop, tag: str, moment: datetime) -> Pair:
    """The whole inspection judged again, as after each key, beside the bare arithmetic of its readings."""
    opened = open_hoist(shop, tag)
    kind = InspectionKind.PERIODIC
    _, content = begin_inspection(shop, opened, kind, by=TECHNICIAN, now=moment, today=moment.date())
    enter_figures(
        content, Figures(instrument="caliper-0.05", lengths=LENGTHS, d1="4.9", d2="5", throat="28.3")
    )
    answer_items(opened, content)
    ready = preview(shop, opened, content, today=moment.date())
    assert ready.body is not None, ready.problems
    return Pair(
        name="key: verdicts, questions, progress anew",
        bare_name="the same sums without a rulebook",
        ours=lambda: assess(shop, opened, content, today=moment.date()),
        bare=lambda: _bare_verdicts(LENGTHS),
        rounds=300,
    )


def labels(shop: Shop, tags: list[str], moment: datetime) -> Pair:
    """A full sheet of asset tags, beside reportlab's own widget drawing the same codes and nothing else."""
    from fieldlog.printing.labels import render
    from fieldlog.printing.templates import load_template

    template = load_template("a4-3x8-70x37")
    sheet = [label_content(shop, tag, TAG, today=moment.date()) for tag in tags]
    return Pair(
        name=f"label: an asset tag, of a sheet of {len(sheet)}",
        bare_name="its code alone by reportlab's widget",
        ours=lambda: render(sheet, template, title="tags", author=TECHNICIAN),
        bare=lambda: _bare_codes([label.code for label in sheet]),
        rounds=7,
        per=len(sheet),
    )


def _bare_codes(codes: list[str]) -> bytes:
    from io import BytesIO

    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.renderPDF import draw
    from reportlab.graphics.shapes import Drawing
    from reportlab.pdfgen.canvas import Canvas

    stream = BytesIO()
    canvas = Canvas(stream)
    for position, code in enumerate(codes):
        drawing = Drawing(60, 60)
        drawing.add(QrCodeWidget(code, barLevel="Q", barWidth=60, barHeight=60))
        draw(drawing, canvas, position % 3 * 190, position // 3 * 100)
    canvas.save()
    return stream.getvalue()


def _shown(seconds: float) -> str:
    return f"{seconds * 1000:.1f} ms" if seconds >= 0.001 else f"{seconds * 1_000_000:.0f} us"


def _line(pair: Pair) -> str:
    ours, bare = measure(pair)
    return (
        f"{pair.name:<42}{_shown(ours):>10}   {pair.bare_name:<38}{_shown(bare):>10}"
        f"{ours / bare:>9.1f} x{_shown(ours - bare) if ours > bare else '0':>12}"
    )


def run(folder: Path, moment: datetime) -> None:
    """Write the invented works into `folder` and print one line a pair."""
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} processors, {folder}")
    store = folder / "store"
    begin = perf_counter()
    tags = write_history(store, moment)
    print(f"four years of the invented works, {len(tags)} hoists, written in {perf_counter() - begin:.1f} s")
    shop = open_shop(store)
    print(f"{'fieldlog':<42}{'':>10}   {'beside':<38}{'':>10}{'ratio':>11}{'difference':>12}")
    print(_line(start(store)), flush=True)
    print(_line(seal(shop, tags[KEY], moment, folder)), flush=True)
    print(_line(keystroke(shop, tags[KEY], moment)), flush=True)
    print(_line(labels(shop, list(tags.values()), moment)), flush=True)


def main(arguments: list[str]) -> int:
    """Run one of the benches; what each measures stands at the top of this file."""
    from fieldlog.cli.context import now

    parser = argparse.ArgumentParser(prog="python -m demo.bench", description=__doc__)
    parser.add_argument("what", nargs="?", default="day", choices=("day", "store", "labels", "tui"))
    parser.add_argument("sizes", nargs="*", type=int, metavar="HOISTS", help="sizes of store and tui")
    parser.add_argument("--in", dest="parent", metavar="DIR", help="where the day's stores lie for a while")
    chosen = parser.parse_args(arguments)
    if chosen.what == "store":
        return bench_store.main(chosen.sizes)
    if chosen.what == "tui":
        return bench_tui.main(chosen.sizes)
    if chosen.what == "labels":
        bench_labels.run(print)
        return 0
    with tempfile.TemporaryDirectory(prefix="fieldlog-bench-", dir=chosen.parent) as name:
        run(Path(name), now())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
