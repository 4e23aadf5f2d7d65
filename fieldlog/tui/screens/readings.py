"""Chain readings: the verdict follows every key."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, Label

from fieldlog.domain.chain import ChainVerdict
from fieldlog.domain.records import Basis
from fieldlog.operations.assessing import Assessment, ReadingView
from fieldlog.operations.drafting import ReadingDraft
from fieldlog.operations.explaining import explain_finding
from fieldlog.operations.instruments import instruments
from fieldlog.tui.commands import bindings
from fieldlog.tui.form import TYPED
from fieldlog.tui.marks import VERDICT_MARKS, VERDICT_TONES, doubt, share, show_tone
from fieldlog.tui.texts import put
from fieldlog.tui.widgets.reading_row import ReadingRow
from fieldlog.tui.work import InspectionWork
from fieldlog.tui.work_page import WorkPage
from fieldlog.units import format_mm

MOST_PLACES = 12
CAUTION = (
    "Unloaded, locked out. Run the whole chain through, measure at the worst places; keep fingers clear."
)


def verdict_lines(verdict: ChainVerdict) -> list[str]:
    """All that lies behind a verdict, in three lines."""
    reference, allowance = verdict.reference, verdict.allowance
    first = (
        f"Reference {format_mm(reference.length_mm)} mm ({reference.origin})"
        f"   Limit {format_mm(verdict.limit_mm)} mm"
    )
    if verdict.growth_mm is None or verdict.used_pct is None or verdict.elongation_pct is None:
        second = verdict.finding.why
    else:
        second = (
            f"Growth {format_mm(verdict.growth_mm)} mm = {verdict.elongation_pct:.3f} %"
            f"   {share(verdict.used_pct, '0.1')} of the allowed {format_mm(allowance.growth_mm)} mm used"
            f"   doubt {doubt(verdict.guard_mm)}"
        )
    third = f"Rule: {allowance.rule}; {allowance.source} [{allowance.certainty}]"
    return [first, second, third]


class ReadingsPage(WorkPage):
    """Readings over n links at several places; the worst one governs."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("readings")]

    def __init__(self, work: InspectionWork) -> None:
        super().__init__()
        self.take_in_hand(work)
        self.assessment: Assessment = work.assessment()

    def heading(self) -> str:
        """Hoist, chain and drive."""
        hoist, size = self.work.opened.hoist, self.assessment.gauging.size
        chain = f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)} mm {size.grade}".strip()
        return f"{hoist.id}   load chain {chain}   {hoist.drive} hoist   {self.work.content.done_on}"

    def body(self) -> ComposeResult:
        """How it is measured, the places, the verdict strip."""
        content = self.work.content
        yield Label(CAUTION, id="caution", markup=False)
        with Horizontal(id="how"):
            yield Label("Instrument", classes="how-label")
            yield Input(content.instrument, id="instrument", placeholder="F3 steps through them")
            yield Label("Links", classes="how-label")
            yield Input(content.links, id="links")
            yield Label("Measured", classes="how-label")
            yield Input(content.basis.value, id="basis")
            yield Label("Unused", classes="how-label")
            yield Input(content.unused, id="unused", placeholder="Tab, mm")
        yield Label("", id="how-says", markup=False)
        with VerticalScroll(id="places", can_focus=False):
            for place, reading in enumerate(content.readings):
                yield ReadingRow(place, reading)
        yield Label("", id="strip", markup=False)

    def on_mount(self) -> None:
        """Begin where the next thing is missing."""
        for field in self.query(Input):
            field.cursor_blink = False
        self._first_field().focus()
        self.judge()

    def _first_field(self) -> Input:
        if not self.work.content.instrument and self.work.content.basis is not Basis.GAUGE:
            return self.query_one("#instrument", Input)
        rows = list(self.query(ReadingRow))
        empty = next((row for row in rows if not row.value.value), rows[0])
        return empty.value

    def _how(self) -> tuple[Input, ...]:
        return tuple(self.query_one(f"#{name}", Input) for name in ("instrument", "links", "basis"))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Take every key into the draft and judge anew."""
        field = event.input
        if field.id == "tag-field" or not field.has_focus:
            return
        self._take_how(field.id or "", event.value)
        self.work.keep()
        self.judge()

    def _take_how(self, name: str, text: str) -> None:
        if name == "basis":
            self._take_basis(text)
        elif name in ("instrument", "links", "unused"):
            setattr(self.work.content, name, text)

    def _take_basis(self, text: str) -> None:
        found = [basis for basis in Basis if text and basis.value.startswith(text.lower())]
        if len(found) == 1:
            self.work.content.basis = found[0]

    def on_reading_row_edited(self, event: ReadingRow.Edited) -> None:
        """Take every key of a place into the draft and judge anew."""
        self._take_row(event.row)
        self.work.keep()
        self.judge()

    def _take_row(self, row: ReadingRow) -> None:
        reading = self.work.content.readings[row.place]
        reading.place = row.name_field.value.strip()
        self._take_value(reading, row.value.value)

    def gather(self) -> None:
        """The field with the cursor, as its keys are taken."""
        row, field = self._row_with_focus(), self.focused
        if row is not None:
            self._take_row(row)
        elif isinstance(field, Input):
            self._take_how(field.id or "", field.value)

    def _take_value(self, reading: ReadingDraft, text: str) -> None:
        if text != reading.text:
            reading.confirmed.clear()
        reading.text = text
        reading.touch = None
        if self.work.content.basis is Basis.GAUGE and text.strip():
            reading.touch = {"t": True, "g": False}.get(text.strip()[0].lower())

    def judge(self) -> None:
        """Show the verdict of every place and the strip of the one with the cursor."""
        self.assessment = self.work.assessment()
        for row, view in zip(self.query(ReadingRow), self.assessment.readings, strict=False):
            row.show(view)
        shared = self.assessment.gauging
        says = shared.problem or self.assessment.unused_problem or shared.instrument_note
        if shared.basis is Basis.GAUGE:
            says = "go/no-go gauge: type t if both ends touch, g if there is a gap"
        line = self.query_one("#how-says", Label)
        put(line, says)
        wrong = shared.problem or self.assessment.unused_problem
        line.set_class(bool(wrong) or "out of" in says or "failed" in says, "bad")
        self._show_strip()
        self._show_worst()

    def _view(self) -> ReadingView | None:
        row = self._row_with_focus()
        return None if row is None else self.assessment.readings[row.place]

    def _show_strip(self) -> None:
        view = self._view()
        verdict = view.verdict if view is not None and view.verdict is not None else self.assessment.worst
        strip = self.query_one("#strip", Label)
        if verdict is None:
            put(strip, "")
            show_tone(strip)
            return
        questioned = view is not None and bool(view.questions)
        mark = "? questioned" if questioned else VERDICT_MARKS[verdict.finding.verdict]
        head = f"{mark.upper()}   {verdict.reading.place}"
        put(strip, "\n".join([head, *verdict_lines(verdict)]))
        show_tone(strip, "caution" if questioned else VERDICT_TONES[verdict.finding.verdict])

    def _show_worst(self) -> None:
        view = self._view()
        if view is None and self.assessment.gauging.problem:
            self.say(self.assessment.gauging.problem, bad=True)
        elif view is not None and view.problem:
            self.say(view.problem, bad=True)
        elif view is not None and view.questions:
            self.say(f"? {view.questions[0]}   Enter takes it as it stands", bad=True)
        elif self.assessment.questions:
            self.say(f"? {self.assessment.questions[0]}", bad=True)
        elif self.assessment.worst is not None:
            spread = self.assessment.spread_mm
            text = f"Worst: {self.assessment.worst.reading.place}"
            self.say(text if spread is None else f"{text}   spread {format_mm(spread)} mm")
        else:
            self.say("The worst place governs: at least three, one at the usual working height.")

    def _row_with_focus(self) -> ReadingRow | None:
        if self.focused is None:
            return None
        return next((node for node in self.focused.ancestors if isinstance(node, ReadingRow)), None)

    def on_descendant_focus(self) -> None:
        """The strip follows the cursor."""
        self._show_strip()
        self._show_worst()

    def action_next(self) -> None:
        """Confirm a question, or go to the next place; from the last one on to the checklist."""
        if isinstance(self.focused, Input) and self.focused.id == "tag-field":
            self.focused.post_message(Input.Submitted(self.focused, self.focused.value))
            return
        row = self._row_with_focus()
        if row is None:
            self._next_how()
            return
        if self._confirm(row):
            return
        rows = list(self.query(ReadingRow))
        if row.place + 1 < len(rows):
            rows[row.place + 1].value.focus()
        else:
            self.action_done()

    def _confirm(self, row: ReadingRow) -> bool:
        """Take the questions of this place as answered; True if there were any."""
        questions = self.assessment.readings[row.place].questions
        if not questions:
            return False
        self.work.content.readings[row.place].confirmed.extend(questions)
        self.work.keep()
        self.judge()
        self.say("Taken as it stands; the record says that it was questioned. Enter goes on.")
        return True

    def _next_how(self) -> None:
        fields = self._how()
        places = [place for place, field in enumerate(fields) if field is self.focused]
        if places and places[0] + 1 < len(fields):
            fields[places[0] + 1].focus()
        else:
            next(iter(self.query(ReadingRow))).value.focus()

    def action_previous(self) -> None:
        """To the place before; from the first one to how it is measured, and there from field to field."""
        fields = [*self._how(), *(row.value for row in self.query(ReadingRow))]
        row = self._row_with_focus()
        current = self.focused if row is None else row.value
        places = [place for place, field in enumerate(fields) if field is current]
        if places and places[0] > 0:
            fields[places[0] - 1].focus()

    def action_choice(self) -> None:
        """Step through instruments, or through the ways to measure; elsewhere say why not."""
        focused = self.focused
        if not isinstance(focused, Input):
            self.say(TYPED)
        elif focused.id == "instrument":
            known = [*instruments(self.shop), *(kind.id for kind in self.work.opened.rulebook.instruments)]
            focused.value = _after(known, focused.value)
        elif focused.id == "basis":
            focused.value = _after([basis.value for basis in Basis], focused.value)
        else:
            self.say(TYPED)

    async def action_more(self) -> None:
        """One more place along the chain."""
        readings = self.work.content.readings
        if len(readings) >= MOST_PLACES:
            self.say(f"{MOST_PLACES} places are the most that fit into one record.", bad=True)
            return
        readings.append(ReadingDraft(place=f"place {len(readings) + 1}"))
        self.work.keep()
        row = ReadingRow(len(readings) - 1, readings[-1])
        await self.query_one("#places").mount(row)
        row.value.focus()
        self.judge()

    def action_explain(self) -> None:
        """Rule, arithmetic and source of the verdict under the cursor, else of the worst one."""
        view = self._view()
        verdict = view.verdict if view is not None and view.verdict is not None else self.assessment.worst
        if verdict is None:
            self.say("Type a reading first: then F4 explains its verdict.")
        else:
            self.fieldlog.explain(self.work.opened.hoist.id, explain_finding(verdict.finding))

    def action_done(self) -> None:
        """Back to the checklist; everything is kept."""
        self.work.keep()
        self.leave()


def _after(known: list[str], current: str) -> str:
    place = known.index(current) if current in known else -1
    return known[(place + 1) % len(known)]
