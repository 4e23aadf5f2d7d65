"""Proves that printed codes are still read blurred, turned and dirty, by two decoders, in 95 of 100 trials.

The code is taken from the rendered page of a tag. It is turned by up to 36 degrees either way (10 % of a
turn), blurred by a third of a module, and a round blot covers 30 % of one corner. What is lost for good can
be had back only from the corner without a finder pattern: a corner is there the 8 x 8 modules that a finder
pattern with its margin takes in the three others. Anywhere else a blot must let half of the print through,
as grease and dust do; a corner is there a quarter of the symbol. Seeds are fixed.
"""

import random
from functools import cache
from math import pi, sqrt

import pytest
from PIL import Image, ImageDraw, ImageFilter

from fieldlog.domain.label_content import TAG
from fieldlog.printing.templates import load_template
from tests.printing.specimens import closeup, code_area, code_by_opencv, codes, label, print_on, widened

NAME, DPI = "a4-3x8-70x37", 300
MODULE_MM = float(load_template(NAME).layouts[TAG].code.module_mm)
DOTS = MODULE_MM * DPI / 25.4
"""Dots of a module, 8.9: what a telephone sees at arm's length."""
SHARE, TRIALS, ENOUGH = 0.3, 100, 95


@cache
def printed(hoist_id):
    area = widened(code_area(NAME, TAG, (0.0, 0.0)), 4 * MODULE_MM)
    return closeup(NAME, print_on(NAME, [label(TAG, hoist_id)]).pdf, area, DPI)


def blotted(image, rng, *, side, corner, opaque):
    """The code with a blot over 30 % of a corner of `side` x `side` modules; 3 is the lower right one."""
    wide, near = side * DOTS, 4 * DOTS
    far = near + 21 * DOTS - wide
    radius = sqrt(SHARE * wide * wide / pi)
    x = (far if corner in (1, 3) else near) + rng.uniform(radius, wide - radius)
    y = (far if corner in (2, 3) else near) + rng.uniform(radius, wide - radius)
    mask = Image.new("L", image.size, 0)
    ImageDraw.Draw(mask).ellipse([x - radius, y - radius, x + radius, y + radius], fill=int(255 * opaque))
    dirt = Image.new("L", image.size, rng.choice((0, 60, 120, 180, 255)))
    return Image.composite(dirt, image, mask)


def trial(seed, **blot):
    """What the code says, and its picture."""
    rng = random.Random(seed)
    hoist_id = f"SW-{rng.randint(1, 12):04d}-K"
    image = blotted(printed(hoist_id), rng, **blot)
    turned = image.rotate(rng.uniform(-36, 36), expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)
    return f"FL:{hoist_id}", turned.filter(ImageFilter.GaussianBlur(DOTS / 3))


@pytest.mark.parametrize(
    ("side", "corner", "opaque"),
    [(8, 3, 1.0), (10.5, None, 0.5)],
    ids=["a corner without a finder pattern is lost", "a film of dirt over any corner"],
)
def test_at_least_95_of_100_are_read(side, corner, opaque):
    read = {"zxing-cpp": 0, "OpenCV": 0}
    for seed in range(TRIALS):
        text, image = trial(seed, side=side, corner=seed % 4 if corner is None else corner, opaque=opaque)
        read["zxing-cpp"] += codes(image) == [text]
        read["OpenCV"] += code_by_opencv(image) == text
    assert min(read.values()) >= ENOUGH, read
