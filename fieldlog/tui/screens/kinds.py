"""Which inspection? One that was left open first, then the kinds, the due one on top."""

from collections.abc import Sequence
from pathlib import Path

from textual.app import ComposeResult

from fieldlog.domain.checklist import items_for
from fieldlog.domain.records import Draft, InspectionKind
from fieldlog.domain.verdict import summarise
from fieldlog.errors import FieldlogError
from fieldlog.operations.draft_words import left_open
from fieldlog.operations.drafting import INSPECTION, begin_inspection, kept_drafts
from fieldlog.operations.shop import open_hoist
from fieldlog.store.reading import place_of
from fieldlog.tui.screens.drafts import DraftChoicePage
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.work import InspectionWork

DRAFT = "draft-"


class KindsPage(DraftChoicePage):
    """Choose the kind of inspection with the arrow keys and Enter, or what was left open."""

    first_focus = "#kinds"

    def __init__(self, hoist_id: str) -> None:
        super().__init__()
        self.hoist_id = hoist_id

    def watched(self) -> Sequence[Path]:
        """What is due changes with each record, too."""
        return (*super().watched(), self.shop.root / place_of(self.hoist_id))

    def body(self) -> ComposeResult:
        """The kinds."""
        columns = (
            Column(title="Inspection", width=20),
            Column(title="Items", width=6),
            Column(title="Due or left open"),
        )
        yield LineTable(columns, id="kinds")

    def heading(self) -> str:
        """The tag."""
        return f"{self.hoist_id}   which inspection?   Enter begins it"

    def show_rows(self) -> None:
        """Drafts, then kinds by urgency."""
        self.query_one(LineTable).set_rows(self._draft_rows() + self._kind_rows())

    def _draft_rows(self) -> list[Row]:
        drafts = [d for d in kept_drafts(self.shop, about=self.hoist_id) if d.kind == INSPECTION]
        self.drafts = {f"{DRAFT}{draft.uid}": draft for draft in drafts}
        return [
            Row(
                key=key,
                cells=(str(draft.fields.get("occasion", "")), "", f"{left_open(draft)}: {self._what(draft)}"),
                tone="caution",
            )
            for key, draft in self.drafts.items()
        ]

    def _what(self, draft: Draft) -> str:
        return "take it up" if draft.by == self.fieldlog.by else "take over, look"

    def _kind_rows(self) -> list[Row]:
        opened = open_hoist(self.shop, self.hoist_id)
        due = {d.inspection: d.due_on for d in summarise(opened.history, opened.rulebook).dues}
        kinds = sorted(InspectionKind, key=lambda kind: due.get(kind, self.today().max))
        return [
            Row(
                key=kind.name,
                cells=(
                    kind.value,
                    str(len(items_for(opened.hoist, kind, opened.rulebook))),
                    f"due {due[kind].isoformat()}" if kind in due else "",
                ),
            )
            for kind in kinds
        ]

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Begin it, or take up what was left open."""
        if event.key in self.drafts:
            self.choose_draft()
            return
        try:
            work = self._begun(InspectionKind[event.key])
        except FieldlogError as error:
            self.say(f"Not begun: {error}", bad=True)
            return
        self.app.pop_screen()
        self.fieldlog.open_inspection(work)

    def _begun(self, kind: InspectionKind) -> InspectionWork:
        """A new inspection, kept. FieldlogError where the store can not take it."""
        opened = open_hoist(self.shop, self.hoist_id)
        by, clock, now = self.fieldlog.by, self.fieldlog.clock, self.now()
        draft, content = begin_inspection(self.shop, opened, kind, by=by, now=now, today=self.today())
        return InspectionWork(self.shop, draft, by=by, clock=clock, content=content)
