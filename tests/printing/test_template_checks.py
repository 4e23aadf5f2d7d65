"""Proves that a layout that can not be printed truly is refused, each limit just below, at and above."""

import tomllib
from decimal import Decimal

import pytest

from fieldlog.printing.template_checks import check
from fieldlog.printing.template_reader import Faults, read

SHEET = {"w": 100, "h": 100, "nx": 2, "ny": 2, "x0": 5, "y0": 5, "dx": 45, "dy": 45}
ID = {"x": 2, "y": 2, "w": 40, "h": 6, "size": 20, "least": 10}
CODE = {"x": 2, "y": 12, "module_mm": 0.5}


def faults_of(*, page=(100, 100, 5), sheet=None, code=CODE, ident=ID, more="", due=""):
    """The faults of a sheet of 2 x 2 labels of 45 mm with an ID and a code, changed in the places given."""
    grid = SHEET | {"w": 45, "h": 45} | (sheet or {})
    text = [
        'title = "test"',
        "[page]\n"
        + "\n".join(f"{key} = {value}" for key, value in zip(("w", "h", "unprintable"), page, strict=True)),
        "[label]\n" + "\n".join(f"{key} = {value}" for key, value in grid.items()),
        "[tag]",
        "code = {" + ", ".join(f"{key} = {value}" for key, value in code.items()) + "}" if code else "",
        "text = [{field = 'id', "
        + ", ".join(f"{key} = {value}" for key, value in ident.items())
        + f"}}, {more}]",
        due,
    ]
    faults = Faults("own.toml")
    draft = read(tomllib.loads("\n".join(text), parse_float=Decimal), faults)
    assert faults.found == []
    check(draft, faults)
    return [str(fault).removeprefix("own.toml, ") for fault in faults.found]


def box(field, *place):
    x, y, w, h = place
    return f"{{field = '{field}', x = {x}, y = {y}, w = {w}, h = {h}, size = 6, least = 5}}"


def test_the_sheet_of_these_tests_is_sound():
    assert faults_of() == []


@pytest.mark.parametrize(
    ("sheet", "page", "says"),
    [
        ({"x0": 10}, (100, 100, 0), None),
        ({"x0": 10.1}, (100, 100, 0), "label.w: 2 labels across end at 100.1 mm, the page at 100 mm."),
        ({"y0": 10}, (100, 100, 0), None),
        ({"y0": 10.1}, (100, 100, 0), "label.h: 2 labels down end at 100.1 mm, the page at 100 mm."),
        ({"dx": 44.9}, (100, 100, 5), "label.dx: steps 44.9 mm, a label is 45 mm. Labels may not overlap."),
        ({"dy": 44.9}, (100, 100, 5), "label.dy: steps 44.9 mm, a label is 45 mm. Labels may not overlap."),
        ({"dy": 1, "ny": 1}, (100, 100, 5), None),
    ],
)
def test_labels_lie_on_the_page_and_not_on_each_other(sheet, page, says):
    found = faults_of(sheet=sheet, page=page)
    assert found == [] if says is None else any(fault.startswith(says) for fault in found)


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ({"x": 5}, None),
        ({"x": 5.1}, "tag, field id: sticks out of the label by 0.1 mm (right). Move or shrink it."),
        ({"y": 39, "h": 6}, None),
        ({"y": 39, "h": 6.1}, "tag, field id: sticks out of the label by 0.1 mm (lower). Move or shrink it."),
    ],
)
def test_boxes_lie_on_their_label(place, says):
    assert faults_of(ident=ID | place) == ([says] if says else [])


@pytest.mark.parametrize(("unprintable", "sides"), [(6.9, []), (7, []), (7.1, ["left", "upper"])])
def test_print_keeps_off_the_edge_that_a_printer_leaves_blank(unprintable, sides):
    # boxes begin 2 mm inside labels that begin 5 mm from the page's edge
    found = faults_of(page=(110, 110, unprintable))
    assert sorted({fault.split("page's ")[1].split()[0] for fault in found}) == sides


@pytest.mark.parametrize(("y", "overlaps"), [(7.9, True), (8, False), (8.1, False)])
def test_boxes_may_touch_but_not_overlap(y, overlaps):
    found = faults_of(code=CODE | {"y": 30}, more=box("shop", 2, y, 40, 3))
    expected = ["tag, field id: overlaps field shop. Move or shrink one of them."]
    assert found == (expected if overlaps else [])


@pytest.mark.parametrize(("module", "fine"), [("0.39", False), ("0.4", True), ("0.5", True)])
def test_modules_under_0_4_mm_are_refused(module, fine):
    found = faults_of(code=CODE | {"module_mm": module})
    assert found == (
        [] if fine else [f"tag.code.module_mm: is {module} mm. Modules under 0.4 mm do not last."]
    )


