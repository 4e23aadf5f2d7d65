"""Proves, on rendered pages, the height of large letters, that the due month shows, and the colours."""

from math import cos, pi, radians, sin

import pytest
from msgspec.structs import replace

from fieldlog.domain.label_content import DUE, TAG, WITHDRAWN
from fieldlog.printing.templates import load_template
from tests.printing.label_texts import YELLOW
from tests.printing.specimens import (
    SHEETS,
    TEMPLATES,
    area_mm,
    closeup,
    coloured,
    ink_mm,
    inked,
    kinds_on,
    label,
    pages,
    print_on,
    seen,
    text_area,
    where,
)

DPI = 600
DOT_MM = 25.4 / DPI
FOOT_MM = 304.8

# Reading distance in feet of an asset tag's ID, a sticker's month and year, an out-of-service tag. 5 ft is
# the least at which a tag's signal word has to be read (29 CFR 1910.145 (f)(4)(ii), FR 51:33251).
DISTANCES = {
    "a4-2x4-99x67": (8, 15, 6),
    "a4-2x7-99x38": (6, 12, 5),
    "a4-3x7-63x38": (5, 10, None),
    "a4-3x8-70x37": (5, 10, None),
    "label-4x6": (8, 15, 7),
    "letter-2x5": (8, 12, 5),
    "letter-3x10": (5, 8, None),
    "roll-102": (8, 15, 6),
    "roll-29x90": (5, 10, None),
    "roll-62": (5, 10, None),
    "roll-62x100": (8, 15, 5),
}
# ANSI Z535.2 clause 9.2.3 as quoted in a trade catalogue: one unit of capital height for every 150 units of
# distance in signal words, for every 300 in most other words.
SIGNAL, MESSAGE = 150, 300
OUT_OF_SERVICE = [name for name in TEMPLATES if DISTANCES[name][2]]


def height_mm(name, kind, field, shown, part=(0.0, 1.0)):
    """Height of the ink in a part of a field's box across [mm]."""
    left, upper, right, lower = text_area(name, kind, field, SHEETS[name].corner(1))
    area = (left + (right - left) * part[0], upper, left + (right - left) * part[1], lower)
    box = inked(closeup(name, print_on(name, [shown]).pdf, area, DPI))
    return (box[3] - box[1]) * DOT_MM


def test_every_sheet_has_its_distances():
    assert set(DISTANCES) == set(TEMPLATES)
    for name in TEMPLATES:
        assert (WITHDRAWN in kinds_on(name)) == (DISTANCES[name][2] is not None)


# The widest usual ID of four letters and four figures, and one with the tail of a J, which is not counted. W,
# M and 1 are flat: their ink is the capital height. From 5 ft each can be read on every sheet.
@pytest.mark.parametrize("hoist_id", ["SH-1111-M", "WWWW-1111-W", "JM-1111-M"])
@pytest.mark.parametrize("name", TEMPLATES)
def test_the_id_of_a_tag_is_read_from_5_ft(name, hoist_id):
    assert height_mm(name, TAG, "id", label(TAG, hoist_id), (0.35, 1)) >= 5 * FOOT_MM / MESSAGE


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_id_of_a_tag_is_read_from_its_distance(name):
    height = height_mm(name, TAG, "id", label(TAG, "SH-1111-M"), (0.35, 1))
    assert height >= DISTANCES[name][0] * FOOT_MM / MESSAGE - DOT_MM


@pytest.mark.parametrize("name", TEMPLATES)
def test_month_and_year_of_a_sticker_are_read_from_the_floor(name):
    needed = DISTANCES[name][1] * FOOT_MM / MESSAGE - DOT_MM
    shown = label(DUE, month="11", year="1111", colour="")
    assert height_mm(name, DUE, "month", shown) >= needed
    assert height_mm(name, DUE, "year", shown) >= needed


