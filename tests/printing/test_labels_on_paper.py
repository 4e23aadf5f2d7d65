"""Proves, on rendered pages of every sheet, that codes scan, stand in place, and that text keeps its box."""

from io import BytesIO

import pypdf
import pypdfium2
import pytest
from PIL import ImageDraw

from fieldlog.domain.label_content import CHAIN, SPARE, TAG, label_name
from fieldlog.printing.lettering import ELLIPSIS
from fieldlog.printing.templates import load_template
from tests.printing.label_texts import LONGEST, SHORTEST
from tests.printing.specimens import (
    LAYOUTS,
    SHEETS,
    TEMPLATES,
    area_mm,
    code_area,
    code_by_opencv,
    codes,
    full_sheet,
    ink_mm,
    label,
    mixed,
    pages,
    print_on,
    seen,
    where,
    widened,
    words,
)

POINT_MM = 25.4 / 72


def quiet_zone(name, kind):
    return 4 * float(load_template(name).layouts[kind].code.module_mm)  # 4 modules: ISO/IEC 18004


def letters(name, pdf):
    """Each printed character of the first page with its left, upper, right and lower end [mm], by pdfium."""
    sheet = pypdfium2.PdfDocument(pdf)[0]
    text, height = sheet.get_textpage(), sheet.get_height()
    found = []
    for index in range(text.count_chars()):
        character = text.get_text_range(index, 1)
        left, bottom, right, top = text.get_charbox(index)
        if SHEETS[name].turned:  # the page as it is read lies on its right side
            left, bottom, right, top = height - top, left, height - bottom, right
            upper, lower = sheet.get_width() - top, sheet.get_width() - bottom
        else:
            upper, lower = height - top, height - bottom
        if character.strip():
            found.append((character, *(edge * POINT_MM for edge in (left, upper, right, lower))))
    return found


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("name", TEMPLATES)
def test_all_codes_of_a_full_sheet_are_read_by_two_other_decoders(name, dpi):
    pdf, labels = full_sheet(name), mixed(name)
    expected = [content.code for content in labels]
    images = [seen(name, pdf, dpi, page) for page in range(pages(pdf))]
    assert sorted(text for image in images for text in codes(image)) == sorted(expected)
    read = []
    for index, content in enumerate(labels):
        page, corner = where(name, index)
        image = images[page]
        dots = image.width / float(SHEETS[name].page[0])
        area = widened(code_area(name, content.kind, corner), quiet_zone(name, content.kind))
        read.append(code_by_opencv(image.crop(tuple(round(edge * dots) for edge in area))))
    assert read == expected


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_code_stands_where_the_sheet_has_its_label_and_has_its_quiet_zone(name):
    # expected: corner by the published dimensions plus the template's own place on the label; within 0.1 mm
    pdf = full_sheet(name)
    for index, content in enumerate(mixed(name)):
        page, corner = where(name, index)
        symbol = code_area(name, content.kind, corner)
        zone = widened(symbol, quiet_zone(name, content.kind) - 0.1)
        assert ink_mm(seen(name, pdf, 300, page), name, zone) == pytest.approx(symbol, abs=0.1)


@pytest.mark.parametrize("name", TEMPLATES)
def test_ink_keeps_inside_the_labels_and_off_the_unprintable_edge(name):
    sheet, template = SHEETS[name], load_template(name)
    printed = print_on(name, mixed(name, LONGEST))
    page_w, page_h = map(float, sheet.page)
    edge = float(template.page.unprintable_mm) - 0.1
    for page in range(printed.pages):
        image = seen(name, printed.pdf, 300, page).copy()
        left, upper, right, lower = ink_mm(image, name)
        assert min(left, upper, page_w - right, page_h - lower) >= edge
        draw, across, down = ImageDraw.Draw(image), image.width / page_w, image.height / page_h
        for position in range(1, (sheet.count or 1) + 1):
            x, y = sheet.corner(position)
            far = (x + float(sheet.size[0]), y + float(sheet.size[1]))
            assert 0 <= x < far[0] <= page_w + 1e-9
            assert 0 <= y < far[1] <= page_h + 1e-9
            draw.rectangle([x * across, y * down, far[0] * across, far[1] * down], fill=255)
        assert ink_mm(image, name) is None


