"""Printing a hoist's labels, to a file or to a print queue, with a map of where they go on the sheet."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.label_content import CHAIN, DUE, PROOF, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.errors import FieldlogError
from fieldlog.operations.entering import Field, read_choice, read_whole, take_all
from fieldlog.operations.label_log import check_recordable, keep_offset, last_printed, offset_of, says_of
from fieldlog.operations.paper import content
from fieldlog.operations.paper_jobs import spare_content, spare_fields
from fieldlog.operations.shop import open_hoist
from fieldlog.tui import print_order
from fieldlog.tui.commands import bindings
from fieldlog.tui.file_form import FileForm
from fieldlog.tui.long_work import Job, LongWork
from fieldlog.tui.print_order import MOST_LABELS, NO_COLOUR, WORDS, Order, offset_words, order_of
from fieldlog.tui.widgets.picture import Picture
from fieldlog.tui.widgets.progress_line import ProgressLine
from fieldlog.tui.widgets.sheet_picture import beside

if TYPE_CHECKING:
    from fieldlog.printing.layouts import Template

KINDS = (TAG, DUE, WITHDRAWN, CHAIN, SPARE, PROOF)
FOLLOW = ("kind", "template", "start", "copies", "colour")


class Printing(LongWork, FileForm):
    """A form that ends in print. A queue may be slow to answer, so the page waits for it in a thread."""

    hoist_id = ""

    def print_labels(self, labels: Sequence[LabelContent], order: Order, done: Callable[[str], None]) -> None:
        """Draw these labels, or without any a proof page, hand them over and record them."""
        by, clock = self.fieldlog.by, self.fieldlog.clock
        work = partial(_print, labels=labels, order=order, hoist_id=self.hoist_id, by=by, clock=clock)
        if order.queue:
            self.begin(work, done, "labels")
        else:
            done(work(Job(self.shop, "labels")))


def _print(
    job: Job,
    *,
    labels: Sequence[LabelContent],
    order: Order,
    hoist_id: str,
    by: str,
    clock: Callable[[], datetime],
) -> str:
    before = [
        f"The same {WORDS[label.kind]} was printed on {day.isoformat()}: destroy the old one."
        for label in labels
        if (day := last_printed(job.shop, label)) is not None
    ]
    if labels:
        check_recordable(job.shop)
        title = f"{labels[0].kind} {hoist_id}"
        printed = print_order.draw(order, labels, title=title, author=by)
    else:
        from fieldlog.printing.proof import render_proof  # noqa: PLC0415

        title = f"proof {order.template.name}"
        printed = render_proof(order.template, offset_mm=order.offset, title=title, author=by)
    missed: list[str] = []
    job.past_stopping("labels are handed over")

    def record() -> None:
        missed.extend(print_order.record_all(job, labels, order, by=by, clock=clock))

    said = print_order.hand_over(order, printed.pdf, title, record)
    if order.queue and order.offset != offset_of(job.shop, order.queue):
        keep_offset(job.shop, order.queue, order.offset, by=by, now=clock())
        said.append(f"The offset {offset_words(order.offset)} is kept for {order.queue}.")
    return " ".join([*said, *missed, *printed.cut, *before])


class PrintPage(Printing):
    """Which label, on which sheet, from which place on, and where it goes."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("print")]

    def __init__(self, hoist_id: str, kind: str = TAG) -> None:
        super().__init__({"kind": kind})
        self.hoist_id = hoist_id
        self.proposed = self._proposal(kind)
        self._told: dict[tuple[str, str], list[str]] = {}  # worked out once, not at every key
        self._sheets: dict[str, Template] = {}

    def heading(self) -> str:
        """The tag."""
        return f"{self.hoist_id}   print"

    @cached_property
    def schemes(self) -> tuple[str, ...]:
        """Colours of the year that the hoist's rulebook has."""
        return tuple(scheme.id for scheme in open_hoist(self.shop, self.hoist_id).rulebook.year_colours)

    @cached_property
    def queues(self) -> tuple[str, ...]:
        """The host's print queues, asked for once."""
        from fieldlog.printing.printers import queues  # noqa: PLC0415

        return tuple(queues())

    def fields(self) -> Sequence[Field]:
        """Label, template, place, target."""
        return self._fields

    @cached_property
    def _fields(self) -> tuple[Field, ...]:
        return (
            Field(
                name="kind",
                label="Label",
                read=read_choice("the label", KINDS),
                choices=KINDS,
                default=TAG,
            ),
            *print_order.sheet_fields(self.shop, TAG),
            Field(name="copies", label="Copies", read=read_whole("the copies", 1, MOST_LABELS), default="1"),
            *print_order.colour_field(self.schemes),
            print_order.queue_field(self.queues),
            Field(
                name="offset",
                label="Offset right,down",
                read=print_order.read_offset,
                unit="mm",
                default="0,0",
                hint="kept for the queue; a proof page shows what it takes",
            ),
            print_order.file_field(self._proposal(TAG)),
        )

    def body(self) -> ComposeResult:
        """The form, and below it the sheet."""
        yield from super().body()
        yield Picture(id="sheet")
        yield ProgressLine()

    def on_mount(self) -> None:
        """Show where the proposed label would go."""
        self.show_sheet()

    def _proposal(self, kind: str) -> str:
        return f"{self.hoist_id}-{kind}.pdf"

    def value(self, name: str) -> Any:
        """What a field holds, or None while it can not be taken."""
        field = next(field for field in self.fields() if field.name == name)
        return take_all((field,), {name: self._row(name).text})[0].get(name)

    def take_edit(self, name: str, text: str) -> None:
        """Another kind proposes its sheet and file, another queue its offset, while nobody typed one."""
        super().take_edit(name, text)
        if name == "kind" and self.value("kind"):
            self._propose_for(self.value("kind"))
        if name == "queue":
            queue = self.value("queue") or ""
            self._row("offset").put(offset_words(offset_of(self.shop, queue)) if queue else "0,0")
            self._propose_file("" if queue else self._proposal(self.value("kind") or TAG))
        if name in FOLLOW:
            self.show_sheet()

    def _propose_for(self, kind: str) -> None:
        from fieldlog.printing.templates import usual_template  # noqa: PLC0415

        if self._row("template").text in {usual_template(known) for known in KINDS}:
            self._row("template").put(usual_template(kind))
        if not self.value("queue"):
            self._propose_file(self._proposal(kind))

    def _propose_file(self, name: str) -> None:
        if self._row("file").text == self.proposed:
            self._row("file").put(name)
            self.proposed = name

    def show_sheet(self) -> None:
        """The map of the sheet as the form stands, and what the label will say or why there is none."""
        sheet, words = self._look()
        self.query_one("#sheet", Picture).show(partial(beside, sheet, words))

    def _look(self) -> tuple[list[str], list[str]]:
        from fieldlog.printing.sheet_map import sheet_map  # noqa: PLC0415

        kind, template, start = self.value("kind"), self.value("template"), self.value("start")
        copies = self.value("copies")
        if not (kind and template and start and copies):
            return [], ["The sheet is shown here once the fields above can be taken."]
        try:
            held = self._sheets.get(template) or print_order.template_named(self.shop, template)
            self._sheets[template] = held
            if kind == PROOF:
                return [], [
                    held.title,
                    "A proof page: outlines of all labels, rulers and crosses, to see whether the print has"
                    " to be moved. Start and copies do not matter.",
                ]
            print_order.check_kind(held, start, kind)
            sheet = sheet_map(held, start, copies)
        except FieldlogError as error:
            return [], [str(error)]
        legend = sheet.pop() if len(sheet) > 1 else ""
        told = kind, self.value("colour") if self.schemes else ""
        if told not in self._told:
            self._told[told] = self._says(kind)
        return sheet, [held.title, legend, *self._told[told]]

    def _says(self, kind: str) -> list[str]:
        """What the label says, or why the trade's rules refuse it."""
        if kind == SPARE:
            return ["The shelf label of a chain kept for this hoist: F10 asks its particulars."]
        try:
            label = self._label(kind)
        except FieldlogError as error:
            return [f"X {error}"]
        before = last_printed(self.shop, label)
        printed = f"Printed before, on {before.isoformat()}: destroy that one." if before else ""
        return [f"{WORDS[kind]}: {says_of(label)}", printed]

    def _label(self, kind: str) -> LabelContent:
        colour = self.value("colour") if kind == DUE and self.schemes else ""
        chosen = "" if colour in (None, NO_COLOUR) else colour
        return content(self.shop, self.hoist_id, kind, today=self.today(), year_colours=chosen)

    def send(self, texts: dict[str, str]) -> None:
        """Print it; a spare chain's label asks its particulars first."""
        values = self.taken(texts)
        order = order_of(self.shop, values, values["offset"], replace=self.may_replace())
        if values["kind"] == SPARE:
            self.app.push_screen(SparePage(self.hoist_id, order))
            return
        labels = [] if values["kind"] == PROOF else [self._label(values["kind"])]
        self.print_labels(labels, order, self._printed)

    def _printed(self, said: str) -> None:
        self.leave()
        self.fieldlog.tell(said)


class SparePage(Printing):
    """The particulars of a spare chain kept for a hoist; F10 prints its shelf label."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("spare")]

    def __init__(self, hoist_id: str, order: Order) -> None:
        super().__init__()
        self.hoist_id, self.order = hoist_id, order

    def heading(self) -> str:
        """The tag."""
        return f"{self.hoist_id}   shelf label of a spare chain"

    def fields(self) -> Sequence[Field]:
        """The chain's particulars."""
        return spare_fields(self.today(), open_hoist(self.shop, self.hoist_id))

    def body(self) -> ComposeResult:
        """The form."""
        yield from super().body()
        yield ProgressLine()

    def send(self, texts: dict[str, str]) -> None:
        """Print it."""
        label = spare_content(self.shop, texts, today=self.today(), hoist_id=self.hoist_id)
        self.print_labels([label], self.order, self._printed)

    def _printed(self, said: str) -> None:
        self.leave()
        self.app.pop_screen()
        self.fieldlog.tell(said)
