"""A hoist's tag on the screen: its code can be scanned from here where the tag itself can not be reached."""

from textual.app import ComposeResult

from fieldlog.domain.tag_id import scan_text
from fieldlog.tui.screens.drawn import DrawnPage
from fieldlog.tui.widgets.code_picture import CodePicture


class TagCodePage(DrawnPage):
    """The code of one hoist's tag."""

    def __init__(self, hoist_id: str, *, plain: bool | None = None) -> None:
        super().__init__(plain=plain)
        self.hoist_id = hoist_id

    def heading(self) -> str:
        """Which tag."""
        return f"{self.hoist_id}   tag on the screen"

    def body(self) -> ComposeResult:
        """What the code says, then the code."""
        text = scan_text(self.hoist_id)
        yield self.words(f"Scan it from here: the code says {text}.")
        yield CodePicture(text, plain=self.plain, id="code")
