"""From the tables of a template file to values: every fault in their shape is noted, none stops it."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Any, TypeVar

from msgspec import Struct, field

from fieldlog.domain.label_content import FIELDS
from fieldlog.errors import Problem
from fieldlog.printing.layouts import Align, Box, CodeBox, Grid, Layout, Page, Panel, Round, TextBox, Weight

LONGEST_MM = Decimal(1500)
MOST_LABELS = 200
MOST_LINES = 9
FARTHEST_MM = Decimal(50000)

LAID_OUT = tuple(kind for kind, fields in FIELDS.items() if fields)
"""Kinds of label that a template lays out; a proof page shows the sheet itself."""

Made = TypeVar("Made")
Word = TypeVar("Word", bound=StrEnum)


class Faults:
    """The faults found so far in one file."""

    def __init__(self, file: str) -> None:
        """Begin with none; `file` is the name to show."""
        self.file = file
        self.found: list[Problem] = []

    def add(self, key: str, wrong: str, todo: str = "") -> None:
        """Note that `key` is wrong and what to do about it."""
        self.found.append(Problem(place=f"{self.file}, {key}", wrong=wrong, todo=todo))


class Draft(Struct):
    """As much of a template as could be read; None stands for a part with a fault."""

    title: str | None = None
    page: Page | None = None
    grid: Grid | None = None
    layouts: dict[str, Layout] = field(default_factory=dict)


class _Table:
    """One table of the file: hands out its values and, in the end, complains of keys nobody asked for."""

    def __init__(self, value: Any, where: str, faults: Faults) -> None:
        self.where, self.faults = where, faults
        self.sound = isinstance(value, dict)
        self.values: Mapping[str, Any] = value if self.sound else {}
        self.asked: list[str] = []
        if not self.sound:
            faults.add(where, "must be a table.", "Give its keys and values.")

    def key(self, name: str) -> str:
        return f"{self.where}.{name}" if self.where else name

    def has(self, name: str) -> bool:
        self.asked.append(name)
        return name in self.values

    def get(self, name: str) -> Any:
        if not self.has(name) and self.sound:
            self.faults.add(self.key(name), "is missing.", f"Add it to [{self.where or 'the file'}].")
        return self.values.get(name)

    def number(self, name: str, *, zero: bool = False, most: Decimal = LONGEST_MM) -> Decimal | None:
        value = self.get(name)
        if value is None:
            return None
        if isinstance(value, int | Decimal) and not isinstance(value, bool):
            number = Decimal(value)
            if number.is_finite() and (number > 0 or (zero and number == 0)) and number <= most:
                return number
        least = "from 0" if zero else "above 0"
        self.faults.add(self.key(name), f"is {value!s}.", f"Give a number {least} and up to {most}.")
        return None

    def count(self, name: str, most: int = MOST_LABELS, *, default: int | None = None) -> int | None:
        if default is not None and not self.has(name):
            return default
        value = self.get(name)
        if value is None or (isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most):
            return value
        self.faults.add(self.key(name), f"is {value!s}.", f"Give a whole number from 1 to {most}.")
        return None

    def truth(self, name: str) -> bool | None:
        value = self.values[name] if self.has(name) else False
        if isinstance(value, bool):
            return value
        self.faults.add(self.key(name), f"is {value!s}.", "Give true or false.")
        return None

    def text(self, name: str, *, default: str | None = None) -> str | None:
        if default is not None and not self.has(name):
            return default
        value = self.get(name)
        if value is None or isinstance(value, str):
            return value
        self.faults.add(self.key(name), f"is {value!s}.", "Give a text in quotes.")
        return None

    def word(self, name: str, kind: type[Word], default: Word) -> Word | None:
        value = self.values[name] if self.has(name) else default
        if value in list(kind):
            return kind(value)
        self.faults.add(self.key(name), f"is {value!s}.", f"Give one of {', '.join(kind)}.")
        return None

    def close(self) -> None:
        for name in self.values:
            if name not in self.asked:
                self.faults.add(self.key(name), "is not known here.", f"Known are {', '.join(self.asked)}.")


def read(table: Mapping[str, Any], faults: Faults) -> Draft:
    """The draft of a template from a file's tables, as tomllib gives them with Decimal for floats."""
    file = _Table(table, "", faults)
    draft = Draft(title=file.text("title"), page=_page(file), grid=_grid(file))
    for kind in LAID_OUT:
        if file.has(kind):
            draft.layouts[kind] = _layout(_Table(table[kind], kind, faults), kind)
    if not draft.layouts:
        faults.add(" or ".join(LAID_OUT), "is missing.", "Say what stands on at least one kind of label.")
    file.close()
    return draft


