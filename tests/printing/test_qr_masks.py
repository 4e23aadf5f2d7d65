"""Proves that the mask is the one with the fewest penalty points, and the symbol another encoder's too."""

import segno
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode.util import lost_point

from fieldlog.printing.qr_masks import MASKS, _bits, best_symbol, draw_symbol, points

TEXTS = st.text(alphabet="0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:", min_size=1, max_size=60)


def by_segno(text, mask):
    symbol = segno.make(
        text, error="q", mode="alphanumeric", mask=mask, micro=False, boost_error=False
    ).matrix
    return tuple(tuple(map(bool, row)) for row in symbol)


@given(TEXTS)
@settings(deadline=None, max_examples=40)
def test_points_are_those_of_the_qrcode_library(text):
    # lost_point follows ISO/IEC 18004, evaluation of mask results, in loops over modules
    for mask in range(MASKS):
        rows = draw_symbol(text, mask)
        assert points(_bits(rows), len(rows)) == lost_point(rows)


# Of other lengths segno fills up in another way: where the bits end with a byte it adds one more of zeros.
@given(st.from_regex(r"FL:[A-Z]{2,4}-[0-9]{4,6}-[0-9A-Z]", fullmatch=True))
@settings(deadline=None, max_examples=40)
def test_the_symbol_of_a_tag_is_another_encoder_s_with_the_first_mask_of_fewest_points(text):
    all_masks = [by_segno(text, mask) for mask in range(MASKS)]
    assert best_symbol(text) == min(all_masks, key=lost_point)


def test_a_version_1_symbol_of_level_q_holds_16_characters():
    # ISO/IEC 18004: version 1 at Q holds 16 alphanumeric characters in 21 x 21 modules, version 2 29 in 25 x
    # 25
    assert [len(best_symbol("A" * count)) for count in (16, 17, 29, 30)] == [21, 25, 25, 29]


def test_runs_and_blocks_do_not_go_on_from_one_row_to_the_next():
    # 4 x 4 modules, dark in the right two columns and the left one of the next rows: no run of five anywhere
    rows = [[False, False, True, True], [True, True, False, False]] * 2
    assert points(_bits(rows), 4) == lost_point(rows) == 0
