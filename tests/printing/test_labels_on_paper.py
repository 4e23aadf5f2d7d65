"""Proves, on rendered pages, that codes scan and stand in place, and letters are high and in their boxes."""

import pypdfium2
import pytest
from PIL import ImageDraw

from fieldlog.domain.label_content import DUE, TAG
from fieldlog.printing.lettering import ELLIPSIS
from fieldlog.printing.templates import load_template
from tests.printing.specimens import (
    KINDS,
    LONGEST,
    SHEETS,
    SHORTEST,
    TEMPLATES,
    area_mm,
    batch,
    code_area,
    codes,
    full_sheet,
    ink_mm,
    label,
    pages,
    picture,
    print_on,
)


def letters(pdf, page=0):
    """Each printed character with its left, upper, right and lower end [mm on the page], by pdfium."""
    sheet = pypdfium2.PdfDocument(pdf)[page]
    text, height = sheet.get_textpage(), sheet.get_height()
    found = []
    for index in range(text.count_chars()):
        character = text.get_text_range(index, 1)
        left, bottom, right, top = (edge * 25.4 / 72 for edge in text.get_charbox(index))
        if character.strip():
            found.append((character, left, height * 25.4 / 72 - top, right, height * 25.4 / 72 - bottom))
    return found


def text_area(name, kind, field, position=1):
    box = next(text.box for text in load_template(name).layouts[kind].texts if text.field == field)
    return area_mm(box, SHEETS[name].corner(position))


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_all_codes_of_a_full_sheet_are_read_by_another_decoder(name, kind, dpi):
    pdf = full_sheet(name, kind)
    read = [text for page in range(pages(pdf)) for text in codes(picture(pdf, dpi, page))]
    assert sorted(read) == sorted(content.code for content in batch(kind, SHEETS[name].count or 3))
    assert pages(pdf) == (1 if SHEETS[name].count else 3)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_first_and_last_code_stand_where_the_sheet_has_its_labels(name, kind):
    # expected: corner by the published dimensions plus the template's own place on the label; within 0.1 mm
    image = picture(full_sheet(name, kind), 300)
    for position in (1, SHEETS[name].count or 1):
        symbol, with_margin = code_area(name, kind, position, 1)
        assert ink_mm(image, name, with_margin) == pytest.approx(symbol, abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_the_quiet_zone_of_every_code_is_blank(name, kind):
    image = picture(full_sheet(name, kind), 300)
    quiet = 4 * float(load_template(name).layouts[kind].code.module_mm) - 0.1  # 4 modules: ISO/IEC 18004
    for position in range(1, (SHEETS[name].count or 1) + 1):
        symbol, with_zone = code_area(name, kind, position, quiet)
        assert ink_mm(image, name, with_zone) == pytest.approx(symbol, abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_ink_keeps_inside_the_labels_and_off_the_unprintable_edge(name, kind):
    sheet, template = SHEETS[name], load_template(name)
    full = sheet.count or 1
    pdf = print_on(name, [label(kind, "WWWW-9999-W", **LONGEST[kind])], copies=full).pdf
    image = picture(pdf, 300).copy()
    page_w, page_h = map(float, sheet.page)
    left, upper, right, lower = ink_mm(image, name)
    edge = float(template.page.unprintable_mm) - 0.1
    assert left >= edge
    assert upper >= edge
    assert right <= page_w - edge
    assert lower <= page_h - edge
    draw, across, down = ImageDraw.Draw(image), image.width / page_w, image.height / page_h
    for position in range(1, full + 1):
        x, y = sheet.corner(position)
        far = (x + float(sheet.size[0]), y + float(sheet.size[1]))
        assert 0 <= x < far[0] <= page_w + 1e-9
        assert 0 <= y < far[1] <= page_h + 1e-9
        draw.rectangle([x * across, y * down, far[0] * across, far[1] * down], fill=255)
    assert ink_mm(image, name) is None


@pytest.mark.parametrize("content", [SHORTEST, LONGEST], ids=["shortest", "longest"])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", TEMPLATES)
def test_every_letter_stands_in_its_own_box(name, kind, content):
    layout = load_template(name).layouts[kind]
    last = SHEETS[name].count or 1
    shown = label(kind, "WQJW-9999-J" if content is LONGEST else "AB-0001-C", **content[kind])
    printed = print_on(name, [shown], start=last)
    corner = SHEETS[name].corner(last)
    boxes = {text.field: (area_mm(text.box, corner), text.before) for text in layout.texts}
    if layout.months:
        boxes["months"] = (area_mm(layout.months, corner), "")
    seen = dict.fromkeys(boxes, "")
    for character, left, upper, right, lower in letters(printed.pdf):
        x, y = (left + right) / 2, (upper + lower) / 2
        field, area = next(
            (field, area)
            for field, (area, _) in boxes.items()
            if area[0] < x < area[2] and area[1] < y < area[3]
        )
        assert area[0] - 0.05 <= left <= right <= area[2] + 0.05, (field, character)
        assert area[1] - 0.05 <= upper <= lower <= area[3] + 0.05, (field, character)
        seen[field] += character
    assert sorted(seen.pop("months", "123456789101112")) == sorted("123456789101112")
    for field, text in seen.items():
        whole = shown.texts[field] and "".join((boxes[field][1] + shown.texts[field]).split())
        told = any(f"{shown.texts['id']}: {field} was cut" in said for said in printed.cut)
        assert whole.startswith(text.removesuffix(ELLIPSIS)) if told else text == whole
        assert told == text.endswith(ELLIPSIS)


# ANSI Z535.2 clause 9.2.3 as quoted in a trade catalogue: one unit of capital height for every 300 units of
# viewing distance; 5 ft (1.52 m) gives 5.08 mm, 8 ft 8.13 mm, 10 ft 10.16 mm. The widest usual ID (four
# letters, four figures) and one with the tail of a J count. W, M and 1 are flat: their ink is the
# capital height.
@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("hoist_id", ["SH-1111-M", "WWWW-1111-W", "JM-1111-M"])
def test_the_id_of_a_tag_is_read_from_5_ft(name, hoist_id):
    image = picture(print_on(name, [label(TAG, hoist_id)]).pdf, 600)
    left, upper, right, lower = text_area(name, TAG, "id")
    _, ink_upper, _, ink_lower = ink_mm(image, name, (left + (right - left) * 0.35, upper, right, lower))
    assert ink_lower - ink_upper >= 5.08


@pytest.mark.parametrize(
    ("name", "height"), [("a4-3x8-70x37", 10.16), ("roll-62", 10.16), ("letter-3x10", 8.13)]
)
def test_month_and_year_of_a_sticker_are_read_from_the_floor(name, height):
    image = picture(print_on(name, [label(DUE, month="11", year="2111")]).pdf, 600)
    for field in ("month", "year"):
        area = text_area(name, DUE, field)
        if field == "year":  # without its round first figure
            area = (area[2] - (area[2] - area[0]) * 0.6, *area[1:])
        _, upper, _, lower = ink_mm(image, name, area)
        assert lower - upper >= height - 25.4 / 600


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("month", range(1, 13))
def test_the_due_month_is_solid_and_sticks_out_of_the_strip(name, month):
    image = picture(print_on(name, [label(DUE, month=str(month))]).pdf, 150)
    strip = load_template(name).layouts[DUE].months
    left, upper, right, lower = area_mm(strip, SHEETS[name].corner(1))
    cell = (right - left) / 12
    for edge in (upper, lower):
        inked = [
            number
            for number in range(1, 13)
            if ink_mm(
                image,
                name,
                (left + cell * (number - 0.7), edge - 0.3, left + cell * (number - 0.3), edge + 0.3),
            )
        ]
        assert inked == [month]
