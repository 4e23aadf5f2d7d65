"""Escape is never swallowed by the key that follows it. What a key is alone, Textual itself says."""

from string import printable

import pytest
from textual._xterm_parser import XTermParser
from textual.events import Key

from fieldlog.tui.escape_keys import BEGIN_LONGER_ONES, ESCAPE, keep_escapes
from fieldlog.tui.key_queue import as_pressed

BEYOND = set("\u20ac\u00a7\u00b0\u00d7\u00a3\u2013\u00e9\u00e4\u00df\u00b5\u017e")
ONE_SIGN = {*printable, *map(chr, range(1, 0x20)), "\x7f", *BEYOND} - {ESCAPE}
KEYS_OF_THEIR_OWN = {"b": "ctrl+left", "f": "ctrl+right", "\x7f": "ctrl+w", "\t": "shift+tab"}
"""What a Mac's terminal sends for Option with an arrow (common practice, no source), and others for Alt."""


def pressed(sequence: str) -> list[tuple[str, bool, str | None]]:
    """Names of the keys, and the sign where it is one that can be typed."""
    keep_escapes()
    found = [
        key for event in XTermParser().feed(sequence) if isinstance(event, Key) for key in as_pressed(event)
    ]
    return [(key.key, key.is_printable, key.character if key.is_printable else None) for key in found]


@pytest.mark.parametrize("sign", sorted(ONE_SIGN - BEGIN_LONGER_ONES - set(KEYS_OF_THEIR_OWN)), ids=repr)
def test_escape_and_any_key_soon_after_it_are_those_two(sign: str) -> None:
    escape, *rest = pressed(ESCAPE + sign)
    assert escape == ("escape", False, None)
    assert rest == pressed(sign)
    assert len(rest) == 1


@pytest.mark.parametrize("sign", sorted(BEGIN_LONGER_ONES), ids=repr)
def test_what_begins_longer_keys_waits_for_the_rest(sign: str) -> None:
    """Nothing is made of it before Textual's waiting time is over: it may be the half of an arrow key."""
    assert pressed(ESCAPE + sign) == []


@pytest.mark.parametrize("sign", KEYS_OF_THEIR_OWN, ids=repr)
def test_what_terminals_send_for_a_key_of_its_own_stays_that_key(sign: str) -> None:
    assert [name for name, _, _ in pressed(ESCAPE + sign)] == [KEYS_OF_THEIR_OWN[sign]]


@pytest.mark.parametrize(
    ("sequence", "name"),
    [
        ("\x1bOQ", "f2"),
        ("\x1b[21~", "f10"),
        ("\x1b[A", "up"),
        ("\x1b[5~", "pageup"),
        ("\x1b[1;5D", "ctrl+left"),
    ],
)
def test_longer_keys_read_as_before(sequence: str, name: str) -> None:
    """As xterm's control sequences give them (ctlseqs, from memory)."""
    assert [found for found, _, _ in pressed(sequence)] == [name]
    assert [found for found, _, _ in pressed(ESCAPE + sequence)] == ["escape", name]
