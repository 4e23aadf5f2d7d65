"""Every subject file has its shapes, and no source or entry lies idle."""

from fieldlog.rulebook.faults import Faults
from fieldlog.rulebook.loader import DATA, load_all
from fieldlog.rulebook.shape import Entries
from fieldlog.rulebook.shelf import read_shelf
from fieldlog.rulebook.subjects import subjects


def test_files_and_shapes_match() -> None:
    files = {path.stem for path in DATA.glob("*.toml")}
    folders = {path.parent.name for path in DATA.glob("*/*.toml")}
    known = set(subjects(Entries())) | {"sources", "sections", "checklist", "rulebooks"}
    assert files | folders == known
    assert not files & folders


def test_every_entry_is_named_by_a_rulebook_or_shared_by_all() -> None:
    shelf = read_shelf(DATA, Faults())
    books = load_all().values()
    used = {
        "elongation": {rule.id for book in books for rule in book.elongation},
        "load_test": {rule.id for book in books for rule in book.load_tests},
        "interval": {rule.id for book in books for rule in book.intervals},
        "idle": {rule.id for book in books for rule in book.idle},
        "particular": {rule.id for book in books for rule in book.particulars},
        "retention": {rule.id for book in books for rule in book.retention},
        "sticker": {book.sticker.id for book in books if book.sticker},
    }
    for table, names in used.items():
        assert set(shelf.entries[table]) == names, table


def test_no_source_lies_idle() -> None:
    text = "".join(path.read_text("utf-8") for path in DATA.rglob("*.toml") if path.parent.name != "sources")
    sources = read_shelf(DATA, Faults()).entries["source"]
    assert [name for name in sources if f"'{name}'" not in text] == []
