"""Faults in what a template lays out: off the page or the label, on each other, codes too fine."""

from decimal import Decimal
from itertools import combinations

from fieldlog.domain.label_content import TAG, WITHDRAWN
from fieldlog.printing.fonts import MM_PER_POINT
from fieldlog.printing.layouts import (
    FROM_AFAR,
    LEAST_DISTANCE_MM,
    NEEDED,
    Box,
    CodeBox,
    Grid,
    Layout,
    Page,
    TextBox,
    height_per_point,
    inked_areas,
    symbol_area,
    text_area,
)
from fieldlog.printing.lettering import capital_height_mm
from fieldlog.printing.qr import QUIET_MODULES
from fieldlog.printing.template_reader import Draft, Faults

LEAST_MODULE_MM = Decimal("0.4")
"""Finer modules do not survive dirt. Near the smallest module of a code read in retail, 0.396 mm (GS1 General
Specifications 5.12.3.1); shop labels get 0.5 mm and more (common practice, no source)."""

LEAST_WIDTH_EM = 2
"""A narrower box holds no more than an ellipsis (common practice, no source)."""

LEAST_MONTHS_MM = (Decimal(30), Decimal("2.5"))
"""In a smaller strip of months the figures are under about 1 mm high (common practice, no source)."""

LEAST_RING_MM = Decimal(16)
"""In a smaller ring of months they are under about 1.3 mm high (common practice, no source)."""

LEAST_SIGN_MM = Decimal(8)
"""A smaller sign is hard to make out at arm's length (common practice, no source)."""


def check(draft: Draft, faults: Faults) -> None:
    """Note every fault in what could be read of a template."""
    if draft.page and draft.grid:
        _check_grid(draft.page, draft.grid, faults)
    for layout in draft.layouts.values():
        _check_layout(layout, draft, faults)


def _check_layout(layout: Layout, draft: Draft, faults: Faults) -> None:
    _check_fields(layout, faults)
    for text in layout.texts:
        _check_text(f"{layout.kind}, field {text.field}", text, faults)
    areas = inked_areas(layout)
    for (one, first), (other, second) in combinations(areas.items(), 2):
        if _overlap(first, second):
            faults.add(f"{layout.kind}, {one}", f"overlaps {other}.", "Move or shrink one of them.")
    if layout.code:
        _check_code(layout, layout.code, draft.grid, faults)
    if layout.months:
        _check_months(f"{layout.kind}.months", layout.months, faults)
    for name, circle, least in (("ring", layout.ring, LEAST_RING_MM), ("sign", layout.sign, LEAST_SIGN_MM)):
        if circle and circle.d_mm < least:
            faults.add(f"{layout.kind}.{name}.d", f"is {circle.d_mm} mm.", f"Give it at least {least} mm.")
    _check_distance(layout, faults)
    for name, area in areas.items():
        if draft.grid:
            _check_area(f"{layout.kind}, {name}", area, draft.grid, draft.page, faults)


def _check_distance(layout: Layout, faults: Faults) -> None:
    """Letters of an out-of-service tag reach their height at their least size, others at their usual one."""
    distance, where = layout.read_from_mm, f"{layout.kind}.read_from_mm"
    if layout.kind == WITHDRAWN and (distance is None or distance < LEAST_DISTANCE_MM):
        told = "is missing." if distance is None else f"is {distance} mm."
        faults.add(where, told, f"Such a tag is read from {LEAST_DISTANCE_MM} mm (5 ft) at least.")
    ratios = FROM_AFAR.get(layout.kind, {})
    for text in layout.texts if distance else ():
        if distance is None or text.field not in ratios:
            continue
        size_pt = text.least_pt if layout.kind == WITHDRAWN else text.size_pt
        size_pt = min(size_pt, text_area(text).h_mm / height_per_point(text))
        height, needed = capital_height_mm(size_pt), distance / ratios[text.field]
        if height < needed:
            faults.add(
                f"{layout.kind}, field {text.field}",
                f"stands {height:.2f} mm high, from {distance} mm it is read at {needed:.2f} mm.",
                f"Give it 1 mm for every {ratios[text.field]} mm of distance.",
            )


def _check_grid(page: Page, grid: Grid, faults: Faults) -> None:
    axes = (
        ("across", "w", "x", grid.nx, grid.x0_mm, grid.dx_mm, grid.w_mm, page.w_mm),
        ("down", "h", "y", grid.ny, grid.y0_mm, grid.dy_mm, grid.h_mm, page.h_mm),
    )
    for way, size_key, axis, count, first, step, size, room in axes:
        end = first + (count - 1) * step + size
        if end > room:
            faults.add(
                f"label.{size_key}",
                f"{count} labels {way} end at {end} mm, the page at {room} mm.",
                f"Check {axis}0, d{axis}, n{axis} and {size_key}.",
            )
        if count > 1 and step < size:
            faults.add(f"label.d{axis}", f"steps {step} mm, a label is {size} mm.", "Labels may not overlap.")


