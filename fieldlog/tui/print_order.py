"""What every printing page asks beside the label: sheet, first place, queue, offset, file; and doing it.

Nothing of printing is loaded before a page asks for it.
"""

import re
from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from fieldlog.domain.label_content import CHAIN, DUE, SPARE, TAG, WITHDRAWN, LabelContent
from fieldlog.errors import FieldlogError, InputError, PrinterError
from fieldlog.operations.entering import Field, read_choice, read_text, read_whole
from fieldlog.operations.label_log import note_printed
from fieldlog.operations.shop import Shop
from fieldlog.tui.long_work import Job
from fieldlog.units import quoted

if TYPE_CHECKING:
    from fieldlog.printing.labels import Printed
    from fieldlog.printing.layouts import Template

WORDS = {
    TAG: "asset tag",
    DUE: "due sticker",
    WITHDRAWN: "out-of-service tag",
    CHAIN: "chain plate",
    SPARE: "shelf label",
}
MOST_LABELS = 100
LONGEST_PATH = 1000
LABELS_IN_STORE = "label_templates"
NO_COLOUR = "none"
_LENGTH = r"([+-]?[0-9]{1,3}(?:\.[0-9]{1,3})?)"
OFFSET = re.compile(rf"{_LENGTH}\s*[, ]\s*{_LENGTH}")
Offset = tuple[Decimal, Decimal]
NO_OFFSET = (Decimal(0), Decimal(0))


def read_file(text: str) -> str:
    """A file name; with its folders it may be longer than other texts."""
    if not text.isprintable() or len(text) > LONGEST_PATH:
        raise InputError(f"a file name is up to {LONGEST_PATH} characters that can be printed")
    return text


def in_file_name(text: str) -> str:
    """A text as part of a file name: no blanks and no folders."""
    return "-".join(text.replace("/", " ").split())


def read_offset(text: str) -> Offset:
    """Two lengths in mm, to the right and down: '-1.5,0.25'."""
    found = OFFSET.fullmatch(text)
    if found is None:
        raise InputError(f"the offset is two lengths in mm, right and down, as -1.5,0.25, not {quoted(text)}")
    return Decimal(found[1]), Decimal(found[2])


def offset_words(offset: Offset) -> str:
    """'-1.5,0.25'."""
    return ",".join(f"{length:f}" for length in offset)


def sheet_fields(shop: Shop, kind: str) -> tuple[Field, Field]:
    """Sheet or roll, and the first free place on it."""
    from fieldlog.printing.templates import template_names, usual_template  # noqa: PLC0415

    names = tuple(template_names(shop.root / LABELS_IN_STORE))
    sheet = Field(
        name="template",
        label="Sheet or roll",
        read=read_choice("the sheet or roll", names),
        choices=names,
        default=usual_template(kind),
        hint="F3 steps through them",
    )
    start = Field(
        name="start",
        label="Start at label",
        read=read_whole("the place on the sheet", 1, MOST_LABELS),
        default="1",
        hint="on a used sheet: the first free one",
    )
    return sheet, start


def queue_field(known: Sequence[str]) -> Field:
    """The print queue; what is typed is taken where the host names none."""
    return Field(
        name="queue",
        label="Print queue",
        read=read_choice("the queue", tuple(known)) if known else read_text("the queue"),
        choices=tuple(known),
        required=False,
        hint=f"{', '.join(known)}; empty: only a file" if known else "none found here; it goes to the file",
    )


def colour_field(schemes: Sequence[str]) -> tuple[Field, ...]:
    """Colours of the year on a due sticker, where the rulebook has any."""
    choices = (NO_COLOUR, *schemes)
    field = Field(
        name="colour",
        label="Year colour",
        read=read_choice("the year colour", choices),
        choices=choices,
        default=NO_COLOUR,
        hint="of a due sticker; the year stands there in words too",
    )
    return (field,) if schemes else ()


