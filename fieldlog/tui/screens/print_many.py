"""Labels for many hoists at once: which they are and who gets none, then print, with a record for each."""

from collections.abc import Sequence
from datetime import timedelta
from functools import cached_property, partial
from itertools import islice
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.counting import counted
from fieldlog.domain.label_content import CHAIN, DUE, TAG, WITHDRAWN
from fieldlog.operations.entering import Field, read_choice, read_day_of_work
from fieldlog.operations.label_log import offset_of, says_of
from fieldlog.operations.shop import rulebook_named, sites_in_use, summaries
from fieldlog.tui import print_order
from fieldlog.tui.batch_work import ALL, Asked, Found, asked_of, find_labels, print_labels
from fieldlog.tui.commands import bindings
from fieldlog.tui.file_form import FileForm
from fieldlog.tui.listed_form import ListedForm, wrapped_rows
from fieldlog.tui.print_order import NO_OFFSET, WORDS
from fieldlog.tui.widgets.line_table import Column, LineTable, Row
from fieldlog.tui.widgets.progress_line import ProgressLine

KINDS = (DUE, WITHDRAWN, TAG, CHAIN)
FILE = "labels.pdf"
WHERE, TAG_WIDTH = 14, 10
LEFT_OUT = "left out"
DAY_WORDS = {
    DUE: "inspected on that day",
    WITHDRAWN: "taken out of service on that day",
    TAG: "registered on that day",
    CHAIN: "a chain fitted on that day",
}


