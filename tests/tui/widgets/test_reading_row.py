"""One place of the chain: what stands beside the figure in each state of it."""

from decimal import Decimal
from typing import Any

from textual.app import App, ComposeResult
from textual.widgets import Input, Label

from fieldlog.domain.chain import ChainVerdict, judge_reading
from fieldlog.domain.records import Basis, ChainReading, ChainSize, Drive
from fieldlog.operations.assessing import ReadingView
from fieldlog.operations.drafting import ReadingDraft
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.tui.widgets.reading_row import ReadingRow
from tests.tui.builder import in_terminal

CHAIN = ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15), grade="T")


def _verdict(value: str | None = None, *, touch: bool | None = None) -> ChainVerdict:
    basis = Basis.INSIDE if touch is None else Basis.GAUGE
    reading = ChainReading(
        place="hook end",
        links=11,
        basis=basis,
        value_mm=None if value is None else Decimal(value),
        both_ends_touch=touch,
    )
    return judge_reading(reading, CHAIN, load_rulebook("general"), Drive.ELECTRIC)


class _OneRow(App[None]):
    def __init__(self) -> None:
        super().__init__()
        self.row = ReadingRow(0, ReadingDraft(place="hook end"))
        self.edits = 0

    def compose(self) -> ComposeResult:
        yield self.row

    def on_reading_row_edited(self) -> None:
        self.edits += 1


@in_terminal
async def test_what_stands_beside_a_figure() -> None:
    """165 mm new, 2.475 mm allowed: 1.5 % longer is discard (DOE-STD-1090-96, chapter 8)."""
    app = _OneRow()
    last = Decimal("165.3")
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.pause()
        says = app.row.query_one(".place-says", Label)

        def shown(**view: Any) -> tuple[str, set[str]]:
            app.row.show(ReadingView(place="hook end", **view))
            return str(says.content), {name for name in ("good", "caution", "bad") if says.has_class(name)}

        assert shown() == ("", set())
        assert shown(last_mm=last) == ("last time 165.3", set())
        assert shown(problem="the reading 'x' is no length") == ("the reading 'x' is no length", {"bad"})
        text, tones = shown(verdict=_verdict("165.4"), last_mm=last)
        assert text.startswith("+ keep")
        assert "+0.40 mm" in text
        assert text.endswith("last 165.3")
        assert tones == {"good"}
        assert shown(verdict=_verdict("167.1"))[0].startswith("! watch")
        text, tones = shown(verdict=_verdict("167.475"))
        assert text.startswith("X discard")
        assert tones == {"bad"}
        assert shown(verdict=_verdict("180"), questions=("count again",)) == ("? count again", {"caution"})
        assert shown(verdict=_verdict(touch=True)) == ("X discard", {"bad"})
        assert shown(verdict=_verdict(touch=False)) == ("+ keep", {"good"})


@in_terminal
async def test_typing_a_figure_or_a_name_is_told_at_every_key() -> None:
    app = _OneRow()
    async with app.run_test(size=(80, 3)) as pilot:
        app.row.value.focus()
        await pilot.pause()
        await pilot.press("1", "6")
        assert app.edits == 2
        app.row.name_field.focus()
        await pilot.pause()
        await pilot.press("x")
        assert (app.edits, app.row.name_field.value) == (3, "x")
        assert not any(field.cursor_blink for field in app.row.query(Input))
