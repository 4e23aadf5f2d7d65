"""A map of sheets with words beside it."""

from fieldlog.tui.widgets.sheet_picture import beside

PAGE_1, PAGE_2 = ["page 1:", "   1  . #", "   3  # #"], ["page 2:", "   1  # o", "   3  o o"]


def test_a_single_page_needs_no_heading_and_words_stand_to_its_right() -> None:
    assert beside(PAGE_1, ["four places"], 40, 5) == ["   1  . #   four places", "   3  # #"]


def test_pages_stand_beside_each_other_under_their_headings() -> None:
    lines = beside([*PAGE_1, *PAGE_2], [], 80, 5)
    assert [line.rstrip() for line in lines] == [
        "page 1:     page 2:",
        "   1  . #      1  # o",
        "   3  # #      3  o o",
    ]


def test_words_are_wrapped_to_what_is_left_and_cut_where_the_height_ends() -> None:
    lines = beside(PAGE_1, ["one two three four five six seven eight nine"], 32, 2)
    assert lines == ["   1  . #   one two three four", "   3  # #   ..."]


def test_without_a_sheet_the_words_have_the_whole_width() -> None:
    assert beside([], ["a b"], 30, 3) == ["   a b"]