def boxes_of(layout, corner):
    """The boxes that letters may stand in, by field."""
    boxes = {text.field: area_mm(text.box, corner) for text in layout.texts}
    if layout.months:
        boxes["twelve months"] = area_mm(layout.months, corner)
    if layout.ring:
        ring = layout.ring
        x, y, d = corner[0] + float(ring.x_mm), corner[1] + float(ring.y_mm), float(ring.d_mm)
        boxes["twelve months"] = (x, y, x + d, y + d)
    return boxes


@pytest.mark.parametrize("content", [SHORTEST, LONGEST], ids=["shortest", "longest"])
@pytest.mark.parametrize(("name", "kind"), LAYOUTS)
def test_every_letter_stands_in_its_own_box(name, kind, content):
    layout, last = load_template(name).layouts[kind], SHEETS[name].count or 1
    shown = label(kind, "WQJW-9999-J" if content is LONGEST else "AB-0001-C", **content[kind])
    printed = print_on(name, [shown], start=last)
    boxes = boxes_of(layout, SHEETS[name].corner(last))
    lines = {text.field: text.lines for text in layout.texts}
    found = {field: [] for field in boxes}
    for character, left, upper, right, lower in letters(name, printed.pdf):
        x, y = (left + right) / 2, (upper + lower) / 2
        field, area = next(
            (field, area) for field, area in boxes.items() if area[0] < x < area[2] and area[1] < y < area[3]
        )
        assert area[0] - 0.05 <= left <= right <= area[2] + 0.05, (field, character)
        assert area[1] - 0.05 <= upper <= lower <= area[3] + 0.05, (field, character)
        line = int((y - area[1]) / (area[3] - area[1]) * lines.get(field, 1))
        found[field].append((line, left, character))
    found = {field: "".join(c for _, _, c in sorted(placed)) for field, placed in found.items()}
    months = "".join(map(str, range(1, 13))) + (shown.texts["year"][-2:] if layout.ring else "")
    assert sorted(found.pop("twelve months", months)) == sorted(months)
    before = {text.field: text.before for text in layout.texts}
    for field, text in found.items():
        whole = shown.texts[field] and "".join((before[field] + shown.texts[field]).split())
        told = any(f"{label_name(shown)}: {field} was cut" in said for said in printed.cut)
        assert whole.startswith(text.removesuffix(ELLIPSIS)) if told else text == whole
        assert told == text.endswith(ELLIPSIS)


@pytest.mark.parametrize("name", TEMPLATES)
def test_all_facts_can_be_selected_as_text(name):
    """pypdf, which is not the library that the page was drawn with, finds every field of every label."""
    names = {"by": "Łukasz Żółć-Ďurčo", "place": "Αίθουσα Πρέσας", "shop": "Ğüneş Їжак"}
    labels = mixed(name)
    shown = [
        label(content.kind, label_name(content), **{f: t for f, t in names.items() if f in content.texts})
        for content in labels[: 2 * len(load_template(name).layouts)]
    ]
    reader = pypdf.PdfReader(BytesIO(print_on(name, shown).pdf), strict=True)
    text = "".join(part for page in reader.pages for part in page.extract_text().split())
    for content in shown:
        fields = {box.field for box in load_template(name).layouts[content.kind].texts}
        for field, fact in content.texts.items():
            assert field not in fields or "".join(fact.split()) in text, (content.kind, field)


INCHES = {
    TAG: {"capacity": "275577.8 lb (125000 kg)"},
    CHAIN: {"nominal": "41.5601 in (1055.62578 mm)", "discard": "42.1446 in (1070.47266 mm)"},
    SPARE: {"length": "4101.05 ft (1250.125 m)"},
}
"""As long as they get: 125 t, a metre of chain measured in inches of four decimals, 1.25 km on the shelf."""


@pytest.mark.parametrize(("name", "kind"), [(n, k) for n, k in LAYOUTS if k in INCHES])
def test_an_inch_shops_values_stand_whole_on_every_label_with_the_record(name: str, kind: str):
    """They are never cut, so that what does not fit is refused: this proves that it fits."""
    read = " ".join(words(print_on(name, [label(kind, **INCHES[kind])]).pdf).split())
    assert all(text in read for text in INCHES[kind].values())
