"""One field of a form: hint, problem, choices, and that what nobody typed is not told as typed."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import Input, Label

from fieldlog.operations.entering import Field, read_choice, read_whole
from fieldlog.tui.widgets.form_row import FormRow
from tests.tui.builder import in_terminal

DRIVES = ("electric", "air", "hand")
DRIVE = Field(name="drive", label="Drive", read=read_choice("the drive", DRIVES), choices=DRIVES)
FALLS = Field(
    name="falls", label="Falls", read=read_whole("falls", 1, 12), unit="x", hint="strands", required=False
)


class _OneRow(App[None]):
    def __init__(self, field: Field, text: str) -> None:
        super().__init__()
        self.row = FormRow(field, text)
        self.edits: list[tuple[str, str]] = []

    def compose(self) -> ComposeResult:
        yield self.row

    def on_form_row_edited(self, event: FormRow.Edited) -> None:
        self.edits.append((event.name, event.text))


@asynccontextmanager
async def _shown(field: Field, text: str = "") -> AsyncIterator[tuple[_OneRow, FormRow, Pilot[None]]]:
    app = _OneRow(field, text)
    async with app.run_test(size=(80, 4)) as pilot:
        await pilot.pause()
        app.row.query_one(Input).focus()
        await pilot.pause()
        yield app, app.row, pilot


def _labels(row: FormRow) -> list[str]:
    return [str(label.content) for label in row.query(Label)]


@in_terminal
async def test_label_unit_and_hint_and_a_star_where_it_must_be_filled_in() -> None:
    async with _shown(FALLS) as (_, row, _pilot):
        assert _labels(row) == ["Falls ", "x", "strands"]
    async with _shown(DRIVE) as (_, row, _pilot):
        assert _labels(row) == ["Drive*", "", "electric / air / hand"]


@in_terminal
async def test_every_key_is_told_and_checked() -> None:
    async with _shown(FALLS) as (app, row, pilot):
        await pilot.press("1", "3")
        assert app.edits == [("falls", "1"), ("falls", "13")]
        assert row.problem == row.sentence == _labels(row)[-1]
        assert "from 1 to 12" in row.problem
        await pilot.press("backspace")
        assert (row.problem, row.sentence) == ("", "strands")


@in_terminal
async def test_wrong_text_of_a_kept_draft_is_shown_as_wrong_from_the_start() -> None:
    async with _shown(FALLS, "99") as (app, row, _):
        assert "from 1 to 12" in row.problem
        assert app.edits == []


@in_terminal
async def test_a_clear_beginning_is_completed_once_without_being_told_as_typed() -> None:
    async with _shown(DRIVE) as (app, row, pilot):
        await pilot.press("h")
        assert row.complete() is True
        assert row.complete() is False
        await pilot.pause()
        assert (row.text, app.edits) == ("hand", [("drive", "h")])


@in_terminal
async def test_what_is_not_clear_is_left_as_typed() -> None:
    async with _shown(DRIVE) as (_, row, pilot):
        assert row.complete() is False
        await pilot.press("s")
        assert row.complete() is False
        assert row.text == "s"
        row.show_problem("say it otherwise")
        assert row.sentence == "say it otherwise"


@in_terminal
async def test_choices_go_round_both_ways() -> None:
    async with _shown(DRIVE) as (app, row, pilot):
        for step, drive in ((1, "electric"), (1, "air"), (-1, "electric"), (-1, "hand"), (1, "electric")):
            row.step_choice(step)
            assert row.text == drive
        await pilot.pause()
        assert app.edits[-1] == ("drive", "electric")
    async with _shown(FALLS, "2") as (_, row, _pilot):
        row.step_choice(1)
        assert row.text == "2"