# Quiet zone of 4 modules on every side: ISO/IEC 18004. At 0.5 mm a module 2 mm.
@pytest.mark.parametrize(
    ("code", "says"),
    [
        ({"y": 10}, None),
        ({"y": 9.9}, "1.9 mm to the box of field id"),
        ({"x": 1.9}, "1.9 mm to the label's left edge"),
        ({"y": 32.5}, None),
        ({"y": 32.6}, "1.9 mm to the label's lower edge"),
        ({"x": 32.6}, "1.9 mm to the label's right edge"),
    ],
)
def test_the_quiet_zone_is_four_modules(code, says):
    found = faults_of(code=CODE | code)
    if says is None:
        assert found == []
    else:
        assert found == [f"tag.code: the quiet zone is under 4 modules: {says}. Leave 2.0 mm."]


def test_a_box_beyond_the_corner_of_the_quiet_zone_is_near_enough_to_count():
    assert faults_of(more=box("shop", 14, 24, 20, 3))[0].startswith(
        "tag.code: the quiet zone is under 4 modules: 1.5"
    )
    assert faults_of(more=box("shop", 14.5, 24, 20, 3)) == []


def test_a_code_on_a_box_is_an_overlap_and_not_a_narrow_quiet_zone():
    assert faults_of(code=CODE | {"y": 5}) == ["tag, field id: overlaps code. Move or shrink one of them."]


@pytest.mark.parametrize(("height", "fine"), [(3.32, False), (3.33, True), (3.34, True)])
def test_a_box_of_capitals_holds_its_least_size(height, fine):
    # FreeType on the shipped font: capital 0.729, overshoot 0.014, tail of J 0.200 of the size;
    # 10 pt x 0.3528 mm x 0.943 = 3.328 mm
    assert (faults_of(ident=ID | {"h": height}) == []) is fine


@pytest.mark.parametrize(("height", "fine"), [(2.16, False), (2.17, True), (2.18, True)])
def test_a_box_of_any_letters_holds_its_least_size(height, fine):
    # 5 pt x 0.3528 mm x (0.729 + 2 x 0.2495) = 2.166 mm
    found = faults_of(more=box("place", 2, 30, 40, height))
    assert (found == []) is fine
    assert fine or found[0].startswith(
        "tag, field place: the box is 2.16 mm high, letters of 5 pt need 2.17 mm."
    )


@pytest.mark.parametrize(("width", "fine"), [(3.52, False), (3.53, True), (3.54, True)])
def test_a_box_is_at_least_two_letters_wide(width, fine):
    assert (faults_of(more=box("place", 2, 30, width, 3)) == []) is fine


def test_size_may_not_be_under_least():
    assert faults_of(ident=ID | {"size": 9}) == [
        "tag, field id: size 9 is under least 10. Raise size or lower least."
    ]
    assert faults_of(ident=ID | {"size": 10}) == []


def test_a_field_has_one_box_and_a_label_what_it_is_for():
    twice = faults_of(more=box("shop", 2, 30, 40, 3) + "," + box("shop", 2, 35, 40, 3))
    assert twice == ["tag.text: has the field shop 2 times. Keep one box."]
    assert faults_of(code=None) == ["tag.code: is missing. A tag without a code can not be scanned."]
    bare = faults_of(due=f"[due]\ntext = [{box('kind', 2, 2, 20, 3)}]")
    assert bare == [
        f"due.text: has no box for the field {field}. Add one." for field in ("id", "month", "year")
    ]


@pytest.mark.parametrize(("w", "h", "fine"), [(29.9, 2.5, False), (30, 2.4, False), (30, 2.5, True)])
def test_a_strip_of_months_is_large_enough_to_read(w, h, fine):
    boxes = ",".join(
        (box("id", 2, 2, 20, 3), box("month", 2, 6, 20, 3), box("year", 23, 6, 20, 3)),
    )
    found = faults_of(due=f"[due]\nmonths = {{x = 2, y = 20, w = {w}, h = {h}}}\ntext = [{boxes}]")
    assert (found == []) is fine


def out_of_service(*, distance="read_from_mm = 1524", signal=None, message=None, more=""):
    """An out-of-service tag as it is asked for, changed in the places given."""
    boxes = [
        {"field": "'signal'", "x": 2, "y": 10, "w": 30, "h": 12.5, "size": 41, "least": 39.6}
        | (signal or {}),
        {"field": "'message'", "x": 2, "y": 24, "w": 30, "h": 6, "size": 21, "least": 19.8} | (message or {}),
    ]
    text = ", ".join("{" + ", ".join(f"{k} = {v}" for k, v in box.items()) + "}" for box in boxes)
    places = enumerate(("id", "reason", "by", "since", "remove"))
    text += ", " + ", ".join(box(field, 33, 10 + 3 * row, 10, 3) for row, field in places)
    return faults_of(due=f"[withdrawn]\n{distance}\n{more}\ntext = [{text}]")


