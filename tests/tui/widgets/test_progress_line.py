"""How far something is: bar, count and things; only cells that changed are drawn again."""

import pytest
from textual.app import App, ComposeResult
from textual.geometry import Region

from fieldlog.tui.widgets.progress_line import ProgressLine, progress_words
from tests.tui.builder import in_terminal


@pytest.mark.parametrize(
    ("done", "total", "words"),
    [
        (0, 1000, "[....................] 0 of 1,000 hoists"),
        (412, 1000, "[########............] 412 of 1,000 hoists"),
        (949, 1000, "[##################..] 949 of 1,000 hoists"),
        (950, 1000, "[###################.] 950 of 1,000 hoists"),
        (1000, 1000, "[####################] 1,000 of 1,000 hoists"),
        (0, 0, "[....................] hoists"),
    ],
)
def test_the_bar_is_full_only_at_the_end(done: int, total: int, words: str) -> None:
    assert progress_words(done, total, "hoists") == words


class _Line(App[None]):
    def compose(self) -> ComposeResult:
        yield ProgressLine()


@in_terminal
async def test_only_what_changed_is_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    app = _Line()
    async with app.run_test(size=(60, 3)) as pilot:
        line = app.query_one(ProgressLine)
        line.show("[#...] 10 of 40")
        await pilot.pause()
        drawn: list[Region] = []
        monkeypatch.setattr(line, "refresh", lambda *regions: drawn.extend(regions))
        line.show("[#...] 11 of 40")
        line.show("[#...] 11 of 40")
        line.show("[##..] 20 of 40")
        assert drawn == [Region(9, 0, 1, 1), Region(3, 0, 7, 1)]
