"""Putting another text into a line without laying the whole screen out anew, which costs most of a key."""

from textual.content import Content
from textual.widgets import Label


def put(line: Label, text: str) -> None:
    """Show `text` instead of what stands there.

    The screen is laid out anew only if that needs more or less room. For lines of a fixed width.
    """
    if str(line.content) == text:
        return
    line.update(Content(text), layout=_height(line, str(line.content)) != _height(line, text))


def _height(line: Label, text: str) -> int:
    width = line.content_size.width
    return Content(text).get_height({}, width) if text and width else 0
