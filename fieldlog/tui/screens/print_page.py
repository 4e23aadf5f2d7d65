"""Printing a hoist's labels, to a file or to a print queue."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Input

from fieldlog.domain.label_content import CHAIN, DUE, TAG, WITHDRAWN, LabelContent
from fieldlog.errors import FieldlogError, InputError
from fieldlog.operations.entering import Field, read_choice, read_text, read_whole
from fieldlog.operations.label_log import note_printed, offset_of, printed_before
from fieldlog.operations.paper import content
from fieldlog.operations.shop import open_hoist
from fieldlog.tui.form import FormPage
from fieldlog.tui.widgets.form_row import FormRow

KINDS = (TAG, DUE, WITHDRAWN, CHAIN)
MOST_LABELS = 100
LONGEST_PATH = 1000
LABELS_IN_STORE = "label_templates"


def _read_file(text: str) -> str:
    """A file name; with its folders it may be longer than other texts."""
    if not text.isprintable() or len(text) > LONGEST_PATH:
        raise InputError(f"a file name is up to {LONGEST_PATH} characters that can be printed")
    return text


class PrintPage(FormPage):
    """Which label, on which sheet, from which place on, and where it goes."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f10", "send", "Print", id="print.send", priority=True)]

    def __init__(self, hoist_id: str, kind: str = TAG) -> None:
        super().__init__({"kind": kind})
        self.hoist_id = hoist_id

    def heading(self) -> str:
        """The tag."""
        return f"{self.hoist_id}   print"

    def fields(self) -> Sequence[Field]:
        """Label, template, place, target."""
        from fieldlog.printing.printers import queues  # noqa: PLC0415
        from fieldlog.printing.templates import template_names, usual_template  # noqa: PLC0415

        names = tuple(template_names(self.shop.root / LABELS_IN_STORE))
        known = tuple(queues())
        return (
            Field(
                name="kind",
                label="Label",
                read=read_choice("the label", KINDS),
                choices=KINDS,
                default=TAG,
                hint="asset tag, due sticker, out-of-service tag, chain plate",
            ),
            Field(
                name="template",
                label="Sheet or roll",
                read=read_choice("the template", names),
                choices=names,
                default=usual_template(TAG),
                hint="F3 steps through them",
            ),
            Field(
                name="start",
                label="Start at label",
                read=read_whole("the place on the sheet", 1, MOST_LABELS),
                default="1",
                hint="on a used sheet: the first free one",
            ),
            Field(
                name="copies",
                label="Copies",
                read=read_whole("the copies", 1, MOST_LABELS),
                default="1",
            ),
            Field(
                name="queue",
                label="Print queue",
                read=read_choice("the queue", known) if known else read_text("the queue"),
                choices=known,
                required=False,
                hint=" ".join(known) if known else "none found here; it goes to the file",
            ),
            Field(name="file", label="File", read=_read_file, default=self._proposed("tag")),
        )

    def _proposed(self, kind: str) -> str:
        return f"{self.hoist_id}-{kind}.pdf"

    def on_form_row_edited(self, event: FormRow.Edited) -> None:
        """Another kind of label proposes its usual sheet, while the one shown is still a proposal."""
        from fieldlog.printing.templates import usual_template  # noqa: PLC0415

        super().on_form_row_edited(event)
        row = self.query_one("#row-template", FormRow)
        if event.name == "kind" and row.text in {usual_template(kind) for kind in KINDS}:
            wanted = next((k for k in KINDS if event.text and k.startswith(event.text.strip().lower())), TAG)
            row.query_one(Input).value = usual_template(wanted)

    def send(self, texts: dict[str, str]) -> None:
        """Draw it, write or print it, and record that it was printed."""
        values = self.taken(texts)
        label = content(self.shop, self.hoist_id, values["kind"], today=self.today())
        before = printed_before(open_hoist(self.shop, self.hoist_id), label)
        notices = self._print(label, values)
        note_printed(
            self.shop,
            label,
            values["template"],
            by=self.fieldlog.by,
            now=self.now(),
            today=self.today(),
            copies=values["copies"],
        )
        if before is not None:
            notices.append(f"The same {label.kind} was printed on {before.isoformat()}: destroy the old one.")
        self.leave()
        self.fieldlog.tell(" ".join(notices))

    def _print(self, label: LabelContent, values: dict[str, Any]) -> list[str]:
        from fieldlog.printing.labels import render  # noqa: PLC0415
        from fieldlog.printing.printers import send  # noqa: PLC0415
        from fieldlog.printing.templates import load_template  # noqa: PLC0415

        template = load_template(values["template"], self.shop.root / LABELS_IN_STORE)
        title = f"{label.kind} {self.hoist_id}"
        printed = render(
            [label],
            template,
            start=values["start"],
            offset_mm=offset_of(self.shop, values["queue"] or ""),
            copies=values["copies"],
            title=title,
            author=self.fieldlog.by,
        )
        path = Path(self._file_name(values)).expanduser()
        try:
            path.write_bytes(printed.pdf)
        except OSError as error:
            raise FieldlogError(f"{path} can not be written: {error.strerror}. Name another file.") from error
        said = [f"Written to {path}."]
        if values["queue"]:
            said = [send(path, values["queue"], title)]
        return [*said, *printed.cut]

    def _file_name(self, values: dict[str, Any]) -> str:
        name: str = values["file"]
        return self._proposed(values["kind"]) if name == self._proposed(TAG) else name
