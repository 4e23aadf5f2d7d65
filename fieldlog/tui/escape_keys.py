"""Escape and the key pressed soon after it are two keys, which Textual does not know of all of them.

Escape is also the first byte of longer keys. Of Escape and Enter, Space or a sign that come within its
waiting time Textual keeps the second one alone, so that a form that was to be left is taken; of Escape and a
digit it makes another sign, of 5 infinity. This reaches into its table of sequences, hence the exact pin.
"""

from collections.abc import Iterator
from string import printable
from typing import Any, NamedTuple

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual.keys import Keys

ESCAPE = "\x1b"
BEGIN_LONGER_ONES = frozenset("NOPX[\\]^_")
"""What a terminal goes on with after Escape in keys and answers of its own (ECMA-48, C1 in 7 bits).

Of Escape and one of the five signs among them the sign alone comes through; capitals come as with Alt.
"""
OTHER_SIGNS = "".join(map(chr, range(0xA0, 0x180))) + "\u2013\u2014\u20ac"
"""Latin letters and signs beyond ASCII that keyboards have, the dashes and the euro."""


class _Sign(NamedTuple):
    """Stands where Textual has one of its Keys, which are not named for every sign."""

    value: str


def keep_escapes() -> None:
    """From now on the terminal's keys are read so.

    Pairs that terminals send for a key of their own keep their meaning: b and f (a word to the left, to the
    right), Backspace (a word away) and Tab.
    """
    table: dict[str, Any] = ANSI_SEQUENCES_KEYS  # type: ignore[assignment]
    for sign, key in list(_keys_alone()):
        if not isinstance(table.get(ESCAPE + sign), tuple):
            table[ESCAPE + sign] = (Keys.Escape, key)


def _keys_alone() -> Iterator[tuple[str, Keys | _Sign]]:
    """Every key of one sign but Escape."""
    for sign in {*printable, *OTHER_SIGNS} - BEGIN_LONGER_ONES:
        if sign.isprintable():
            yield sign, _Sign(sign)
    for sign, keys in ANSI_SEQUENCES_KEYS.items():
        if len(sign) == 1 and sign != ESCAPE and not sign.isprintable() and isinstance(keys, tuple):
            yield sign, keys[0]
