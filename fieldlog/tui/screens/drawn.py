"""What pages with a picture share: the same in words above it, and the signs that the terminal can show."""

from textual.widgets import Label

from fieldlog.tui.page import Page


class DrawnPage(Page):
    """A page with a picture. `plain` draws in ASCII alone; None takes what this terminal is known to show."""

    AUTO_FOCUS = ""  # a picture has no place for a cursor, and the tag field is not to take it
    DEFAULT_CSS = "#picture-words { width: 100%; height: auto; max-height: 6; padding: 0 1; }"

    def __init__(self, *, plain: bool | None = None) -> None:
        super().__init__()
        self._plain = plain

    @property
    def plain(self) -> bool:
        """Whether to draw in ASCII alone."""
        return self.fieldlog.plain if self._plain is None else self._plain

    def words(self, text: str = "") -> Label:
        """The label above the picture that says the same in a sentence."""
        return Label(text, id="picture-words", markup=False)

    def show_words(self, text: str) -> None:
        """Say something else above the picture."""
        self.query_one("#picture-words", Label).update(text)
