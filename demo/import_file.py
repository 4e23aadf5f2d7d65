"""Writes import_300.csv: a spreadsheet of 300 invented hoists as a works may keep it, with 12 faults planted.

Run `python -m demo.import_file` to write it anew; the same seed gives the same bytes. What was planted stands
in PLANTED, so that a test can look for each by row and column.
"""

import csv
import io
from pathlib import Path
from random import Random

from msgspec import Struct

SEED = 300
HOISTS = 300
FILE = Path(__file__).with_name("import_300.csv")
HEADINGS = (
    *(
        "Inventory no.",
        "Manufacturer",
        "Type",
        "Serial no.",
        "Year",
        "Drive",
        "WLL",
        "Falls",
        "Lift (m)",
        "Chain",
    ),
    *("Grade", "Site", "Place", "Last inspection", "Last reading (mm)", "Remarks"),
)
SITES = ("intake hall", "filter house", "sludge press", "chlorine store", "workshop")
MAKERS = (("Fenwright", "Heron", "FW"), ("Brackenhaul", "Teal", "BH"), ("Tidebarrow", "Plover", "TB"))
# capacity as plates and lists tell it, chain size, nominal length over 11 links [mm]
SIZES = (
    ("250 kg", "4x12", 132),
    ("500kg", "5x15", 165),
    ("1 t", "7x21", 231),
    ("1,6 t", "9x27", 297),
    ("2 t", "11x31", 341),
)


class Planted(Struct, frozen=True, kw_only=True):
    """A fault put into the file: its row (headings are row 1), heading, text, and a word of what is told."""

    row: int
    heading: str
    text: str
    word: str


PLANTED = (
    Planted(row=14, heading="Year", text="2041", word="out of range"),
    Planted(row=37, heading="WLL", text="1 ton", word="short ton"),
    Planted(row=52, heading="Serial no.", text="", word="missing"),
    Planted(row=68, heading="Chain", text="21x7", word="diameter first"),
    Planted(row=91, heading="Drive", text="steam", word="none of electric"),
    Planted(row=117, heading="Last inspection", text="31.02.2026", word="not a day"),
    Planted(row=140, heading="Lift (m)", text="six", word="not a number"),
    Planted(row=166, heading="WLL", text="1.000 kg", word="thousands"),
    Planted(row=189, heading="Serial no.", text="= row 20", word="row 20"),
    Planted(row=214, heading="Site", text="", word="missing"),
    Planted(row=250, heading="Last inspection", text="03.05.2031", word="future"),
    Planted(row=283, heading="Last reading (mm)", text="-165,4", word="negative"),
)


def rows(*, faulty: bool = True) -> list[list[str]]:
    """Headings and 300 rows; without the faults where they are not wanted."""
    random = Random(SEED)
    table = [list(HEADINGS), *(_row(random, number) for number in range(1, HOISTS + 1))]
    for fault in PLANTED if faulty else ():
        column = HEADINGS.index(fault.heading)
        text = fault.text
        if text.startswith("= row "):
            text = table[int(text.removeprefix("= row ")) - 1][column]
            table[fault.row - 1][1] = table[19][1]
        table[fault.row - 1][column] = text
    return table


def _row(random: Random, number: int) -> list[str]:
    maker, model, letters = random.choice(MAKERS)
    capacity, chain, length = random.choice(SIZES)
    drive = random.choices(("electric", "air", "hand"), (7, 1, 4))[0]
    inspected = f"{random.randint(1, 28):02}.{random.randint(1, 10):02}.2026" if random.random() < 0.9 else ""
    grown = length * (1 + random.uniform(0.0005, 0.012))
    reading = f"{grown:.1f}".replace(".", ",") if inspected and random.random() < 0.7 else ""
    return [
        "",
        maker,
        f"{model} {capacity.split()[0]}",
        f"{letters}-{4000 + number}",
        str(random.randint(1995, 2024)),
        drive,
        capacity,
        random.choices(("1", "2"), (4, 1))[0],
        str(random.choice((3, 4, 6, 8))),
        chain,
        "V" if drive == "hand" else "T",
        random.choice(SITES),
        f"bay {random.randint(1, 40)}",
        inspected,
        reading,
        random.choice(("", "", "", "key with the porter", "lamp is out; ladder needed")),
    ]


def table_bytes(*, faulty: bool = True) -> bytes:
    """The file as a spreadsheet of a desk in Central Europe saves it: semicolons, Windows-1252, CR LF."""
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=";", lineterminator="\r\n").writerows(rows(faulty=faulty))
    return file.getvalue().encode("cp1252")


if __name__ == "__main__":
    FILE.write_bytes(table_bytes())
    print(f"{FILE}: {HOISTS} hoists, {len(PLANTED)} planted faults")
