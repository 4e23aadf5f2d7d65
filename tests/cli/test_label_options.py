"""Proves which options a kind of label has, which need each other, and that an offset may be negative."""

import pytest

from fieldlog.cli.label_options import WORDS, joined
from fieldlog.cli.parser import parse
from fieldlog.domain.label_content import FIELDS
from fieldlog.errors import InputError


def test_every_kind_of_label_can_be_asked_for():
    assert set(WORDS) == set(FIELDS)
    for kind in WORDS:
        tags = [] if kind == "proof" else ["7"]
        chosen = parse(["label", kind, *tags])
        assert (chosen.kind, chosen.offset, chosen.keep_offset) == (kind, "", False)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["label", "due"], "name at least one TAG, or choose hoists with --site or --done-on"),
        (["label", "due", "7", "--site", "hall"], "not both"),
        (["label", "tag", "7", "--done-on", "2026-11-25"], "not both"),
        (["label", "tag", "7", "--keep-offset"], "--keep-offset needs --offset and --queue"),
        (["label", "tag", "7", "--keep-offset", "--offset", "1,2"], "--keep-offset needs"),
        (["label", "tag", "7", "--keep-offset", "--queue", "bench"], "--keep-offset needs"),
        (["label", "proof", "7"], "7"),
        (["label", "proof", "--start", "2"], "--start"),
        (["label", "tag", "7", "--year-colour", "x"], "--year-colour"),
        (["label", "spare", "7", "8"], "8"),
        (["label", "spare", "--site", "hall"], "--site"),
        (["label"], "KIND"),
    ],
)
def test_options_that_do_not_go_together_are_refused(typed: list[str], told: str):
    with pytest.raises(InputError, match="--help") as refused:
        parse(typed)
    assert told in str(refused.value)


@pytest.mark.parametrize("offset", ["-1.5,2", "-1,-2", "1,-0.25", "0,0", "+1,2"])
def test_a_negative_offset_is_no_option(offset: str):
    assert parse(["label", "tag", "7", "--offset", offset]).offset == offset
    assert parse(["label", "tag", "7", f"--offset={offset}"]).offset == offset


def test_only_what_can_be_an_offset_is_tied_to_it():
    assert joined(["label", "--offset", "--queue", "x"]) == ["label", "--offset", "--queue", "x"]
    assert joined(["--offset"]) == ["--offset"]
    assert joined(["-1,2", "--offset", "-1,2", "-3,4"]) == ["-1,2", "--offset=-1,2", "-3,4"]
    with pytest.raises(InputError, match="--offset"):
        parse(["label", "tag", "7", "--offset", "--out", "x"])
