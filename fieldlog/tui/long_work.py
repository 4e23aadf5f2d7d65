"""Something long done off the event loop: keys go on, a line says how far it is, Escape stops it.

The work runs in a thread. It may be stopped wherever it tells how far it is or reads a logbook, so that
operations need not know of threads; what they hold open they close as for any other fault.
"""

import threading
from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

from msgspec.structs import replace
from textual.timer import Timer
from textual.worker import Worker, WorkerState

from fieldlog.errors import FieldlogError
from fieldlog.operations.shop import Shop
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import Logbook
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.progress_line import ProgressLine, progress_words
from fieldlog.tui.widgets.tag_bar import TagBar

Result = TypeVar("Result")
EVERY_S = 0.1
STOPS, LEAVES = "Esc stops", "Esc leaves"
NOT_HALF = "It is being recorded, which is not broken off half-way."


class StoppedError(Exception):
    """Raised inside the work once it was asked to stop. It is no fault, so nothing takes it for one."""


class Job:
    """What work in a thread tells of itself, and where it asks whether to go on.

    `shop` is the open store for the work: each reading of a logbook asks as well.
    """

    def __init__(self, shop: Shop, things: str, escape: str = STOPS) -> None:
        self.escape = escape
        self.shop = replace(shop, logbooks=_AskingLogbooks(shop.logbooks, self.go_on))
        self.state = (0, 0, things)
        self._lock = threading.Lock()
        self._asked = False
        self._kept = False

    def stop(self) -> bool:
        """Ask it to stop; False where it is past that."""
        with self._lock:
            self._asked = self._asked or not self._kept
            return not self._kept

    def go_on(self) -> None:
        """Raise StoppedError where it was asked to stop."""
        if self._asked:
            raise StoppedError

    def tell(self, done: int, total: int) -> None:
        """Say how far it is, and ask whether to go on."""
        self.state = (done, total, self.state[2])
        self.go_on()

    def call(self, things: str) -> None:
        """Say what is counted from here on."""
        self.state = (0, 0, things)

    def past_stopping(self, things: str) -> None:
        """From here on it is brought to its end: what follows must not stand half."""
        with self._lock:
            self.go_on()
            self._kept = True
        self.call(things)

    def words(self) -> str:
        """The line that says how far it is."""
        return progress_words(*self.state) + ("" if self._kept else f"   {self.escape}")


class _AskingLogbooks(Logbooks):
    """The same files, asking before each reading whether to go on."""

    def __init__(self, same: Logbooks, go_on: Callable[[], None]) -> None:
        super().__init__(
            same.root, files=same.files, wait_seconds=same.wait_seconds, known_head=same.known_head
        )
        self._go_on = go_on

    def read(self, name: str) -> Logbook:
        self._go_on()
        return super().read(name)


class LongWork(Page):
    """A page with something long to do. Its body holds a ProgressLine; `begin` starts the work.

    A page that is of no use before its work is done `leaves_at_once` at Escape, which stops the work too.
    """

    leaves_at_once = False
    job: Job | None = None
    _worker: Worker[Any] | None = None
    _done: Callable[[Any], None]
    _ticks: Timer | None = None

    def begin(self, work: Callable[[Job], Result], done: Callable[[Result], None], things: str) -> None:
        """Do `work` in a thread and hand what it gives to `done`; `things` is what it counts.

        What runs already is stopped for it; where that is past stopping nothing begins, and that is said.
        """
        if self.job is not None and not self.job.stop():
            self.say(NOT_HALF, bad=True)
            return
        self.job = Job(self.shop, things, LEAVES if self.leaves_at_once else STOPS)
        self._done = done
        self._worker = self.run_worker(
            partial(work, self.job), group="long", thread=True, exit_on_error=False
        )
        if self._ticks is None:
            self._ticks = self.set_interval(EVERY_S, self._draw)

    def _draw(self) -> None:
        if self.job is not None and self.is_current:
            self.query_one(ProgressLine).show(self.job.words())

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """The work has come to its end, one way or another; a job that was replaced is passed over."""
        if event.worker is not self._worker or not event.worker.is_finished:
            return
        event.stop()
        self.job = self._worker = None
        if self._ticks is not None:
            self._ticks.stop()
            self._ticks = None
        self.query_one(ProgressLine).show("")
        error = event.worker.error
        if event.state is WorkerState.SUCCESS:
            self._done(event.worker.result)
        elif isinstance(error, FieldlogError):
            self.failed(error)
        elif isinstance(error, Exception) and not isinstance(error, StoppedError):
            raise error
        else:
            self.stopped()

    def stopped(self) -> None:
        """It was stopped before its end."""
        self.say("Stopped. Nothing was written.")

    def failed(self, error: FieldlogError) -> None:
        """It can not be done; the error says why."""
        self.say_error(error)

    def action_back(self) -> None:
        """Escape stops what runs, before it leads back."""
        in_tag_field = self.focused is not None and self.query_one(TagBar) in self.focused.ancestors
        if self.job is None or in_tag_field or self.leaves_at_once:
            super().action_back()
        elif self.job.stop():
            self.say("Stopping.")
        else:
            self.say(NOT_HALF)

    def on_unmount(self) -> None:
        """Who leaves the page does not want it any more."""
        if self.job is not None:
            self.job.stop()
