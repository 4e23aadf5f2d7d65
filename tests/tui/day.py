"""The working day of the README in a real terminal, key by key, for whatever line leads to the program."""

from pathlib import Path

from tests.tui.terminal import CTRL_U, ESCAPE, F2, F3, F10, Terminal

TAG = "SW-0001-0"
PLATE = "nFenwright\rLC 500\r4711\r2019\relectric\r500\r\r6\r5x15\rT\r"
REST = "\r\r\r\r\r30\r\r\r\r\r\r\rintake hall\rbay 2"
MANY = 80  # more than the checklist has items: a measured one refuses the rest
READINGS = ["165,4", "6.52 in", "165.9"]


def set_up(window: Terminal) -> None:
    """First start: the shop, and Ada Fenn at the keys."""
    window.until("first start", "At the keys")
    window.type(f"Saltmarsh Hoist Service\rsw\r\r{CTRL_U}Ada Fenn{F10}")
    window.until("No hoist yet: press n for a new one.")


def register(window: Terminal) -> None:
    """A hoist by its plate, and back to the list."""
    window.type(PLATE + REST + F10)
    window.until(f"Registered as {TAG}", "OUT OF SERVICE")
    window.type(ESCAPE)
    window.until("due list", "first use")


def find(window: Terminal) -> None:
    """A mistyped tag is refused, the right one opens."""
    window.type(f"{F2}SW-0001-7\r")
    window.until("check the last character", f"Near: {TAG}")
    window.type("sw00010\r")
    window.until("not in use yet: the inspection before first use is missing")


def inspect(window: Terminal) -> None:
    """Every item ok; 167.475 mm is 1.5 % over 165 mm (DOE-STD-1090-96, chapter 8)."""
    window.type("i\r")
    window.until("0 of 67 answered")
    window.type("o" * MANY)
    window.until("This item asks for figures")
    window.type(f"m31{F10}" + "o" * MANY)
    window.until("Load chain", "This item asks for figures")
    window.type(f"m{F3 * 4}\r\r\r{READINGS[0]}\r{READINGS[1]}\r180")
    window.until("? QUESTIONED", "looks like 12 links, not 11")
    window.type(f"{CTRL_U}{READINGS[2]}")
    window.until("+ KEEP", "Limit 167.475 mm", "DOE-STD-1090-96", "spread 0.5 mm")
    window.type(f"{F10}m4.9\r5{F10}" + "o" * MANY)
    window.until("67 of 67 answered")


def seal(window: Terminal) -> str:
    """Seal it; gives back the hoist's page."""
    window.type(F10)
    window.until("Afterwards     + in service", "F10 seals it under the name of Ada Fenn.")
    window.rest()  # a key that comes before the page could be read does not seal
    window.type(F10)
    return window.until("Sealed. p prints the due sticker.", "36.4 % grown 0.9 of 2.475 mm")


def print_labels(window: Terminal, folder: Path) -> None:
    """Asset tag and due sticker, into the folder in which the program runs."""
    for kind in ("tag", "due"):
        window.type("p")
        window.until("Sheet or roll")
        window.type(f"{CTRL_U}{kind}{F10}")
        window.until(f"Written to {TAG}-{kind}.pdf.")
        assert (folder / f"{TAG}-{kind}.pdf").read_bytes().startswith(b"%PDF")


def work_a_day(window: Terminal, folder: Path) -> str:
    """From first start to the printed sticker; gives back the hoist's page as it stood once sealed."""
    set_up(window)
    register(window)
    find(window)
    inspect(window)
    page = seal(window)
    print_labels(window, folder)
    return page
