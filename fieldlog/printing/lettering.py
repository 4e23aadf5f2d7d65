"""Fitting a text into its box: smaller down to the least size, then cut with an ellipsis and told."""

import unicodedata
from bisect import bisect_right
from collections.abc import Mapping
from decimal import ROUND_FLOOR, Decimal

from msgspec import Struct

from fieldlog.domain.label_content import LabelContent, label_name
from fieldlog.errors import InputError
from fieldlog.printing.fonts import (
    CAPITAL_HEIGHT,
    MM_PER_POINT,
    SUBSTITUTE,
    Printable,
    printable,
    reach,
    width_em,
)
from fieldlog.printing.layouts import FROM_AFAR, NEEDED, NEVER_CUT, Layout, TextBox, text_area

ELLIPSIS = "…"
SIZE_STEP_PT = Decimal("0.1")


class Fitted(Struct, frozen=True, kw_only=True):
    """A text as it will stand in its box; `notices` say what was cut or could not be shown.

    A line break in the text begins its next line.
    """

    box: TextBox
    text: str
    size_pt: Decimal
    notices: tuple[str, ...]


def fit_all(label: LabelContent, layout: Layout) -> tuple[Fitted, ...]:
    """All texts of a label in their boxes, empty ones left out.

    Raises InputError where a text is missing that the label is of no use without, or where one does not fit
    that would mislead when cut.
    """
    name = label_name(label)
    for field in NEEDED[label.kind]:
        if not label.texts.get(field, "").strip():
            raise InputError(f"The {label.kind} label of {name} has no {field}.")
    texts: Mapping[str, str] = {field: text for field, text in label.texts.items() if text.strip()}
    return tuple(fit(texts[box.field], box, name) for box in layout.texts if box.field in texts)


def fit(text: str, box: TextBox, name: str) -> Fitted:
    """The text at the largest size that its box takes; `name` is the label's, for notices and errors."""
    clean = printable(box.before + text, box.weight)
    notices = [
        f"{name}: the font has no {character!r} (U+{ord(character):04X}) for {box.field}; "
        f"a {SUBSTITUTE} stands in its place."
        for character in clean.missing
    ]
    lines, size = _one_line(clean.text, box) if box.lines == 1 else _several_lines(clean, box)
    if not lines:
        if box.field in NEVER_CUT:
            raise InputError(
                f"{name}: {box.field} {text!r} does not fit on this label even at {box.least_pt} pt, "
                "and cut it would mislead; use a larger label."
            )
        size, lines = box.least_pt, _cut(clean.text, box)
        notices.append(f"{name}: {box.field} was cut to {' '.join(lines)!r}; in full it reads {text!r}.")
    return Fitted(box=box, text="\n".join(lines), size_pt=size, notices=tuple(notices))


def too_small_from_afar(fitted: tuple[Fitted, ...], layout: Layout, name: str) -> tuple[str, ...]:
    """A sentence for each text that had to be made too small to be read from the layout's distance."""
    if layout.read_from_mm is None:
        return ()
    afar = FROM_AFAR.get(layout.kind, {})
    heights = [
        (text.box.field, capital_height_mm(text.size_pt), afar[text.box.field])
        for text in fitted
        if text.box.field in afar
    ]
    return tuple(
        f"{name}: {field} stands {height:.1f} mm high, to be read from {_metres(height * ratio)} m and not"
        f" from {layout.read_from_mm / 1000:.2f} m; use a larger label."
        for field, height, ratio in heights
        if height * ratio < layout.read_from_mm
    )


def _metres(distance_mm: Decimal) -> Decimal:
    """Whole centimetres, rounded down: nobody is promised more than there is."""
    return (distance_mm / 1000).quantize(Decimal("0.01"), rounding=ROUND_FLOOR)


def capital_height_mm(size_pt: Decimal) -> Decimal:
    """Height of a capital H [mm] at a type size [pt]."""
    return size_pt * MM_PER_POINT * CAPITAL_HEIGHT


def _largest(box: TextBox, text: str) -> Decimal:
    """The box's own size [pt], or the one that so many lines have room for one below the other."""
    extent = reach(text)
    high = text_area(box).h_mm / (box.lines * (extent.rise + extent.sink) * MM_PER_POINT)
    return min(box.size_pt, high)


def _one_line(text: str, box: TextBox) -> tuple[list[str], Decimal]:
    """The line and the size [pt] at which it just fits, at most the box's own; no line where none does."""
    room_pt = text_area(box).w_mm / MM_PER_POINT
    fitting = min(_largest(box, text), room_pt / max(width_em(text, box.weight), Decimal("0.01")))
    size = fitting.quantize(SIZE_STEP_PT, rounding=ROUND_FLOOR)
    return ([text] if size >= box.least_pt else []), size


def _several_lines(clean: Printable, box: TextBox) -> tuple[list[str], Decimal]:
    """The lines and the largest size [pt] at which they are few enough; no lines where there is none."""
    size = _largest(box, clean.text).quantize(SIZE_STEP_PT, rounding=ROUND_FLOOR)
    while size >= box.least_pt:
        room_em = _room_em(box, size)
        lines = _wrapped(clean.text, room_em, box)
        if len(lines) <= box.lines and all(_fits(line, room_em, box) for line in lines):
            return _evened(lines, room_em, box), size
        size -= SIZE_STEP_PT
    return [], size


def _wrapped(text: str, room_em: Decimal, box: TextBox) -> list[str]:
    """The text in lines broken between words; a word wider than the room gets a line of its own."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _fits(longer, room_em, box):
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _evened(lines: list[str], room_em: Decimal, box: TextBox) -> list[str]:
    """The same words in as many lines of about equal width, so that no word is left alone on the last."""
    text = " ".join(lines)
    narrow = room_em / 2
    while narrow < room_em:
        even = _wrapped(text, narrow, box)
        if len(even) == len(lines) and all(_fits(line, room_em, box) for line in even):
            return even
        narrow += room_em / 40
    return lines


def _cut(text: str, box: TextBox) -> list[str]:
    """The longest beginning of the text that fits at the least size, with an ellipsis behind it."""
    room_em = _room_em(box, box.least_pt)
    lines = _wrapped(text, room_em, box)
    wide = next((number for number, line in enumerate(lines) if not _fits(line, room_em, box)), len(lines))
    last = min(box.lines - 1, wide)
    return [*lines[:last], _shortened(" ".join(lines[last:]), room_em, box)]


def _shortened(text: str, room_em: Decimal, box: TextBox) -> str:
    kept = (
        bisect_right(range(len(text)), room_em, key=lambda n: width_em(text[:n] + ELLIPSIS, box.weight)) - 1
    )
    while kept > 0 and unicodedata.combining(text[kept]):
        kept -= 1
    return text[:kept].rstrip(" ,;-") + ELLIPSIS


def _room_em(box: TextBox, size_pt: Decimal) -> Decimal:
    return text_area(box).w_mm / (size_pt * MM_PER_POINT)


def _fits(text: str, room_em: Decimal, box: TextBox) -> bool:
    return width_em(text, box.weight) <= room_em