@pytest.mark.parametrize("name", OUT_OF_SERVICE)
def test_signal_word_and_message_are_read_from_their_distance(name):
    feet, shown = DISTANCES[name][2], label(WITHDRAWN)
    assert feet >= 5
    page = print_on(name, [shown]).pdf
    left, upper, right, lower = text_area(name, WITHDRAWN, "signal", SHEETS[name].corner(1))
    panel = closeup(name, page, (left + 0.3, upper + 0.3, right - 0.3, lower - 0.3), DPI)
    box = panel.point(lambda grey: 255 if grey > 200 else 0).getbbox()  # white letters on the panel
    round_ones = 2 * 29 / 1493  # D and G go over flat capitals at both ends, as FreeType has it
    assert (box[3] - box[1]) * DOT_MM / (1 + round_ones) >= feet * FOOT_MM / SIGNAL - DOT_MM
    # N of 'DO NOT USE' alone: its flat ink is the capital height
    message = height_mm(name, WITHDRAWN, "message", label(WITHDRAWN, message="N N"))
    assert message >= feet * FOOT_MM / MESSAGE - DOT_MM


@pytest.mark.parametrize("name", OUT_OF_SERVICE)
def test_the_signal_word_is_half_as_high_again_as_the_message(name):
    # a page of a sign maker: a signal word is 50 % higher than a capital H of the message
    template = load_template(name).layouts[WITHDRAWN]
    least = {text.field: text.least_pt for text in template.texts}
    assert least["signal"] >= least["message"] * 3 / 2


