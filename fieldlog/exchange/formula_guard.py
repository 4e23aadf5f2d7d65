"""Keeps cells from starting a formula when a table is opened in a spreadsheet, and takes the guard off again.

A text whose first visible character begins a formula somewhere gets an apostrophe before it; so does one
inside a text where a spreadsheet told of another separator would see a cell begin. Both are undone on the way
in, whatever stood there. The characters: OWASP, CSV injection (from memory), with their full-width forms.
"""

import re
from functools import cache

STARTERS = "=+\\-@\t\r\n|%＝＋－＠"
_OTHERS = {",": ";\t\r\n", ";": ",\t\r\n", "\t": ",;\r\n"}


@cache
def _cell_starts(separator: str) -> re.Pattern[str]:
    return re.compile(rf"(^|[{_OTHERS[separator]}])(?=['\"\s]*[{STARTERS}])")


@cache
def _guarded_starts(separator: str) -> re.Pattern[str]:
    return re.compile(rf"(^|[{_OTHERS[separator]}])'(?=['\"\s]*[{STARTERS}])")


def guard(text: str, separator: str) -> str:
    """The text as it may stand in a table with this separator. Example: '=1+1' becomes "'=1+1"."""
    return _cell_starts(separator).sub(r"\1'", text)


def unguard(text: str, separator: str) -> str:
    """The text that `guard` was given."""
    return _guarded_starts(separator).sub(r"\1", text)