def test_the_out_of_service_tag_of_these_tests_is_sound():
    assert out_of_service() == []


@pytest.mark.parametrize(
    ("distance", "told"),
    [("", "is missing."), ("read_from_mm = 1523", "is 1523 mm."), ("read_from_mm = 1524", "")],
)
def test_an_out_of_service_tag_is_read_from_5_ft_at_least(distance, told):
    # 29 CFR 1910.145 (f)(4)(ii): 5 ft, 1524 mm
    expected = f"withdrawn.read_from_mm: {told} Such a tag is read from 1524 mm (5 ft) at least."
    assert out_of_service(distance=distance) == ([expected] if told else [])


@pytest.mark.parametrize(
    ("field", "least", "fine"),
    [("signal", 39.5, False), ("signal", 39.6, True), ("message", 19.7, False), ("message", 19.8, True)],
)
def test_its_large_letters_have_their_height_even_at_the_least_size(field, least, fine):
    # 1 : 150 and 1 : 300 of 1524 mm are 10.16 and 5.08 mm (ANSI Z535.2, 9.2.3); a capital of the shipped font
    # is 1493/2048 of its size: 39.5 pt give 10.158 mm, 39.6 pt 10.184 mm, 19.7 pt 5.066 mm, 19.8 pt 5.092 mm
    found = out_of_service(**{field: {"least": least}})
    assert (found == []) is fine
    if not fine:
        needed = "10.16" if field == "signal" else "5.08"
        assert f"withdrawn, field {field}: stands" in found[0]
        assert f"from 1524 mm it is read at {needed} mm" in found[0]


def test_the_height_that_its_box_leaves_counts_too():
    # 39.6 pt need 39.6 x 0.3528 x 0.758 = 10.6 mm of height
    assert any("field signal: stands" in said for said in out_of_service(signal={"h": 10.5}))


def test_a_tag_has_its_height_at_its_usual_size():
    # 8 ft / 300 = 8.13 mm; 20 pt in the box of these tests give 4.6 mm
    sound = (
        "[due]\ntext = ["
        + ",".join((box("id", 2, 2, 20, 3), box("month", 2, 6, 20, 3), box("year", 23, 6, 20, 3)))
        + "]"
    )
    assert faults_of(due=sound) == []
    told = faults_of(due=sound.replace("[due]", "[due]\nread_from_mm = 2438"))
    assert [said.split(":")[0] for said in told] == ["due, field month", "due, field year"]


@pytest.mark.parametrize(
    ("element", "fine"),
    [
        ("sign = { x = 33, y = 30, d = 8 }", True),
        ("sign = { x = 33, y = 30, d = 7.9 }", False),
        ("sign = { x = 33, y = 17, d = 8 }", False),  # on a box
        ("hole = { x = 40, y = 2, d = 4 }", True),
        ("hole = { x = 42, y = 2, d = 4 }", False),  # off the label
    ],
)
def test_a_sign_is_large_enough_and_round_elements_keep_their_place(element, fine):
    assert (out_of_service(more=element) == []) is fine


@pytest.mark.parametrize(("d", "fine"), [(15.9, False), (16, True)])
def test_a_ring_of_months_is_large_enough_to_read(d, fine):
    boxes = ",".join(
        (box("id", 2, 2, 20, 3), box("month", 2, 6, 20, 3), box("year", 23, 6, 20, 3)),
    )
    assert (faults_of(due=f"[due]\nring = {{x = 2, y = 20, d = {d}}}\ntext = [{boxes}]") == []) is fine


@pytest.mark.parametrize(("h", "fine"), [(2.41, False), (2.42, True)])
def test_a_panel_needs_more_height_than_its_letters(h, fine):
    # letters of 5 pt need 2.166 mm, a panel leaves them 90 % of its height
    panel = box("place", 2, 30, 40, h).replace("}", ", panel = 'black'}")
    assert (faults_of(more=panel) == []) is fine


@pytest.mark.parametrize(("h", "fine"), [(4.32, False), (4.33, True)])
def test_two_lines_need_twice_the_height(h, fine):
    found = faults_of(more=box("place", 2, 30, 40, h).replace("}", ", lines = 2}"))
    assert (found == []) is fine
    assert fine or "2 lines of 5 pt need 4.33 mm" in found[0]