def sector_ink(image, centre, radius, month, dots):
    """Whether the edge of a month's sector is inked, beside its figures."""
    for off in (-10, 10):
        angle = radians(90 - 30 * month + off)
        x, y = centre[0] + radius * cos(angle), centre[1] - radius * sin(angle)
        if image.getpixel((round(x * dots), round(y * dots))) > 128:
            return False
    return True


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_due_month_is_solid_and_sticks_out_of_strip_or_ring(name):
    labels = [label(DUE, month=str(month), colour="") for month in range(1, 13)]
    pdf, layout = print_on(name, labels).pdf, load_template(name).layouts[DUE]
    for index, month in enumerate(range(1, 13)):
        if SHEETS[name].count:
            page, on_page = divmod(index, SHEETS[name].count)
            corner = SHEETS[name].corner(on_page + 1)
        else:
            page, corner = where(name, index)
        image = seen(name, pdf, 200, page)
        if layout.months:
            assert marked_in_strip(image, name, area_mm(layout.months, corner)) == [month]
        else:
            ring, dots = layout.ring, image.width / float(SHEETS[name].page[0])
            radius = float(ring.d_mm) / 2
            centre = (corner[0] + float(ring.x_mm) + radius, corner[1] + float(ring.y_mm) + radius)
            outside = radius * 0.965  # between the ring of the others and the edge of the due one
            assert [m for m in range(1, 13) if sector_ink(image, centre, outside, m, dots)] == [month]
    assert pages(pdf) == -(-12 // (SHEETS[name].count or 1))


def marked_in_strip(image, name, strip):
    """Months whose cell reaches both edges of the strip."""
    left, upper, right, lower = strip
    cell = (right - left) / 12
    spans = {m: (left + cell * (m - 0.7), left + cell * (m - 0.3)) for m in range(1, 13)}
    return [
        month
        for month, (start, end) in spans.items()
        if all(ink_mm(image, name, (start, edge - 0.3, end, edge + 0.3)) for edge in (upper, lower))
    ]


def rgb(colour):
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def near(one, other, by=12):
    return all(abs(a - b) <= by for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("name", OUT_OF_SERVICE)
def test_the_sign_is_a_ring_with_a_bar_that_falls_to_the_right(name):
    sign = load_template(name).layouts[WITHDRAWN].sign
    image = coloured(name, print_on(name, [label(WITHDRAWN)]).pdf, 300)
    dots, corner = image.width / float(SHEETS[name].page[0]), SHEETS[name].corner(1)
    radius = float(sign.d_mm) / 2
    x, y = corner[0] + float(sign.x_mm) + radius, corner[1] + float(sign.y_mm) + radius

    def at(degrees, share):
        angle = radians(degrees)
        point = (x + radius * share * cos(angle), y - radius * share * sin(angle))
        return image.getpixel((round(point[0] * dots), round(point[1] * dots)))

    ink = rgb("#9B2423") if sign.red else (0, 0, 0)  # RAL 3001, nominal
    assert all(near(at(degrees, 0.9), ink) for degrees in range(0, 360, 15))  # the ring
    assert near(at(135, 0.5), ink)  # the bar, upper left ...
    assert near(at(315, 0.5), ink)  # ... to lower right
    assert near(at(45, 0.5), (255, 255, 255))
    assert near(at(225, 0.5), (255, 255, 255))
    # at least 35 % of a prohibition sign is its safety colour (Spanish RD 485/1997, annex III)
    box = tuple(round(edge * dots) for edge in (x - radius, y - radius, x + radius, y + radius))
    square = image.crop(box)
    inks = sum(count for count, cell in square.getcolors(10**6) if near(cell, ink, 60))
    inked_share = inks / (square.width * square.height) / (pi / 4)
    assert 0.35 <= inked_share <= 0.5


@pytest.mark.parametrize("name", OUT_OF_SERVICE)
def test_the_signal_word_stands_white_on_its_panel(name):
    text = next(t for t in load_template(name).layouts[WITHDRAWN].texts if t.field == "signal")
    image = coloured(name, print_on(name, [label(WITHDRAWN)]).pdf, 150)
    dots = image.width / float(SHEETS[name].page[0])
    left, upper, right, lower = text_area(name, WITHDRAWN, "signal", SHEETS[name].corner(1))
    cells = image.crop(tuple(round(edge * dots) for edge in (left, upper, right, lower))).getcolors(10**6)
    common = [colour for _, colour in sorted(cells, reverse=True)[:2]]
    ink = rgb("#9B2423") if text.panel == "red" else (0, 0, 0)
    assert near(common[0], ink)
    assert near(common[1], (255, 255, 255))


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_year_s_colour_fills_its_field_and_is_named_in_words(name):
    pdf = print_on(name, [label(DUE)]).pdf
    plain = print_on(name, [label(DUE, colour="")]).pdf
    left, upper, right, lower = text_area(name, DUE, "year", SHEETS[name].corner(1))
    for page, expected in ((pdf, rgb(YELLOW.hex)), (plain, (255, 255, 255))):
        image = coloured(name, page, 150)
        dots = image.width / float(SHEETS[name].page[0])
        cells = image.crop(tuple(round(e * dots) for e in (left, upper, right, lower))).getcolors(10**6)
        assert near(max(cells)[1], expected)
    named = text_area(name, DUE, "colour", SHEETS[name].corner(1))
    assert inked(closeup(name, pdf, named)) is not None
    assert inked(closeup(name, plain, named)) is None


@pytest.mark.parametrize(
    ("colour", "letters"), [("#DDAF27", 0), ("#2271B3", 255), ("#8E402A", 255), ("#D8A0A6", 0)]
)
def test_letters_on_a_colour_are_black_or_white_whichever_has_more_contrast(colour, letters):
    # contrast ratios by the formula of WCAG 2: black on #DDAF27 10.2 and white 2.1; on #2271B3 4.1 and 5.1;
    # on #8E402A 2.9 and 7.2; on #D8A0A6 9.5 and 2.2
    shown = replace(label(DUE), year_colour=replace(YELLOW, hex=colour))
    image = coloured("roll-62", print_on("roll-62", [shown]).pdf, 200)
    dots = image.width / 62
    box = text_area("roll-62", DUE, "year", (0, 0))
    cells = image.crop(tuple(round(edge * dots) for edge in box)).getcolors(10**6)
    second = sorted(cells, reverse=True)[1][1]
    assert near(second, (letters,) * 3)