def file_field(default: str) -> Field:
    """The PDF; with a queue it may be left out."""
    return Field(
        name="file",
        label="File",
        read=read_file,
        required=False,
        default=default,
        hint="a PDF; with a queue it may be empty",
    )


class Order(Struct, frozen=True, kw_only=True):
    """On what, from which place, how often, where to; `replace` lets it write over the file."""

    template: "Template"
    start: int
    copies: int
    queue: str
    offset: Offset
    file: str
    replace: bool = False


def order_of(shop: Shop, values: dict[str, Any], offset: Offset, *, replace: bool = False) -> Order:
    """The order from the values of a form; InputError where it goes neither to a file nor to a queue."""
    if not values["file"] and not values["queue"]:
        raise InputError("Name a file or a print queue: it has to go somewhere.")
    return Order(
        template=template_named(shop, values["template"]),
        start=values["start"],
        copies=values.get("copies", 1),
        queue=values["queue"] or "",
        offset=offset,
        file=values["file"] or "",
        replace=replace,
    )


def template_named(shop: Shop, name: str) -> "Template":
    """A sheet or roll, the shop's own first."""
    from fieldlog.printing.templates import load_template  # noqa: PLC0415

    return load_template(name, shop.root / LABELS_IN_STORE)


def draw(
    order: Order,
    labels: Sequence[LabelContent],
    *,
    title: str,
    author: str,
    tell: Callable[[int, int], None] | None = None,
) -> "Printed":
    """The labels as a PDF in memory."""
    from fieldlog.printing.labels import render  # noqa: PLC0415

    return render(
        labels,
        order.template,
        start=order.start,
        offset_mm=order.offset,
        copies=order.copies,
        title=title,
        author=author,
        progress=tell,
    )


def hand_over(order: Order, pdf: bytes, title: str, record: Callable[[], None]) -> list[str]:
    """Put the PDF where it was asked for, `record` it as soon as it is out of our hands, and say where it is.

    A queue that refuses is told last: what already lies in a file is recorded all the same. InputError for a
    file that is there already, NotSavedError, PrinterError.
    """
    from fieldlog.printing.printers import send  # noqa: PLC0415

    said = []
    path = Path(order.file).expanduser()
    if order.file:
        write_file(path, pdf, replace=order.replace)
        record()
        said.append(f"Written to {path}.")
    if order.queue:
        try:
            said.append(send(path if order.file else pdf, order.queue, title))
        except PrinterError as error:
            recorded = "They are recorded as printed." if order.file else "Nothing is recorded as printed."
            raise PrinterError(f"{error} {recorded}") from error
        if not order.file:
            record()
    return said


def write_file(path: Path, data: bytes, *, replace: bool = False) -> None:
    """Write a file whole or not at all; InputError where one is there already, NotSavedError if refused."""
    from fieldlog.printing.whole import whole_file  # noqa: PLC0415

    with whole_file(path, replace=replace) as stream:
        stream.write(data)


def record_all(
    job: Job, labels: Sequence[LabelContent], order: Order, *, by: str, clock: Callable[[], datetime]
) -> list[str]:
    """Record each label in its hoist's logbook; a sentence for each that could not be recorded."""
    missed = []
    for done, label in enumerate(labels, start=1):
        now = clock()
        try:
            note_printed(
                job.shop,
                label,
                order.template.name,
                by=by,
                now=now,
                today=now.date(),
                copies=order.copies,
            )
        except FieldlogError as error:
            missed.append(f"Printed, but not recorded: {error}")
        job.tell(done, len(labels))
    return missed


def check_kind(template: "Template", start: int, kind: str) -> None:
    """InputError where the sheet has no room for this kind of label, or not so many places."""
    from fieldlog.printing.labels import check_start  # noqa: PLC0415

    check_start(template, start)
    if kind not in template.layouts:
        has = ", ".join(template.layouts)
        raise InputError(f"{template.name} has no layout for {WORDS[kind]}s, only for {has}.")
