"""fieldlog label: labels as a PDF or to a queue, each recorded; fieldlog sheets: what to print them on."""

import argparse
from argparse import Namespace
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldlog.cli import commands, context, label_options
from fieldlog.cli.label_options import OFFSET, SPARE_OPTIONS, WORDS, AddStore
from fieldlog.cli.progress import working
from fieldlog.cli.putting import STDOUT, check_free, put, tell
from fieldlog.domain.counting import counted
from fieldlog.domain.label_content import PROOF, SPARE, LabelContent
from fieldlog.errors import InputError, PrinterError, RefusedError, StoreError
from fieldlog.operations.shop import Shop, need_settings
from fieldlog.operations.telling import telling
from fieldlog.units import parse_date, quoted

if TYPE_CHECKING:
    from fieldlog.printing.layouts import Template

Offset = tuple[Decimal, Decimal]


class _Order(Struct, frozen=True, kw_only=True):
    """What is to be printed, for whom, where to, and why some get none."""

    shop: Shop
    by: str
    template: "Template"
    labels: tuple[LabelContent, ...]
    refusals: tuple[str, ...]
    offset: Offset


def add_to(label: argparse.ArgumentParser, add_store: AddStore) -> None:
    """Add every kind of label below `fieldlog label`."""
    label_options.add_to(label, add_store, label_run)


def _offset(shop: Shop, chosen: Namespace) -> Offset:
    """The offset typed, else the one kept for the queue."""
    from fieldlog.operations.label_log import offset_of

    if not chosen.offset:
        return offset_of(shop, chosen.queue) if chosen.queue else (Decimal(0), Decimal(0))
    typed = OFFSET.fullmatch(chosen.offset)
    if typed is None:
        raise InputError(f"--offset {quoted(chosen.offset)} is not two lengths in mm, as -1.5,0.25")
    return Decimal(typed[1]), Decimal(typed[2])


def _template(shop: Shop, chosen: Namespace) -> "Template":
    from fieldlog.printing.templates import load_template, usual_template

    return load_template(chosen.template or usual_template(chosen.kind), shop.root / commands.LABELS_IN_STORE)


def _order(chosen: Namespace) -> _Order:
    shop = context.shop_of(chosen)
    need_settings(shop)
    by = commands.who(shop, chosen)
    template = _template(shop, chosen)
    labels, refusals = _labels(shop, chosen)
    offset = _offset(shop, chosen)
    return _Order(shop=shop, by=by, template=template, labels=labels, refusals=refusals, offset=offset)


def _labels(shop: Shop, chosen: Namespace) -> tuple[tuple[LabelContent, ...], tuple[str, ...]]:
    """The labels asked for, and why hoists that a filter has chosen get none."""
    from fieldlog.operations.paper import content
    from fieldlog.operations.paper_jobs import batch, hoists_for, spare_content

    today = context.now().date()
    if chosen.kind == PROOF:
        return (), ()
    if chosen.kind == SPARE:
        texts = {name: getattr(chosen, name) for name in SPARE_OPTIONS if getattr(chosen, name)}
        hoist = commands.one_tag(shop, chosen.tags) if chosen.tags else ""
        return (spare_content(shop, texts, today=today, hoist_id=hoist),), ()
    colours = getattr(chosen, "year_colour", "")
    if chosen.tags:
        tags = [commands.one_tag(shop, tag) for tag in chosen.tags]
        return tuple(content(shop, tag, chosen.kind, today=today, year_colours=colours) for tag in tags), ()
    day = _day_of_work(chosen.done_on, today)
    context.survey(shop)
    with working("choosing hoists") as tell_chosen:
        found = hoists_for(
            shop, chosen.kind, today=today, done_on=day, site=chosen.site, progress=tell_chosen
        )
    with working("working out") as tell_done:
        made = batch(shop, found, chosen.kind, today=today, year_colours=colours, progress=tell_done)
    if not made.labels:
        raise RefusedError("; ".join(made.refusals) or f"no hoist is chosen for {_one(chosen.kind)}")
    return made.labels, made.refusals


def _one(kind: str) -> str:
    word = WORDS[kind]
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"


def _day_of_work(text: str, today: date) -> date | None:
    """The day of --done-on, by its date or as 'today' or 'yesterday'; None where none is given."""
    back = {"today": 0, "yesterday": 1}.get(text.strip().lower())
    if back is not None:
        return today - timedelta(days=back)
    return parse_date(text, "--done-on") if text else None


def label_run(chosen: Namespace) -> int:
    """Print labels of one kind, or only say which would go where."""
    order = _order(chosen)
    if _goes_to_file(chosen) and not getattr(chosen, "preview", False):
        check_free(chosen, _file(chosen))
    if chosen.kind == PROOF:
        _print_proof(chosen, order)
    elif chosen.preview:
        _preview(chosen, order)
    else:
        _print_labels(chosen, order)
    if chosen.keep_offset:
        _keep_offset(chosen, order)
    for refusal in order.refusals:
        tell(chosen, f"left out: {refusal}")
    return RefusedError.exit_code if order.refusals else 0


def _keep_offset(chosen: Namespace, order: _Order) -> None:
    from fieldlog.operations.label_log import keep_offset

    keep_offset(order.shop, chosen.queue, order.offset, by=order.by, now=context.now())
    tell(chosen, f"{chosen.queue}: an offset of {_shown(order.offset)} mm is kept")


