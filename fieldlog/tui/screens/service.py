"""The deeds on a hoist beside its inspection, from a withdrawal to retiring it: one short form each."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import ClassVar, Protocol

from textual.binding import BindingType
from textual.screen import Screen

from fieldlog.domain.logbook import open_defects
from fieldlog.domain.records import Draft, Entry
from fieldlog.errors import NotFoundError, RefusedError
from fieldlog.operations.draft_hands import sealed_as
from fieldlog.operations.draft_words import DEEDS
from fieldlog.operations.drafting import begin_form, kept_drafts
from fieldlog.operations.due import due_row
from fieldlog.operations.entering import Field
from fieldlog.operations.handing_over import retire, retire_fields
from fieldlog.operations.meanwhile import Meanwhile
from fieldlog.operations.moving import move_hoist, moving_fields
from fieldlog.operations.noticing import note_notice, notice_fields
from fieldlog.operations.service_forms import (
    chain_fields,
    load_test_fields,
    mending_fields,
    return_fields,
    withdrawal_fields,
)
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service, withdraw
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist, rulebook_named, summaries
from fieldlog.operations.use_forms import (
    expert_fields,
    hours_fields,
    idle_fields,
    log_hours,
    record_conditions,
    set_idle,
)
from fieldlog.tui.commands import bindings
from fieldlog.tui.drafted_form import DraftedForm
from fieldlog.tui.hearing import HearsOthers


class Deed(Protocol):
    """A verb of operations that seals one record from a form; `uid` keeps it from being sealed twice."""

    def __call__(
        self,
        shop: Shop,
        hoist_id: str,
        texts: Mapping[str, str],
        *,
        by: str,
        now: datetime,
        today: date,
        uid: str | None = None,
    ) -> Entry:
        """Seal it."""
        ...


def _mending(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    return mending_fields(today, [state.defect.id for state in open_defects(opened.history)])


def _notice(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    if not opened.history.defects:
        raise NotFoundError(f"{opened.hoist.id} has no defect that could be told")
    return notice_fields(opened, today)


def _retiring(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    if opened.history.retired is not None:
        since = opened.history.retired.done_on.isoformat()
        raise RefusedError(f"{opened.hoist.id} is retired since {since}: v moves it back into use")
    return retire_fields(today)


def _move(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """A retired hoist is put to use again by its move, which `ServicePage.questions` asks about first."""
    back = open_hoist(shop, hoist_id).history.retired is not None
    return move_hoist(shop, hoist_id, texts, back_in_use=back, by=by, now=now, today=today, uid=uid)


SERVICES: dict[str, tuple[str, Callable[[OpenHoist, date], tuple[Field, ...]], Deed]] = {
    "withdraw": (
        "Isolate, lock and tag it. It stays out until it is returned to service here.",
        lambda _opened, today: withdrawal_fields(today),
        withdraw,
    ),
    "mend": (
        "Mended is not yet returned: the return to service checks what is still missing.",
        _mending,
        mend,
    ),
    "chain": (
        "Chain, pocket wheel and both guides go together. Chain data as on the nameplate.",
        chain_fields,
        fit_chain,
    ),
    "test": (
        "First without load, then with. Nobody under the load; a competent person decides.",
        lambda opened, today: load_test_fields(today, opened),
        record_load_test,
    ),
    "return": (
        "Test limits and brake first without load, then with. A competent person decides.",
        lambda _opened, today: return_fields(today),
        return_to_service,
    ),
    "hours": (
        "From the counter, or of a period with the loads that were lifted in it.",
        hours_fields,
        log_hours,
    ),
    "idle": (
        "The rulebook says what inspection it needs before its next use.",
        lambda _opened, today: idle_fields(today),
        set_idle,
    ),
    "expert": (
        "At the end of the design life it stays out until an expert's conditions are recorded.",
        lambda _opened, today: expert_fields(today),
        record_conditions,
    ),
    "move": (
        "At its new place it needs the inspection after a move before it is used.",
        moving_fields,
        _move,
    ),
    "notice": (
        "Who must know of a defect: owner, employer, and where the law asks for it the authority.",
        _notice,
        note_notice,
    ),
    "retire": (
        "It leaves every due list for good. Its logbook is kept; a move puts it to use again.",
        _retiring,
        retire,
    ),
}


class ServicePage(HearsOthers, DraftedForm):
    """One deed on one hoist; `opened` is the hoist as it was read when the form was opened."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("service")]
    taken_up_by = "the same key takes it up again."

    def __init__(self, shop: Shop, draft: Draft, opened: OpenHoist, today: date) -> None:
        super().__init__(draft)
        self.hoist_id = draft.about
        self.opened = opened
        self.meanwhile = Meanwhile(shop, opened)
        self.caution, ask, self.do = SERVICES[draft.kind]
        self.asks = ask(opened, today)
        self.entry: Entry | None = None

    @classmethod
    def begun(cls, shop: Shop, hoist_id: str, deed: str, *, by: str, now: datetime) -> "ServicePage":
        """An empty form of this deed. FieldlogError where the hoist is in no state for it."""
        draft = begin_form(deed, hoist_id, by=by, now=now)
        return cls(shop, draft, open_hoist(shop, hoist_id), now.date())

    @classmethod
    def from_draft(cls, shop: Shop, draft: Draft, today: date) -> "ServicePage":
        """A form that was left open, with what was typed; days are checked as of today."""
        if draft.kind not in SERVICES:
            raise RefusedError(f"this fieldlog knows no '{draft.kind}': a later one left it open")
        return cls(shop, draft, open_hoist(shop, draft.about), today)

    def heading(self) -> str:
        """The tag and the deed."""
        return f"{self.hoist_id}   {DEEDS[self.draft.kind]}   {self.fieldlog.by}"

    @property
    def kept_so_far(self) -> bool:
        """An untouched form has no draft."""
        return self.is_kept

    def fields(self) -> Sequence[Field]:
        """The deed's form."""
        return self.asks

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A move to no named place, and putting a retired hoist to use again, are done only on purpose."""
        if self.draft.kind != "move":
            return ()
        hoist, retired = self.opened.hoist, self.opened.history.retired
        asked = []
        if retired is not None:
            since = retired.done_on.isoformat()
            asked.append(f"{self.hoist_id} is retired since {since}: it is put to use again?")
        if hoist.place and not texts["place"].strip():
            asked.append(f"It hangs at {hoist.place} now, and no new place is given: is there none?")
        return tuple(asked)

    def seal(self, texts: dict[str, str]) -> str:
        """Seal it; a line that an ended session sealed from this draft is not sealed again."""
        before = sealed_as(self.shop, self.hoist_id, self.draft)
        if before is not None:
            return f"It was sealed already, as line {before.number} of {self.hoist_id}."
        self.entry = self.do(
            self.shop,
            self.hoist_id,
            texts,
            by=self.fieldlog.by,
            now=self.now(),
            today=self.today(),
            uid=self.draft.uid,
        )
        due = self._due_now() if self.draft.kind == "move" else ""
        return f"Sealed as line {self.entry.number} of {self.hoist_id}.{due}"

    def sealed(self, said: str) -> None:
        """Told on the hoist's page; the signature follows beside the keys."""
        super().sealed(said)
        if self.entry is not None:
            self.fieldlog.sign(self.hoist_id, self.entry)

    def _due_now(self) -> str:
        summary = summaries(self.shop)[self.hoist_id]
        row = due_row(summary, rulebook_named(summary.rulebook, self.shop), self.today())
        due = row.due_on is not None and row.due_on <= self.today()
        return f" Due now: {row.kind}." if due else ""


def service_page(
    shop: Shop, hoist_id: str, deed: str, *, by: str, clock: Callable[[], datetime]
) -> Screen[None]:
    """One's own open form of this deed, a choice where only others left one open, else an empty form."""
    left = [draft for draft in kept_drafts(shop, about=hoist_id) if draft.kind == deed]
    mine = [draft for draft in left if draft.by == by]
    if mine:
        return ServicePage.from_draft(shop, mine[0], clock().date())
    if left:
        from fieldlog.tui.screens.drafts import DeedDraftsPage  # noqa: PLC0415

        return DeedDraftsPage(hoist_id, deed)
    return ServicePage.begun(shop, hoist_id, deed, by=by, now=clock())
