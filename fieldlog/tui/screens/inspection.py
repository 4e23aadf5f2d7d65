"""The checklist: one key an item, what to look at below, figures on their own page."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input, Label

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import FieldlogError
from fieldlog.operations.assessing import Assessment
from fieldlog.operations.inspecting import measured_finding
from fieldlog.tui.commands import bindings
from fieldlog.tui.marks import ANSWER_MARKS, ANSWER_TONES, CAUTION, VERDICT_MARKS, VERDICT_TONES
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.work import InspectionWork
from fieldlog.tui.work_page import WorkPage

COLUMNS = (Column(title="", width=12), Column(title="", width=34), Column(title=""))


class InspectionPage(WorkPage):
    """Walks the items that apply to this hoist in this kind of inspection."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("inspect")]
    first_focus = "#items"

    def __init__(self, work: InspectionWork) -> None:
        super().__init__()
        self.take_in_hand(work)
        self.assessment: Assessment = work.assessment()
        self.asked_to_discard = False
        self.asked_to_drop = ""
        self.away_for_item = False

    def body(self) -> ComposeResult:
        """The caution, the items, what to look at, and a line for a note."""
        yield Label(CAUTION, id="caution", markup=False)
        yield LineTable(COLUMNS, id="items", title=False)
        with VerticalScroll(id="detail", can_focus=False):
            yield Label("", id="look", markup=False)
        yield Input(id="note", placeholder="note, Enter keeps it", classes="hidden")

    def heading(self) -> str:
        """Hoist, kind and progress."""
        total = len(self.assessment.items)
        done = total - len(self._open())
        hoist = self.work.opened.hoist
        return (
            f"{hoist.id}   {self.work.content.occasion} inspection {self.work.content.done_on}"
            f"   {done} of {total} answered   {self.work.by}"
        )

    def on_mount(self) -> None:
        """Show the items; begin at the first one without an answer."""
        super().on_mount()
        self.query_one("#note", Input).cursor_blink = False
        self.show_items()
        self._to_next_open()

    def on_screen_resume(self) -> None:
        """Figures or a defect may have been typed on another page; then the next open item is on."""
        if not self.is_mounted or not self.query("#items"):
            return
        self.show_items()
        item = self.current()
        if self.away_for_item and item is not None and item not in self._open():
            self._go_on()
        self.away_for_item = False

    def _open(self) -> list[ChecklistItem]:
        return [i for i in self.assessment.items if self.work.answer_of(i, self.assessment) is None]

    def show_items(self) -> None:
        """Show every item with its answer."""
        self.assessment = self.work.assessment()
        rows: list[Row] = []
        section = ""
        counts = {part.section: part for part in self.assessment.progress}
        for item in self.assessment.items:
            if item.section != section:
                section = item.section
                rows.append(self._section_row(section, counts[section].total))
            rows.append(self._item_row(item))
        self.query_one("#items", LineTable).set_rows(rows)
        self.set_heading(self.heading())
        self._show_look()

    def _section_row(self, section: str, total: int) -> Row:
        title = self.work.opened.rulebook.sections[section]
        left = sum(item.section == section for item in self._open())
        text = f"{title}   {total - left} of {total}"
        return Row(key=f"section-{section}", cells=(text,), tone="heading", selectable=False)

    def _item_row(self, item: ChecklistItem) -> Row:
        answer = self.work.answer_of(item, self.assessment)
        held = self.work.content.answers.get(item.id)
        says = held.note if held is not None else ""
        mark = "." if answer is None else ANSWER_MARKS[answer]
        tone = "plain" if answer is None else ANSWER_TONES[answer]
        finding = measured_finding(item, self.assessment)
        if answer is AnswerKind.DEFECT and item.id in self.work.content.defects:
            says = self.work.content.defects[item.id].what
        elif finding is not None:
            mark, tone = VERDICT_MARKS[finding.verdict], VERDICT_TONES[finding.verdict]
            says = finding.why if finding.verdict is not Verdict.KEEP else says or finding.why
            if item.measure == "elongation" and any(view.questions for view in self.assessment.readings):
                mark, tone, says = "? questioned", "caution", "a reading is not plausible: m shows it"
        elif item.measure and answer is None:
            says = says or "m measures"
        return Row(key=item.id, cells=(mark, item.title, says), tone=tone)

    def current(self) -> ChecklistItem | None:
        """The item under the cursor."""
        key = self.query_one("#items", LineTable).current_key
        return next((item for item in self.assessment.items if item.id == key), None)

    def _show_look(self) -> None:
        item = self.current()
        if item is None:
            return
        lines = [f"Look: {item.look_at}", f"Defect: {item.defect_when}"]
        if item.caution:
            lines.append(f"Caution: {item.caution}")
        self.query_one("#look", Label).update("\n".join(lines))

    def on_line_table_moved(self) -> None:
        """Show what to look at for the item under the cursor."""
        self.asked_to_discard = False
        self.asked_to_drop = ""
        self._show_look()

    def on_line_table_chosen(self) -> None:
        """Enter measures a measured item; others are answered by their keys."""
        item = self.current()
        if item is not None and item.measure:
            self.action_measure()
        else:
            self.say("o ok   d defect   n not applicable   s not seen   t note")

    def _to_next_open(self) -> None:
        table = self.query_one("#items", LineTable)
        open_ids = {item.id for item in self._open()}
        keys = [row.key for row in table.rows]
        for key in keys[table.cursor :] + keys:
            if key in open_ids:
                table.move_to(key)
                break
        self._show_look()

    def go_to(self, title: str) -> None:
        """Put the cursor on the item with this title, or on the chain readings."""
        for item in self.assessment.items:
            if item.title == title or (item.measure == "elongation" and title.startswith("reading")):
                self.query_one("#items", LineTable).move_to(item.id)
                return

    def action_answer(self, name: str) -> None:
        """Answer the item under the cursor and go to the next open one."""
        item = self.current()
        if item is None:
            return
        answer = AnswerKind[name]
        if item.measure and answer is AnswerKind.OK and measured_finding(item, self.assessment) is None:
            self.say("This item asks for figures: m measures, s says that it was not seen.", bad=True)
            return
        if item.id in self.work.content.defects and self.asked_to_drop != name:
            self.asked_to_drop = name
            self.say("A defect is described here: the same key again throws its description away.", bad=True)
            return
        self.work.answer(item, answer)
        self.show_items()
        self._go_on()

    def _go_on(self) -> None:
        if self._open():
            self.say("")
            self._to_next_open()
        else:
            self.say("Every item is answered. F10 shows what will be sealed.")

    def action_defect(self) -> None:
        """Describe a defect of the item under the cursor."""
        item = self.current()
        if item is not None:
            self.away_for_item = True
            self.fieldlog.describe_defect(self.work, item)

    def action_measure(self) -> None:
        """Type figures: chain readings, diameters or the hook."""
        item = self.current()
        self.away_for_item = True
        if item is not None and item.measure:
            self.fieldlog.measure(self.work, item)
        else:
            self.fieldlog.measure_chain(self.work)

    def action_note(self) -> None:
        """Type a note to the item under the cursor."""
        item = self.current()
        if item is None:
            return
        held = self.work.content.answers.get(item.id)
        field = self.query_one("#note", Input)
        field.value = "" if held is None else held.note
        field.remove_class("hidden")
        field.focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Keep the note at every key."""
        item = self.current()
        if event.input.id == "note" and event.input.has_focus and item is not None:
            self.work.note(item, event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """The note is kept; back to the items."""
        if event.input.id == "note":
            self._close_note()

    def gather(self) -> None:
        """A note that is being typed."""
        item, field = self.current(), self.query_one("#note", Input)
        if item is not None and field.has_focus:
            self.work.put_note(item, field.value)

    def _close_note(self) -> None:
        self.query_one("#note", Input).add_class("hidden")
        self.query_one("#items", LineTable).focus()
        self.show_items()

    def action_seal(self) -> None:
        """See what will be sealed, or what is missing."""
        self.fieldlog.seal_page(self.work)

    def action_throw_away(self) -> None:
        """Throw this inspection away, when asked twice."""
        if not self.asked_to_discard:
            self.asked_to_discard = True
            self.say("F8 again throws this inspection away for good. Escape keeps it as a draft.", bad=True)
            return
        try:
            self.work.throw_away()
        except FieldlogError as error:
            self.say(f"Not thrown away: {error}", bad=True)
            return
        super().leave()

    def leave(self) -> None:
        """Leaving keeps the draft."""
        if not self.query_one("#note", Input).has_class("hidden"):
            self._close_note()
            return
        self.work.keep()
        super().leave()
        self.fieldlog.tell(f"The inspection of {self.work.opened.hoist.id} is kept as a draft.")
