"""Labels to print, pages turned into pictures by pypdfium2, and codes read from them by zxing-cpp."""

from decimal import Decimal
from functools import cache

import pypdfium2
import zxingcpp
from PIL import Image

from fieldlog.domain.label_content import DUE, TAG, LabelContent
from fieldlog.printing.labels import Printed, render
from fieldlog.printing.layouts import Box, symbol_area
from fieldlog.printing.templates import load_template

TEMPLATES = ("a4-3x8-70x37", "letter-3x10", "roll-62")
KINDS = (TAG, DUE)

TEXTS = {
    TAG: {
        "capacity": "500 kg",
        "chain": "5 x 15 mm, T",
        "site": "Saltmarsh Water Works",
        "place": "sludge press, east bay",
        "shop": "Saltmarsh hoist shop",
        "maker": "Longreach EH 500, 40-1187",
    },
    DUE: {
        "heading": "next inspection due",
        "month": "11",
        "year": "2027",
        "kind": "periodic",
        "due": "2027-11-30",
        "done": "2026-11-25",
        "by": "I. Fenwright",
        "shop": "Saltmarsh hoist shop",
        "head": "4f09c2d17a",
    },
}

SHORTEST = {
    TAG: dict.fromkeys(("capacity", "chain", "site", "place", "shop", "maker"), ""),
    DUE: {"month": "1", "by": ""},
}
LONGEST = {
    TAG: {
        "capacity": "125000 kg",
        "chain": "31.5 x 90 mm, grade VH with corrosion protection",
        "site": "Städtische Wasserwerke Großenbrode-Süd, Zweigstelle Æbeltoft",
        "place": "Przepompownia Ścieków Łódź-Północ, hala żurawia, suwnica trzecia od rzeki",
        "shop": "Υδραυλικά Έργα Θεσσαλονίκης, Συνεργείο Ανυψωτικών Μηχανημάτων και Αλυσίδων",
        "maker": "Müllerström & Çelik Kettenzugfabrik EH 500-2/1 mit Fahrwerk, 40-1187-2019-B-0001",
    },
    DUE: {
        "month": "12",
        "kind": "before first use",
        "by": "Aleksandra Brzęczyszczykiewicz-Wiśniewska, Ґалаґан-Їжакевич",
        "shop": "Υδραυλικά Έργα Θεσσαλονίκης, Συνεργείο Ανυψωτικών Μηχανημάτων και Αλυσίδων",
    },
}


def label(kind: str, hoist_id: str = "SW-0007-X", /, **texts: str) -> LabelContent:
    return LabelContent(kind=kind, texts=TEXTS[kind] | {"id": hoist_id} | texts, code=f"FL:{hoist_id}")


def batch(kind: str, count: int) -> list[LabelContent]:
    return [label(kind, f"SW-{number:04d}-K") for number in range(1, count + 1)]


def print_on(name: str, labels: list[LabelContent], **options: object) -> Printed:
    return render(labels, load_template(name), title="Labels", author="Saltmarsh hoist shop", **options)  # type: ignore[arg-type]


@cache
def full_sheet(name: str, kind: str) -> bytes:
    """All positions of one sheet; three pages of a roll."""
    return print_on(name, batch(kind, SHEETS[name].count or 3)).pdf


@cache
def picture(pdf: bytes, dpi: int, page: int = 0) -> Image.Image:
    return pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True).to_pil()


def pages(pdf: bytes) -> int:
    return len(pypdfium2.PdfDocument(pdf))


def codes(image: Image.Image) -> list[str]:
    return [code.text for code in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)]


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
    part = image.crop((first_x, first_y, last_x, last_y))
    box = part.point(lambda grey: 255 if grey < 128 else 0).getbbox()
    if box is None:
        return None
    return (
        (first_x + box[0]) / across,
        (first_y + box[1]) / down,
        (first_x + box[2]) / across,
        (first_y + box[3]) / down,
    )


class Sheet:
    """A published sheet: page, label and first corner and step [mm]; `count` is 0 for a roll."""

    def __init__(
        self, *, page: str, size: str, grid: tuple[int, int], first: str, step: str, inch: bool = False
    ) -> None:
        unit = Decimal("25.4") if inch else Decimal(1)
        self.page, self.size, self.first, self.step = (
            tuple(Decimal(number) * unit for number in pair.split()) for pair in (page, size, first, step)
        )
        self.nx, self.ny = grid
        self.count = self.nx * self.ny if self.nx > 1 else 0

    def corner(self, position: int) -> tuple[float, float]:
        row, column = divmod(position - 1, self.nx)
        return float(self.first[0] + column * self.step[0]), float(self.first[1] + row * self.step[1])


# Published dimensions of label sheets: A4 with 24 labels of 70 x 37 mm from edge to edge; US letter with 30
# labels of 2.625 x 1 in, first corner 0.15625, 0.5 in, step 2.78125, 1 in (printed in inches). Rolls of 62 mm
# have no grid; 40 mm is the shop's choice. A4 is 210 x 297 mm (ISO 216), letter 8.5 x 11 in (ASME Y14.1).
SHEETS = {
    "a4-3x8-70x37": Sheet(page="210 297", size="70 37", grid=(3, 8), first="0 0", step="70 37"),
    "letter-3x10": Sheet(
        page="8.5 11", size="2.625 1", grid=(3, 10), first="0.15625 0.5", step="2.78125 1", inch=True
    ),
    "roll-62": Sheet(page="62 40", size="62 40", grid=(1, 1), first="0 0", step="62 40"),
}


def area_mm(box: Box, corner: tuple[float, float]) -> tuple[float, float, float, float]:
    """Left, upper, right and lower end [mm on the page] of a box on the label at `corner`."""
    x, y = corner[0] + float(box.x_mm), corner[1] + float(box.y_mm)
    return x, y, x + float(box.w_mm), y + float(box.h_mm)


def code_area(
    name: str, kind: str, position: int, margin_mm: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where a label's symbol must stand on the page, and the same with a margin all around."""
    left, upper, right, lower = area_mm(
        symbol_area(load_template(name).layouts[kind].code), SHEETS[name].corner(position)
    )
    return (left, upper, right, lower), (
        left - margin_mm,
        upper - margin_mm,
        right + margin_mm,
        lower + margin_mm,
    )
