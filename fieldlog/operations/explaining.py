"""A sealed line in words: everything it holds, in the order a reader asks for it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fieldlog.domain.records import Entry
from fieldlog.store.codec import plain

INDENT = "   "


def _words(value: Any) -> str:
    if value is None or value in ("", [], {}):
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(_words(part) for part in value)
    return str(value)


def _lines(name: str, value: Any, depth: int) -> Iterator[str]:
    pad = INDENT * depth
    if isinstance(value, Mapping) and value:
        yield f"{pad}{name}:"
        for key, part in value.items():
            yield from _lines(str(key), part, depth + 1)
    elif isinstance(value, Sequence) and not isinstance(value, str) and value:
        yield f"{pad}{name}:"
        for part in value:
            yield f"{pad}{INDENT}- {_one_line(part)}"
    else:
        yield f"{pad}{name}: {_words(value)}"


def _one_line(part: Any) -> str:
    if isinstance(part, Mapping):
        return ", ".join(f"{key} {_words(value)}" for key, value in part.items() if _words(value) != "-")
    return _words(part)


def line_words(entry: Entry) -> list[str]:
    """The whole line for people, with the hashes that tie it into the logbook."""
    lines = [
        f"{entry.body.kind}, sealed by {entry.by} at {entry.at.isoformat()}",
        f"line {entry.number}, version {entry.v}",
        f"this line    {entry.line}",
        f"line before  {entry.prev}",
        "",
    ]
    data = plain(entry.body)
    for name, value in data.items():
        lines.extend(_lines(name, value, 0))
    return lines
