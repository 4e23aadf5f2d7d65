"""The two sides of the bench of the keys: fieldlog on a store, and a bare Textual app on the same rows."""

import json
import os
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from random import Random

from fieldlog.domain.records import InspectionKind
from fieldlog.operations.drafting import begin_inspection, save_inspection
from fieldlog.operations.shop import open_hoist, open_shop

from .bench_fleet import chained, tags
from .bench_terminal import Window
from .history import TECHNICIAN

AGED_NS = 10**10
BARE = """
import json, sys
from textual.app import App
from textual.widgets import DataTable, Input

with open(sys.argv[1]) as file:
    rows = json.load(file)


class Bare(App):
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = [("ctrl+q", "quit", "Leave")]

    def compose(self):
        yield Input()
        yield DataTable(cursor_type="row")

    def on_mount(self):
        self.query_one(Input).cursor_blink = False
        table = self.query_one(DataTable)
        table.add_columns("Due", "Left", "Inspection", "Tag", "Where", "State")
        table.add_rows(rows)
        self.query_one(DataTable if sys.argv[2] == "list" else Input).focus()

    def on_input_changed(self, event):
        if sys.argv[2] == "find":
            words = event.value.lower().split()
            table = self.query_one(DataTable)
            table.clear()
            table.add_rows(row for row in rows if all(word in " ".join(row).lower() for word in words))


Bare().run(mouse=False)
"""


def short(lines: list[bytes]) -> list[bytes]:
    """What a hoist's dues follow from: its registration, first and last look at the whole, last line."""
    whole = [
        line for line in lines if b'"kind":"inspection"' in line and b'"occasion":"frequent"' not in line
    ]
    kept = [lines[0], whole[0], whole[-1], lines[-1]]
    return list(dict.fromkeys(kept))


def write_short_fleet(works: Path, root: Path, count: int) -> None:
    """A store at `root` with `count` hoists of a few lines each, made from the store `works`."""
    (root / "logbooks").mkdir(parents=True, mode=0o700)
    (root / "shop").mkdir()
    for path in (works / "shop").iterdir():
        (root / "shop" / path.name).write_bytes(path.read_bytes())
    sources = []
    for path in sorted((works / "logbooks").glob("*.jsonl")):
        sources.append((path.stem, short(path.read_bytes().splitlines(keepends=True))))
    chance = Random("Saltmarsh")
    for place, tag in enumerate(tags(count)):
        old_tag, lines = sources[place % len(sources)]
        path = root / "logbooks" / f"{tag}.jsonl"
        path.write_bytes(chained(lines, old_tag, tag, chance))
        held = path.stat().st_mtime_ns - AGED_NS  # as a store that was not written a moment ago
        os.utime(path, ns=(held, held))


def _due(store: Path) -> list[list[str]]:
    """The rows of the due list as texts; the register is worked out on the way."""
    command = [sys.executable, "-m", "fieldlog", "--store", str(store), "due", "--json"]
    told = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=False).stdout
    return [
        [
            str(row["due_on"] or ""),
            f"{row['days']} d",
            str(row["kind"]),
            str(row["id"]),
            f"{row['site']}, {row['place']}  {row['name']}",
            str(row["fitness"]),
        ]
        for row in json.loads(told)["hoists"]
    ]


class Sides:
    """Both programs on the same rows; `first` is the tag on top of the due list, `measured` has
    work in hand.
    """

    def __init__(self, folder: Path, works: Path, count: int, moment: datetime) -> None:
        self.store, self.rows = folder / "store", folder / "rows.json"
        write_short_fleet(works, self.store, count)
        rows = _due(self.store)
        self.rows.write_text(json.dumps(rows), encoding="utf-8")
        self.first = rows[0][3]
        self.measured = self._prepare(moment)

    def _prepare(self, moment: datetime) -> str:
        """An inspection left open with its instrument chosen, so that the cursor begins at a figure."""
        shop = open_shop(self.store)
        tag = next(tags(1))
        opened = open_hoist(shop, tag)
        kind = InspectionKind.FREQUENT
        draft, content = begin_inspection(shop, opened, kind, by=TECHNICIAN, now=moment, today=moment.date())
        content.instrument, content.links = "caliper-0.05", "11"
        save_inspection(shop, draft, content, now=moment)
        return tag

    def ours(self) -> Window:
        """fieldlog on the store."""
        return Window([sys.executable, "-m", "fieldlog", "--store", str(self.store), "--as", TECHNICIAN])

    def bare(self, use: str) -> Window:
        """The bare app; `use` is list, find or reading."""
        return Window([sys.executable, "-c", BARE, str(self.rows), use])