def _check_fields(layout: Layout, faults: Faults) -> None:
    fields = [text.field for text in layout.texts]
    for field in dict.fromkeys(fields):
        if fields.count(field) > 1:
            faults.add(
                f"{layout.kind}.text", f"has the field {field} {fields.count(field)} times.", "Keep one box."
            )
    for field in NEEDED[layout.kind]:
        if field not in fields:
            faults.add(f"{layout.kind}.text", f"has no box for the field {field}.", "Add one.")
    if layout.kind == TAG and layout.code is None:
        faults.add(f"{layout.kind}.code", "is missing.", "A tag without a code can not be scanned.")


def _check_text(where: str, text: TextBox, faults: Faults) -> None:
    if text.size_pt < text.least_pt:
        faults.add(
            where, f"size {text.size_pt} is under least {text.least_pt}.", "Raise size or lower least."
        )
    room = text_area(text)
    needed_h = (text.least_pt * height_per_point(text)).quantize(Decimal("0.01"))
    if room.h_mm < needed_h:
        faults.add(
            where,
            f"the box is {_mm(room.h_mm)} mm high, {_letters(text)} need {needed_h} mm.",
            "Raise h or lower least.",
        )
    needed_w = (text.least_pt * LEAST_WIDTH_EM * MM_PER_POINT).quantize(Decimal("0.01"))
    if room.w_mm < needed_w:
        faults.add(
            where,
            f"the box is {_mm(room.w_mm)} mm wide, letters of {text.least_pt} pt need {needed_w} mm.",
            "Raise w or lower least.",
        )


def _mm(length: Decimal) -> str:
    return f"{length.normalize():f}"


def _letters(text: TextBox) -> str:
    what = "letters" if text.lines == 1 else f"{text.lines} lines"
    return f"{what} of {text.least_pt} pt"


def _check_code(layout: Layout, code: CodeBox, grid: Grid | None, faults: Faults) -> None:
    where = f"{layout.kind}.code"
    if code.module_mm < LEAST_MODULE_MM:
        faults.add(
            f"{where}.module_mm",
            f"is {code.module_mm} mm.",
            f"Modules under {LEAST_MODULE_MM} mm do not last.",
        )
    quiet = QUIET_MODULES * code.module_mm
    symbol = symbol_area(code)
    gaps = {
        f"the box of {name}": _gap(symbol, area)
        for name, area in inked_areas(layout).items()
        if name != "code"
    }
    if grid:
        gaps |= {f"the label's {side} edge": room for side, room in _margins(symbol, grid).items()}
    for neighbour, gap in gaps.items():
        if 0 <= gap < quiet:
            faults.add(
                where,
                f"the quiet zone is under {QUIET_MODULES} modules: {gap} mm to {neighbour}.",
                f"Leave {quiet} mm.",
            )


def _check_months(where: str, months: Box, faults: Faults) -> None:
    least_w, least_h = LEAST_MONTHS_MM
    if months.w_mm < least_w or months.h_mm < least_h:
        faults.add(
            where, f"is {months.w_mm} x {months.h_mm} mm.", f"Give it at least {least_w} x {least_h} mm."
        )


def _check_area(where: str, area: Box, grid: Grid, page: Page | None, faults: Faults) -> None:
    for side, room in _margins(area, grid).items():
        if room < 0:
            faults.add(where, f"sticks out of the label by {-room} mm ({side}).", "Move or shrink it.")
    if page is None:
        return
    edges = {
        "left": grid.x0_mm + area.x_mm,
        "upper": grid.y0_mm + area.y_mm,
        "right": page.w_mm - grid.x0_mm - (grid.nx - 1) * grid.dx_mm - area.x_mm - area.w_mm,
        "lower": page.h_mm - grid.y0_mm - (grid.ny - 1) * grid.dy_mm - area.y_mm - area.h_mm,
    }
    inside = all(room >= 0 for room in _margins(area, grid).values())
    for side, room in edges.items():
        if inside and 0 <= room < page.unprintable_mm:
            faults.add(
                where,
                f"comes within {room} mm of the page's {side} edge.",
                f"Printers may leave {page.unprintable_mm} mm blank.",
            )


def _margins(area: Box, grid: Grid) -> dict[str, Decimal]:
    """Room between an area and each edge of its label; negative where it sticks out."""
    return {
        "left": area.x_mm,
        "upper": area.y_mm,
        "right": grid.w_mm - area.x_mm - area.w_mm,
        "lower": grid.h_mm - area.y_mm - area.h_mm,
    }


def _apart(one: Box, other: Box) -> tuple[Decimal, Decimal]:
    """Clear distance of two areas across and down; negative where they share that range."""
    across = max(one.x_mm - other.x_mm - other.w_mm, other.x_mm - one.x_mm - one.w_mm)
    down = max(one.y_mm - other.y_mm - other.h_mm, other.y_mm - one.y_mm - one.h_mm)
    return across, down


def _overlap(one: Box, other: Box) -> bool:
    return all(distance < 0 for distance in _apart(one, other))


def _gap(one: Box, other: Box) -> Decimal:
    """The wider of the two distances: a box enters a square zone only where both are under its width."""
    return max(_apart(one, other))