def _shown(offset: Offset) -> str:
    return ", ".join(f"{length:f}" for length in offset)


def _preview(chosen: Namespace, order: _Order) -> None:
    from fieldlog.operations.label_log import says_of
    from fieldlog.printing.labels import placing
    from fieldlog.printing.sheet_map import sheet_map

    lines = placing(order.labels, order.template, chosen.start, chosen.copies)
    print(f"{order.template.title}; offset {_shown(order.offset)} mm; nothing is printed yet")
    print("\n".join(sheet_map(order.template, chosen.start, len(lines))))
    for number, line in enumerate(lines):
        print(f"{line}: {says_of(order.labels[number // chosen.copies])}")
    _, cut = _drawn(chosen, order)
    for notice in (*cut, *_printed_before(order)):
        print(notice)


def _title(chosen: Namespace, order: _Order) -> str:
    from fieldlog.domain.label_content import label_name

    names = [label_name(label) for label in order.labels]
    return f"{chosen.kind} {' '.join(names) if len(names) < 10 else f'{names[0]} to {names[-1]}'}"


def _drawn(chosen: Namespace, order: _Order, stream: "BytesIO | None" = None) -> tuple[int, tuple[str, ...]]:
    """Draw the labels; gives back how many pages, and what could not be shown whole."""
    from fieldlog.printing.labels import write

    with working("drawing") as tell_drawn:
        done = write(
            stream or BytesIO(),
            order.labels,
            order.template,
            start=chosen.start,
            offset_mm=order.offset,
            copies=chosen.copies,
            title=_title(chosen, order),
            author=order.by,
            progress=tell_drawn,
        )
    return done.pages, done.cut


def _print_labels(chosen: Namespace, order: _Order) -> None:
    from fieldlog.operations.label_log import check_recordable

    check_recordable(order.shop)
    stream = BytesIO()
    pages, cut = _drawn(chosen, order, stream)
    before = _printed_before(order)
    many = len(order.labels) * chosen.copies
    said = f"{counted(many, 'label')}, {pages} page(s)"
    _hand_over(chosen, order, stream.getvalue(), said)
    for notice in (*cut, *before):
        tell(chosen, notice)


def _printed_before(order: _Order) -> list[str]:
    """A sentence for each label that says what one printed earlier says."""
    from fieldlog.domain.label_content import label_name
    from fieldlog.operations.label_log import last_printed

    with working("looking for earlier prints") as tell_seen:
        days = [(label, last_printed(order.shop, label)) for label in telling(order.labels, tell_seen)]
    return [
        f"{label_name(label)}: the same {WORDS[label.kind]} was printed on {day.isoformat()}"
        f"{', this is print ' + label.texts['print'] if 'print' in label.texts else ''}; destroy the old one."
        for label, day in days
        if day is not None
    ]


def _print_proof(chosen: Namespace, order: _Order) -> None:
    from fieldlog.printing.proof import render_proof

    title = f"proof {order.template.name}"
    printed = render_proof(order.template, offset_mm=order.offset, title=title, author=order.by)
    _hand_over(chosen, order, printed.pdf, f"proof page of {order.template.title}")


def _hand_over(chosen: Namespace, order: _Order, pdf: bytes, said: str) -> None:
    """Leave the PDF where it was asked for and record it as soon as it is out of our hands.

    A queue that refuses is told last: what already lies in a file is recorded all the same.
    """
    from fieldlog.printing.printers import send

    path, to_file = _file(chosen), _goes_to_file(chosen)
    if to_file:
        put(chosen, path, pdf, said)
        _note(chosen, order)
    if not chosen.queue:
        return
    try:
        from_file = to_file and chosen.out != STDOUT
        tell(chosen, send(path if from_file else pdf, chosen.queue, f"{chosen.kind} labels"))
    except PrinterError as error:
        recorded = "They are recorded as printed." if to_file else "Nothing is recorded as printed."
        raise PrinterError(f"{error} {recorded}" if order.labels else str(error)) from error
    if not to_file:
        print(said)
        _note(chosen, order)


def _note(chosen: Namespace, order: _Order) -> None:
    from fieldlog.operations.label_log import note_printed

    now = context.now()
    with working("recording") as tell_noted:
        for label in telling(order.labels, tell_noted):
            try:
                note_printed(
                    order.shop,
                    label,
                    order.template.name,
                    by=order.by,
                    now=now,
                    today=now.date(),
                    copies=chosen.copies,
                )
            except StoreError as error:
                raise type(error)(f"Printed, but not recorded: {error}") from error


def _goes_to_file(chosen: Namespace) -> bool:
    return bool(chosen.out) or not chosen.queue


def _file(chosen: Namespace) -> Path:
    return Path(chosen.out or f"{chosen.kind}.pdf").expanduser()


def sheets(chosen: Namespace) -> int:
    """The label sheets and rolls, with the kinds of label that each has room for."""
    from fieldlog.printing.templates import load_template, template_names

    own = context.shop_of(chosen).root / commands.LABELS_IN_STORE
    for name in template_names(own):
        template = load_template(name, own)
        print(f"{name:<20} {template.title}: {' '.join(template.layouts)}")
    return 0
