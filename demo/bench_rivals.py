"""The same work by the standard library's sqlite3 and by plain TinyDB, as the store's bench sets beside it.

sqlite3: one table with a row a record, indexed by hoist, and one with a row a hoist for the lists;
synchronous=FULL. TinyDB: its own JSON file, run in a process of its own, and only where it still ends within
minutes.
"""

import json
import sqlite3
from collections.abc import Iterable
from pathlib import Path

DUE = """
import json, sqlite3, sys
base = sqlite3.connect(sys.argv[1])
rows = base.execute("select row from hoists order by due_on, id")
sys.stdout.write('{"hoists":[' + ','.join(row for (row,) in rows) + ']}')
"""
TINYDB_DUE = """
import json, sys
from tinydb import TinyDB
rows = sorted(TinyDB(sys.argv[1]).table('hoists').all(), key=lambda row: (row['due_on'] or '9', row['id']))
json.dump({'hoists': rows}, sys.stdout)
"""
TINYDB_SEAL = """
import sys, time, json
from tinydb import TinyDB
table = TinyDB(sys.argv[1]).table('records')
record = json.loads(sys.stdin.read())
begin = time.perf_counter()
table.insert(record)
print(time.perf_counter() - begin)
"""


def make_sqlite(path: Path, logbooks: Path, rows: Iterable[dict[str, object]]) -> sqlite3.Connection:
    """The records of all logbooks and a row a hoist in one database."""
    base = sqlite3.connect(path, isolation_level=None)
    base.execute("pragma synchronous=FULL")
    base.execute("create table records (id integer primary key, hoist text, number integer, line text)")
    base.execute("create table hoists (id text primary key, due_on text, words text, row text)")
    base.execute("begin")
    for file in logbooks.iterdir():
        lines = enumerate(file.read_text(encoding="utf-8").splitlines(), start=1)
        base.executemany(
            "insert into records (hoist, number, line) values (?, ?, ?)",
            ((file.stem, number, line) for number, line in lines),
        )
    base.executemany(
        "insert into hoists values (?, ?, ?, ?)",
        (
            (
                row["id"],
                row["due_on"],
                f"{row['name']} {row['site']}".lower(),
                json.dumps(row, ensure_ascii=False),
            )
            for row in rows
        ),
    )
    base.execute("create index by_hoist on records (hoist, number)")
    base.execute("create index by_day on hoists (due_on)")
    base.execute("commit")
    return base


def seal_sqlite(base: sqlite3.Connection, hoist: str, line: str, number: int) -> None:
    """One record in a transaction of its own."""
    base.execute("insert into records (hoist, number, line) values (?, ?, ?)", (hoist, number, line))


def read_sqlite(base: sqlite3.Connection, hoist: str) -> list[object]:
    """The records of a hoist as plain JSON values."""
    rows = base.execute("select line from records where hoist = ? order by number", (hoist,))
    return [json.loads(line) for (line,) in rows]


def search_sqlite(base: sqlite3.Connection, word: str) -> list[str]:
    """The hoists in whose words this one occurs."""
    return [name for (name,) in base.execute("select id from hoists where words like ?", (f"%{word}%",))]


def make_tinydb(path: Path, logbooks: Path, rows: Iterable[dict[str, object]]) -> None:
    """The file as TinyDB's JSONStorage keeps it, written in one go."""
    lines = (line for file in logbooks.iterdir() for line in file.read_bytes().splitlines())
    records = {str(number): json.loads(line) for number, line in enumerate(lines, start=1)}
    hoists = {str(number): row for number, row in enumerate(rows, start=1)}
    path.write_text(json.dumps({"records": records, "hoists": hoists}), encoding="utf-8")
