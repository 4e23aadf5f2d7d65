"""Only what fieldlog writes may stand in a backup; the list of what is missing reads as it was written."""

import pytest

from fieldlog.errors import InputError
from fieldlog.store.backup_names import is_logbook, may_stand, missing_text, parse_missing
from tests.store.samples import HOIST


@pytest.mark.parametrize(
    ("name", "may"),
    [
        (f"logbooks/{HOIST}.jsonl", True),
        (f"logbooks/{HOIST}.jsonl.torn", True),
        ("shop/people.jsonl", True),
        ("shop/people.jsonl.torn", True),
        ("allowed_signers", True),
        ("revoked_keys", True),
        ("label_templates/ours.toml", True),
        ("rulebook/ours.toml", True),
        ("SHA256SUMS", True),
        ("heads.txt", True),
        ("missing.txt", True),
        ("../people.jsonl", False),
        ("/etc/passwd", False),
        (f"logbooks/../{HOIST}.jsonl", False),
        (f"logbooks/{HOIST}.jsonl\n", False),
        (f"logbooks/{HOIST}.jsonl/", False),
        (f"logbooks\\{HOIST}.jsonl", False),
        (f"logbooks/{HOIST}.torn", False),
        (f"logbooks/{HOIST}.jsonl.torn.torn", False),
        (f"logbooks/../{HOIST}.jsonl.torn", False),
        (f"logbooks/{HOIST}.jsonl.torn\n", False),
        (".torn", False),
        ("allowed_signers.torn", False),
        ("rulebook/ours.toml.torn", False),
        ("shop/strangers.jsonl", False),
        ("shop/strangers.jsonl.torn", False),
        ("label_templates/../x.toml", False),
        ("label_templates/.toml", False),
        ("register.json", False),
        ("locks/people.lock", False),
        ("", False),
    ],
)
def test_only_what_fieldlog_writes_may_stand_in_it(name: str, may: bool) -> None:
    assert may_stand(name) == may


def test_a_torn_piece_is_no_logbook() -> None:
    names = (
        f"logbooks/{HOIST}.jsonl",
        "shop/people.jsonl",
        f"logbooks/{HOIST}.jsonl.torn",
        "rulebook/a.toml",
    )
    assert [is_logbook(name) for name in names] == [True, True, False, False]


def test_what_is_missing_is_read_again() -> None:
    missing = {f"logbooks/{HOIST}.jsonl": "Permission denied", "rulebook/a: b.toml": "Input/output error"}
    text = missing_text(missing)
    assert parse_missing(text, "missing.txt") == missing
    assert text.splitlines()[1] == f"logbooks/{HOIST}.jsonl: Permission denied"


def test_a_name_with_anything_in_it_stays_on_its_line() -> None:
    text = missing_text({"rulebook/\n\x1b[2J\udcff.toml": "no name for a backup"})
    assert text.splitlines()[1:] == ["rulebook/??[2J?.toml: no name for a backup"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "missing.txt is no list of what is missing"),
        ("spoilt\n", "missing.txt is no list of what is missing"),
        (missing_text({}) + "shop/people.jsonl\n", "missing.txt line 2 does not say"),
        (missing_text({"a": "b"}) + "\n", "missing.txt line 3 does not say"),
        (missing_text({"a": "b"}) + "a\x1b[2J: b\n", "missing.txt line 3 does not say"),
    ],
)
def test_a_list_that_was_changed_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        parse_missing(text, "missing.txt")
