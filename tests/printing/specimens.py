"""Labels to print, pages turned into pictures by pypdfium2, codes read by zxing-cpp and by OpenCV."""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache, lru_cache
from itertools import cycle

import cv2
import numpy
import pypdfium2
import zxingcpp
from PIL import Image

from fieldlog.domain.label_content import LabelContent
from fieldlog.printing.labels import Printed, render
from fieldlog.printing.layouts import Box, symbol_area
from fieldlog.printing.templates import load_template
from tests.printing.label_texts import KINDS, TEXTS, YELLOW


def label(kind: str, hoist_id: str = "SW-0007-X", /, **texts: str) -> LabelContent:
    """A label of that hoist with usual texts, changed in those given."""
    all_texts = TEXTS[kind] | {"id": hoist_id} | texts
    colour = YELLOW if all_texts.get("colour") else None
    return LabelContent(kind=kind, texts=all_texts, code=f"FL:{hoist_id}", year_colour=colour)


def batch(kind: str, count: int) -> list[LabelContent]:
    return [label(kind, f"SW-{number:04d}-K") for number in range(1, count + 1)]


def kinds_on(name: str) -> tuple[str, ...]:
    return tuple(kind for kind in KINDS if kind in load_template(name).layouts)


def mixed(name: str, content: Mapping[str, Mapping[str, str]] | None = None) -> list[LabelContent]:
    """Labels for every position of one sheet, all its kinds in turn; for a roll one of each kind."""
    kinds = kinds_on(name)
    count = SHEETS[name].count or len(kinds)
    return [
        label(kind, f"SW-{number:04d}-K", **(content or {}).get(kind, {}))
        for number, kind in zip(range(1, count + 1), cycle(kinds), strict=False)
    ]


def print_on(name: str, labels: list[LabelContent], **options: object) -> Printed:
    return render(labels, load_template(name), title="Labels", author="Saltmarsh hoist shop", **options)  # type: ignore[arg-type]


@cache
def full_sheet(name: str) -> bytes:
    """All positions of one sheet, its kinds in turn; of a roll a page for each kind."""
    return print_on(name, mixed(name)).pdf


def where(name: str, index: int) -> tuple[int, tuple[float, float]]:
    """Page (from 0) and upper left corner [mm on the page] of the label at an index of a full sheet."""
    sheet = SHEETS[name]
    return (0, sheet.corner(index + 1)) if sheet.count else (index, sheet.corner(1))


@lru_cache(maxsize=64)
def picture(pdf: bytes, dpi: int, page: int = 0) -> Image.Image:
    return pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True).to_pil()


def seen(name: str, pdf: bytes, dpi: int, page: int = 0) -> Image.Image:
    """A page in grey as it is read: one that is fed sideways is turned back."""
    image = picture(pdf, dpi, page)
    return image.rotate(90, expand=True) if SHEETS[name].turned else image


def coloured(name: str, pdf: bytes, dpi: int) -> Image.Image:
    """The first page in colour as it is read."""
    image = pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72).to_pil().convert("RGB")
    return image.rotate(90, expand=True) if SHEETS[name].turned else image


def closeup(name: str, pdf: bytes, area: tuple[float, ...], dpi: int = 600) -> Image.Image:
    """Only an area [mm: left, upper, right, lower] of the first page as it is read, in grey."""
    page = pypdfium2.PdfDocument(pdf)[0]
    if SHEETS[name].turned:
        wide = float(SHEETS[name].page[0])
        whole, dots = seen(name, pdf, dpi), page.get_height() * dpi / 72 / wide
        return whole.crop(tuple(round(edge * dots) for edge in area))
    size = page.get_width(), page.get_height()
    left, upper, right, lower = (edge * 72 / 25.4 for edge in area)
    cut = (left, size[1] - lower, size[0] - right, upper)
    return page.render(scale=dpi / 72, grayscale=True, crop=cut).to_pil()


def pages(pdf: bytes) -> int:
    return len(pypdfium2.PdfDocument(pdf))


def codes(image: Image.Image) -> list[str]:
    """What zxing-cpp reads."""
    return [code.text for code in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)]


def code_by_opencv(image: Image.Image) -> str:
    """What OpenCV's detector reads of one code, from a few looks at it.

    It wants a wide margin and now and then misses a sharp upright code that it reads a little turned, blurred
    or enlarged, as in the picture of a hand-held camera.
    """
    for angle, scale in ((0, 1), (10, 1), (0, 2), (10, 2), (0, 3)):
        look = image.resize((image.width * scale, image.height * scale), Image.Resampling.BICUBIC)
        turned = look.rotate(angle, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)
        padded = cv2.copyMakeBorder(numpy.array(turned), *(40,) * 4, cv2.BORDER_CONSTANT, value=255)
        if angle or scale > 1:
            padded = cv2.GaussianBlur(padded, (0, 0), 1)
        text = cv2.QRCodeDetector().detectAndDecode(padded)[0]
        if text:
            return str(text)
    return ""