def _page(file: _Table) -> Page | None:
    if (value := file.get("page")) is None:
        return None
    page = _Table(value, "page", file.faults)
    made = _make(
        Page,
        w_mm=page.number("w"),
        h_mm=page.number("h"),
        unprintable_mm=page.number("unprintable", zero=True),
        turned=page.truth("turned"),
    )
    page.close()
    return made


def _grid(file: _Table) -> Grid | None:
    if (value := file.get("label")) is None:
        return None
    label = _Table(value, "label", file.faults)
    sizes = {f"{name}_mm": label.number(name) for name in ("w", "h", "dx", "dy")}
    corner = {f"{name}_mm": label.number(name, zero=True) for name in ("x0", "y0")}
    made = _make(Grid, **sizes, **corner, nx=label.count("nx"), ny=label.count("ny"))
    label.close()
    return made


def _layout(table: _Table, kind: str) -> Layout:
    boxes = table.get("text")
    if boxes is not None and not isinstance(boxes, list):
        table.faults.add(
            table.key("text"), "must be a list of boxes.", "Write text = [ { field = ... }, ... ]."
        )
        boxes = None
    texts = [
        _text(_Table(box, f"{kind}.text[{number}]", table.faults), kind)
        for number, box in enumerate(boxes or (), 1)
    ]
    code = _code(table) if table.has("code") else None
    months = ring = None
    if "month" in FIELDS[kind]:
        months = _strip(table) if table.has("months") else None
        ring = _round(table, "ring")
    sign, hole = _round(table, "sign", coloured=True), _round(table, "hole")
    distance = table.number("read_from_mm", most=FARTHEST_MM) if table.has("read_from_mm") else None
    table.close()
    return Layout(
        kind=kind,
        texts=tuple(text for text in texts if text),
        code=code,
        months=months,
        ring=ring,
        sign=sign,
        hole=hole,
        read_from_mm=distance,
    )


def _strip(layout: _Table) -> Box | None:
    table = _Table(layout.values["months"], layout.key("months"), layout.faults)
    box = _box(table)
    table.close()
    return box


def _round(layout: _Table, name: str, *, coloured: bool = False) -> Round | None:
    if not layout.has(name):
        return None
    table = _Table(layout.values[name], layout.key(name), layout.faults)
    corner = {f"{axis}_mm": table.number(axis, zero=True) for axis in ("x", "y")}
    red = table.truth("red") if coloured else False
    made = _make(Round, **corner, d_mm=table.number("d"), red=red)
    table.close()
    return made


def _text(table: _Table, kind: str) -> TextBox | None:
    name = table.text("field")
    if name is not None and name not in FIELDS[kind]:
        table.faults.add(
            table.key("field"),
            f"{name!r} is no field of a {kind} label.",
            f"Fields are {', '.join(FIELDS[kind])}.",
        )
        name = None
    made = _make(
        TextBox,
        field=name,
        box=_box(table),
        size_pt=table.number("size"),
        least_pt=table.number("least"),
        weight=table.word("weight", Weight, Weight.REGULAR),
        align=table.word("align", Align, Align.LEFT),
        before=table.text("before", default=""),
        lines=table.count("lines", MOST_LINES, default=1),
        panel=table.word("panel", Panel, Panel.NONE),
    )
    table.close()
    return made


def _box(table: _Table) -> Box | None:
    corner = {f"{name}_mm": table.number(name, zero=True) for name in ("x", "y")}
    return _make(Box, **corner, w_mm=table.number("w"), h_mm=table.number("h"))


def _code(layout: _Table) -> CodeBox | None:
    table = _Table(layout.values["code"], layout.key("code"), layout.faults)
    corner = {f"{name}_mm": table.number(name, zero=True) for name in ("x", "y")}
    made = _make(CodeBox, **corner, module_mm=table.number("module_mm"))
    table.close()
    return made


def _make(kind: Callable[..., Made], **values: Any) -> Made | None:
    """The value, or None where one of its parts could not be read."""
    return None if None in values.values() else kind(**values)