class PrintManyPage(FileForm, ListedForm):
    """F10 lists what would be printed; F10 again prints what is listed."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("print_many")]

    def __init__(self) -> None:
        super().__init__()
        self.asked_for: Asked | None = None
        self.found: Found | None = None

    def heading(self) -> str:
        """The title."""
        return "Print many   F10 lists them, F10 again prints"

    @cached_property
    def sites(self) -> tuple[str, ...]:
        """Where hoists hang."""
        return sites_in_use(self.shop)

    @cached_property
    def schemes(self) -> tuple[str, ...]:
        """Colours of the year in the rulebooks that hold here."""
        names = {summary.rulebook for summary in summaries(self.shop).values()}
        books = [rulebook_named(name, self.shop) for name in sorted(names)]
        return tuple(dict.fromkeys(scheme.id for book in books for scheme in book.year_colours))

    @cached_property
    def queues(self) -> tuple[str, ...]:
        """The host's print queues, asked for once."""
        from fieldlog.printing.printers import queues  # noqa: PLC0415

        return tuple(queues())

    def fields(self) -> Sequence[Field]:
        """Which hoists, then how they are printed."""
        yesterday = self.today() - timedelta(days=1)
        sites = (ALL, *self.sites)
        return (
            Field(
                name="kind",
                label="Label",
                read=read_choice("the label", KINDS),
                choices=KINDS,
                default=DUE,
            ),
            Field(
                name="site",
                label="Site",
                read=read_choice("the site", sites),
                choices=sites,
                default=ALL,
                hint="F3 steps through the sites",
            ),
            Field(
                name="day",
                label="Work of the day",
                read=read_day_of_work("the day", self.today()),
                required=False,
                default=yesterday.isoformat(),
                hint=f"{DAY_WORDS[DUE]}; empty: any day",
            ),
            *print_order.colour_field(self.schemes),
            *print_order.sheet_fields(self.shop, DUE),
            print_order.queue_field(self.queues),
            print_order.file_field(FILE),
        )

    def body(self) -> ComposeResult:
        """The form, the labels, and how far it is."""
        yield from super().body()
        columns = (
            Column(title="Place", width=WHERE),
            Column(title="Hoist", width=TAG_WIDTH),
            Column(title="Label, or why there is none"),
        )
        yield LineTable(columns, id="labels")
        yield ProgressLine()

    def on_resize(self) -> None:
        """Wrap again."""
        self.show_rows()

    def take_edit(self, name: str, text: str) -> None:
        """Another kind proposes its sheet. What was listed no longer fits other hoists."""
        super().take_edit(name, text)
        if name == "kind":
            self._propose_sheet(text)
        if name == "queue" and text and self._row("file").text == FILE:
            self._row("file").put("")
        if name in ("kind", "site", "day", "colour"):
            self.found = None
        self.show_rows()

    def _propose_sheet(self, text: str) -> None:
        from fieldlog.printing.templates import usual_template  # noqa: PLC0415

        kind = next((known for known in KINDS if text and known.startswith(text.strip().lower())), "")
        if kind and self._row("template").text in {usual_template(known) for known in KINDS}:
            self._row("template").put(usual_template(kind))

    def after_last(self) -> None:
        """Below the last field comes the list, which is made first."""
        if self.query_one(LineTable).rows:
            self.query_one(LineTable).focus()
        else:
            self.action_send()

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """The first F10 only lists; a file is asked about before the one that prints."""
        return super().questions(texts) if self.found is not None and self.found.labels else ()

    def send(self, texts: dict[str, str]) -> None:
        """List what is asked for, or print what is listed."""
        values = self.taken(texts)
        offset = offset_of(self.shop, values["queue"]) if values["queue"] else NO_OFFSET
        order = print_order.order_of(self.shop, values, offset, replace=self.may_replace())
        print_order.check_kind(order.template, order.start, values["kind"])
        asked = asked_of(values, self.today())
        if self.found is None or asked != self.asked_for:
            self.asked_for, self.found = asked, None
            self.say("Looking at each hoist.")
            self.begin(partial(find_labels, asked=asked), self.take_found, "hoists")
        elif not self.found.labels:
            self.say("There is nothing to print: choose another site or day.", bad=True)
        else:
            by, clock = self.fieldlog.by, self.fieldlog.clock
            found, self.found = self.found, None
            self.say("Drawing the labels.")
            work = partial(print_labels, asked=asked, found=found, order=order, by=by, clock=clock)
            self.begin(work, self.printed, "hoists looked at again")

    def take_found(self, found: Found) -> None:
        """Show what was found; the cursor goes to the list."""
        self.found = found
        self.show_rows()
        table = self.query_one(LineTable)
        table.action_edge(-1)
        if table.rows:
            table.focus()
        self.say(self._summary(found), bad=not found.labels)

    def _summary(self, found: Found) -> str:
        kind = "label" if self.asked_for is None else WORDS[self.asked_for.kind]
        left = f", {counted(len(found.refused), 'hoist')} left out" if found.refused else ""
        if found.labels:
            return f"{counted(len(found.labels), kind)}{left}. F10 prints, and records each."
        return f"No {kind} to print{left}: choose another site or day."

    def printed(self, said: str) -> None:
        """They are printed; another F10 lists anew."""
        self.show_rows()
        self.say(said)

    def stopped(self) -> None:
        """Nothing was written and nothing recorded."""
        self.found = None
        self.show_rows()
        self.say("Stopped. Nothing was printed and nothing recorded.")

    def show_rows(self) -> None:
        """Who is left out and why, then the labels with their places on the sheet."""
        for table in self.query(LineTable):
            found = self.found or Found()
            rows = [
                Row(key=tag, cells=(LEFT_OUT, tag, _reason(reason, tag)), tone="bad")
                for tag, reason in found.refused
            ]
            rows += [
                Row(
                    key=label.texts["id"],
                    cells=(place, label.texts["id"], ", ".join(filter(None, [says_of(label), remark]))),
                    tone="caution" if remark else "plain",
                )
                for place, label, remark in zip(
                    self._places(len(found.labels)), found.labels, found.remarks, strict=True
                )
            ]
            table.set_rows(wrapped_rows(rows, self.app.size.width, WHERE + 1 + TAG_WIDTH))

    def _places(self, many: int) -> list[str]:
        """Where the labels go as the form stands now; blank while sheet or place can not be taken."""
        if not many:
            return []
        from fieldlog.printing.labels import places  # noqa: PLC0415
        from fieldlog.printing.layouts import labels_on_page  # noqa: PLC0415

        name, start = self._row("template").text.strip(), self._row("start").text.strip()
        names = self._row("template").field.choices
        if name not in names or not start.isdecimal() or int(start) < 1:
            return [""] * many
        template = print_order.template_named(self.shop, name)
        if int(start) > labels_on_page(template):
            return [""] * many
        return [
            f"page {place.page}"
            + (
                f", {(place.row - 1) * template.grid.nx + place.column}"
                if labels_on_page(template) > 1
                else ""
            )
            for place in islice(places(template, int(start)), many)
        ]


def _reason(reason: str, tag: str) -> str:
    """The reason without the tag, which stands beside it."""
    return reason.replace(f" for {tag}", "", 1)
