"""Withdraw, mend, fit a chain set, test, return to service: one short form each."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import ClassVar, Protocol

from textual.binding import Binding, BindingType

from fieldlog.domain.logbook import open_defects
from fieldlog.domain.records import Entry
from fieldlog.operations.entering import Field
from fieldlog.operations.service_forms import (
    chain_fields,
    load_test_fields,
    mending_fields,
    return_fields,
    withdrawal_fields,
)
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service, withdraw
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist
from fieldlog.operations.use_forms import (
    expert_fields,
    hours_fields,
    idle_fields,
    log_hours,
    record_conditions,
    set_idle,
)
from fieldlog.tui.form import FormPage


class Deed(Protocol):
    """A verb of operations that seals one record from a form."""

    def __call__(
        self, shop: Shop, hoist_id: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
    ) -> Entry:
        """Seal it."""
        ...


def _mending(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    return mending_fields(today, [state.defect.id for state in open_defects(opened.history)])


SERVICES: dict[str, tuple[str, str, Callable[[OpenHoist, date], tuple[Field, ...]], Deed]] = {
    "withdraw": (
        "take out of service",
        "Isolate, lock and tag it. It stays out until it is returned to service here.",
        lambda _opened, today: withdrawal_fields(today),
        withdraw,
    ),
    "mend": (
        "defects mended",
        "Mended is not yet returned: the return to service checks what is still missing.",
        _mending,
        mend,
    ),
    "chain": (
        "fit a chain set",
        "Chain, pocket wheel and both guides go together. Chain data as on the nameplate.",
        chain_fields,
        fit_chain,
    ),
    "test": (
        "load test",
        "First without load, then with. Nobody under the load; a competent person decides.",
        lambda opened, today: load_test_fields(today, opened),
        record_load_test,
    ),
    "return": (
        "return to service",
        "Test limits and brake first without load, then with. A competent person decides.",
        lambda _opened, today: return_fields(today),
        return_to_service,
    ),
    "hours": (
        "running hours",
        "From the counter, or of a period with the loads that were lifted in it.",
        hours_fields,
        log_hours,
    ),
    "idle": (
        "out of use",
        "The rulebook says what inspection it needs before its next use.",
        lambda _opened, today: idle_fields(today),
        set_idle,
    ),
    "expert": (
        "expert's conditions",
        "At the end of the design life it stays out until an expert's conditions are recorded.",
        lambda _opened, today: expert_fields(today),
        record_conditions,
    ),
}


class ServicePage(FormPage):
    """One deed on one hoist."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f10", "send", "Seal", id="service.send", priority=True)]

    def __init__(self, hoist_id: str, deed: str) -> None:
        super().__init__()
        self.hoist_id = hoist_id
        self.title_words, self.caution, self.ask, self.do = SERVICES[deed]

    def heading(self) -> str:
        """The tag and the deed."""
        return f"{self.hoist_id}   {self.title_words}   {self.fieldlog.by}"

    def fields(self) -> Sequence[Field]:
        """The deed's form."""
        return self.ask(open_hoist(self.shop, self.hoist_id), self.today())

    def send(self, texts: dict[str, str]) -> None:
        """Seal it and go back to the hoist."""
        entry = self.do(
            self.shop, self.hoist_id, texts, by=self.fieldlog.by, now=self.now(), today=self.today()
        )
        self.leave()
        self.fieldlog.tell(f"Sealed as line {entry.number} of {self.hoist_id}.")