def words(pdf: bytes) -> str:
    """All text of all pages, as a reader that selects it would get it."""
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


def ink_mm(image: Image.Image, name: str, area: tuple[float, ...] | None = None) -> tuple[float, ...] | None:
    """Left, upper, right and lower end [mm on the page] of the ink in an area; None where it is blank."""
    page_w, page_h = map(float, SHEETS[name].page)
    across, down = image.width / page_w, image.height / page_h  # the picture is rounded up to whole dots
    left, upper, right, lower = area or (0, 0, page_w, page_h)
    first_x, first_y = max(0, round(left * across)), max(0, round(upper * down))
    last_x, last_y = min(image.width, round(right * across)), min(image.height, round(lower * down))
    box = inked(image.crop((first_x, first_y, last_x, last_y)))
    if box is None:
        return None
    return (
        (first_x + box[0]) / across,
        (first_y + box[1]) / down,
        (first_x + box[2]) / across,
        (first_y + box[3]) / down,
    )


def inked(image: Image.Image) -> tuple[int, int, int, int] | None:
    """The box around all ink [dots]."""
    return image.point(lambda grey: 255 if grey < 128 else 0).getbbox()


class Sheet:
    """A published sheet: page, label and first corner and step [mm]; `count` is 0 for a roll.

    `page` is as it is read; one that is `turned` is fed sideways.
    """

    def __init__(
        self,
        *,
        page: str,
        size: str,
        grid: tuple[int, int] = (1, 1),
        first: str = "0 0",
        step: str = "",
        unit: str = "1",
        turned: bool = False,
    ) -> None:
        self.page, self.size, self.first, self.step = (
            tuple(Decimal(number) * Decimal(unit) for number in pair.split())
            for pair in (page, size, first, step or size)
        )
        self.nx, self.ny = grid
        self.turned = turned
        self.count = self.nx * self.ny if self.nx > 1 else 0

    def corner(self, position: int) -> tuple[float, float]:
        row, column = divmod(position - 1, self.nx)
        return float(self.first[0] + column * self.step[0]), float(self.first[1] + row * self.step[1])


# Published dimensions of label sheets and rolls; A4 is 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ASME
# Y14.1). The letter sheets are published in inches. The lengths of the rolls of 62 and 102 mm are the shop's
# choice: 40 and 76.2 mm. 4 x 6 in is from memory.
IN = "25.4"
SHEETS = {
    "a4-2x4-99x67": Sheet(page="210 297", size="99.1 67.7", grid=(2, 4), first="6 13", step="101.1 67.7"),
    "a4-2x7-99x38": Sheet(page="210 297", size="99.1 38.1", grid=(2, 7), first="4.2 13.8", step="102 38.1"),
    "a4-3x7-63x38": Sheet(page="210 297", size="63.5 38.1", grid=(3, 7), first="6.75 15.5", step="66.5 38.1"),
    "a4-3x8-70x37": Sheet(page="210 297", size="70 37", grid=(3, 8)),
    "label-4x6": Sheet(page="4 6", size="4 6", unit=IN),
    "letter-2x5": Sheet(
        page="8.5 11", size="4 2", grid=(2, 5), first="0.15625 0.5", step="4.1875 2", unit=IN
    ),
    "letter-3x10": Sheet(
        page="8.5 11", size="2.625 1", grid=(3, 10), first="0.15625 0.5", step="2.78125 1", unit=IN
    ),
    "roll-102": Sheet(page="101.6 76.2", size="101.6 76.2"),
    "roll-29x90": Sheet(page="89.83 28.96", size="89.83 28.96", turned=True),
    "roll-62": Sheet(page="62 40", size="62 40"),
    "roll-62x100": Sheet(page="99.82 61.98", size="99.82 61.98", turned=True),
}
TEMPLATES = tuple(SHEETS)
LAYOUTS = tuple((name, kind) for name in TEMPLATES for kind in kinds_on(name))


def area_mm(box: Box, corner: tuple[float, float]) -> tuple[float, float, float, float]:
    """Left, upper, right and lower end [mm on the page] of a box on the label at `corner`."""
    x, y = corner[0] + float(box.x_mm), corner[1] + float(box.y_mm)
    return x, y, x + float(box.w_mm), y + float(box.h_mm)


def widened(area: tuple[float, ...], margin_mm: float) -> tuple[float, float, float, float]:
    left, upper, right, lower = area
    return left - margin_mm, upper - margin_mm, right + margin_mm, lower + margin_mm


def code_area(name: str, kind: str, corner: tuple[float, float]) -> tuple[float, float, float, float]:
    """Where a label's symbol must stand on the page [mm]."""
    return area_mm(symbol_area(load_template(name).layouts[kind].code), corner)


def text_area(name: str, kind: str, field: str, corner: tuple[float, float]) -> tuple[float, ...]:
    """Where a field's box must stand on the page [mm]."""
    box = next(text.box for text in load_template(name).layouts[kind].texts if text.field == field)
    return area_mm(box, corner)
