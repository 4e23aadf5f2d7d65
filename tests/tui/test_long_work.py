"""Work beside the keys: they go on, a line says how far it is, Escape stops it, nothing stands half."""

import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.app import ComposeResult
from textual.widgets import Input

from fieldlog.domain.verdict import Fitness, fitness_on, summarise
from fieldlog.errors import DamagedError, RefusedError
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import append, open_hoist, open_shop
from fieldlog.operations.visiting import plan_visit
from fieldlog.tui.long_work import NOT_HALF, Job, LongWork, StoppedError
from fieldlog.tui.widgets.progress_line import ProgressLine
from tests.tui.builder import ADA, BERT, MORNING, TODAY, at_the_keys, in_terminal, ready_shop, with_hoist
from tests.tui.hands import Hands

PATIENCE_S = 20


class Gate:
    """Work that stands at 412 of 1,000 until it is let on, and says what became of it."""

    def __init__(self) -> None:
        self.reached, self.open = threading.Event(), threading.Event()
        self.ended = ""

    def __call__(self, job: Job) -> str:
        try:
            job.tell(412, 1000)
            self.reached.set()
            assert self.open.wait(PATIENCE_S)
            job.tell(413, 1000)
            self.ended = "done"
        except StoppedError:
            self.ended = "cleaned up"
            raise
        return "all looked at"


class SlowPage(LongWork):
    """A field to type in, and something long."""

    first_focus = "#words"

    def body(self) -> ComposeResult:
        yield Input(id="words")
        yield ProgressLine()


@asynccontextmanager
async def _on_the_page(root: Path) -> AsyncIterator[Hands]:
    shop = ready_shop(root)
    with_hoist(shop)
    async with at_the_keys(shop) as hands:
        hands.app.push_screen(SlowPage())
        await hands.settle()
        yield hands


async def _begin(hands: Hands, work: Any) -> None:
    hands.screen.begin(work, hands.screen.say, "hoists")
    if isinstance(work, Gate):
        await hands.until(work.reached.is_set)


def _line(hands: Hands) -> str:
    return str(hands.screen.query_one(ProgressLine).text)


@in_terminal
async def test_keys_are_handled_while_it_runs_and_its_end_is_told(tmp_path: Path) -> None:
    gate = Gate()
    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, gate)
        await hands.type("crane<backspace>k")
        assert hands.screen.query_one("#words").value == "crank"
        assert not gate.open.is_set(), "it is still running"
        await hands.until(lambda: _line(hands) != "")
        assert "[########............] 412 of 1,000 hoists   Esc stops" in hands.text()
        gate.open.set()
        await hands.until(lambda: hands.screen.job is None)
        assert hands.message() == "all looked at"
        assert _line(hands) == ""


@in_terminal
async def test_escape_stops_it_where_it_next_tells_and_a_second_one_leads_back(tmp_path: Path) -> None:
    gate = Gate()
    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, gate)
        await hands.press("escape")
        assert (hands.page, hands.message()) == ("SlowPage", "Stopping.")
        gate.open.set()
        await hands.until(lambda: hands.screen.job is None)
        assert gate.ended == "cleaned up"
        assert hands.message() == "Stopped. Nothing was written."
        await hands.press("escape")
        assert hands.page == "DueListPage"


@in_terminal
async def test_a_failure_is_told_in_its_one_sentence(tmp_path: Path) -> None:
    def refuse(_job: Job) -> str:
        raise RefusedError("the sheet is used up")

    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, refuse)
        await hands.until(lambda: hands.screen.job is None)
        assert hands.message() == "the sheet is used up"
        assert hands.screen.query_one("#message").has_class("bad")
        assert hands.page == "SlowPage"


def test_a_fault_in_the_program_is_the_apps_and_not_lost_in_the_thread(tmp_path: Path) -> None:
    @in_terminal
    async def run() -> None:
        async with _on_the_page(tmp_path) as hands:
            await _begin(hands, lambda _job: 1 // 0)
            await hands.until(lambda: False)

    with pytest.raises(ZeroDivisionError):
        run()


@in_terminal
async def test_leaving_the_page_for_a_scanned_hoist_stops_it(tmp_path: Path) -> None:
    gate = Gate()
    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, gate)
        await hands.type("FL:SW-0001-0<enter>")
        assert hands.page == "HoistPage"
        gate.open.set()
        await hands.until(lambda: gate.ended != "")
        assert gate.ended == "cleaned up"


@in_terminal
async def test_what_is_past_stopping_is_brought_to_its_end(tmp_path: Path) -> None:
    gate = Gate()

    def work(job: Job) -> str:
        job.past_stopping("labels recorded")
        return gate(job)

    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, work)
        await hands.until(gate.reached.is_set)
        await hands.press("escape")
        assert hands.message() == NOT_HALF
        await hands.until(lambda: _line(hands) != "")
        assert "Esc stops" not in _line(hands)
        hands.screen.begin(lambda _job: "other", hands.screen.say, "hoists")
        assert hands.message() == NOT_HALF, "nothing else begins"
        gate.open.set()
        await hands.until(lambda: hands.screen.job is None)
        assert (gate.ended, hands.message()) == ("done", "all looked at")


@in_terminal
async def test_work_that_was_replaced_is_stopped_and_its_end_passed_over(tmp_path: Path) -> None:
    gate = Gate()
    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, gate)
        await _begin(hands, lambda _job: "the second")
        await hands.until(lambda: hands.screen.job is None)
        assert hands.message() == "the second"
        gate.open.set()
        await hands.until(lambda: gate.ended != "")
        await hands.settle()
        assert (gate.ended, hands.message()) == ("cleaned up", "the second")


@in_terminal
async def test_telling_draws_nothing_by_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """20,000 steps are told; drawn is at most at every tick of the page's clock, ten a second."""
    shown: list[str] = []
    monkeypatch.setattr(ProgressLine, "show", lambda _line, text: shown.append(text))

    def work(job: Job) -> str:
        for done in range(20_000):
            job.tell(done, 20_000)
        return "told"

    async with _on_the_page(tmp_path) as hands:
        await _begin(hands, work)
        await hands.until(lambda: hands.screen.job is None)
    assert len(shown) < 200


def test_each_reading_of_a_logbook_asks_whether_to_go_on(tmp_path: Path) -> None:
    """So operations that tell nothing can be stopped all the same."""
    shop = ready_shop(tmp_path)
    with_hoist(shop)
    job = Job(shop, "hoists")
    assert plan_visit(job.shop, "intake hall", TODAY, days=30).jobs != ()
    assert job.stop()
    with pytest.raises(StoppedError):
        plan_visit(job.shop, "intake hall", TODAY, days=30)


def test_what_stands_against_a_logbook_stands_against_it_in_the_work_too(tmp_path: Path) -> None:
    """A withdrawal that was cut off is known to the register alone: paper must not say 'in service'."""
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    withdraw(shop, tag, {"reason": "hook bent"}, by=BERT, now=MORNING, today=TODAY)
    shop.register.refresh()
    path = tmp_path / "logbooks" / f"{tag}.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    again = open_shop(tmp_path)
    opened = open_hoist(Job(again, "hoists").shop, tag)
    assert opened.problem == open_hoist(again, tag).problem != ""
    assert fitness_on(summarise(opened.history, opened.rulebook), TODAY).fitness is Fitness.OUT_OF_SERVICE
    with pytest.raises(DamagedError, match="no longer holds the line"):
        append(Job(again, "hoists").shop, tag, opened.hoist, by=ADA, now=MORNING, head=opened.head)
