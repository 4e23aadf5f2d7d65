"""Proves that lines for people and JSON for scripts tell the same facts, whatever the terminal can show."""

import io
import json
import sys
from datetime import date
from decimal import Decimal

import pytest

from fieldlog.cli.output import damage_lines, due_lines, hoist_lines, list_lines, print_json
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.due import due_list
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import Shop, summaries
from tests.demo.written import DAY


def printed(value: object, encoding: str, monkeypatch: pytest.MonkeyPatch) -> bytes:
    stream = io.BytesIO()
    with monkeypatch.context() as patched:
        patched.setattr(sys, "stdout", io.TextIOWrapper(stream, encoding=encoding))
        print_json(value)
        sys.stdout.flush()
        return stream.getvalue()


def test_json_keeps_every_digit_and_dates_are_iso_8601(monkeypatch: pytest.MonkeyPatch):
    value = {"mm": Decimal("234.10"), "day": date(2026, 11, 25), "none": None, "list": (1, 2)}
    text = printed(value, "utf-8", monkeypatch)
    assert json.loads(text) == {"mm": "234.10", "day": "2026-11-25", "none": None, "list": [1, 2]}


def test_json_keeps_names_as_they_are_where_the_terminal_has_unicode(monkeypatch: pytest.MonkeyPatch):
    assert "Łódź".encode() in printed({"site": "Łódź"}, "utf-8", monkeypatch)


@pytest.mark.parametrize("encoding", ["ascii", "iso-8859-1"])
def test_json_stays_json_where_it_has_not(monkeypatch: pytest.MonkeyPatch, encoding: str):
    assert json.loads(printed({"site": "Łódź é"}, encoding, monkeypatch)) == {"site": "Łódź é"}


def test_the_due_list_has_a_line_a_hoist_and_a_count(shop: Shop, tags: dict[str, str]):
    rows = due_list(shop, DAY)
    *lines, last = due_lines(rows, DAY)
    assert len(lines) == len(rows) == len(tags)
    assert last == f"{len(rows)} hoists, 0 overdue on {DAY.isoformat()}"
    for row, line in zip(rows, lines, strict=True):
        assert row.due_on is not None
        for fact in (row.due_on.isoformat(), row.id, row.kind, str(row.fitness), row.site, row.place):
            assert fact in line


def test_an_overdue_hoist_is_marked_by_a_word_and_a_sign(shop: Shop):
    rows = due_list(shop, date(2028, 1, 1))
    *lines, last = due_lines(rows, date(2028, 1, 1))
    assert all(" late!" in line for line in lines)
    assert f"{len(rows)} overdue" in last


def test_one_that_is_only_overdue_is_never_told_as_in_service(shop: Shop):
    day = date(2028, 1, 1)
    rows = [row for row in due_list(shop, day) if row.fitness is Fitness.IN_SERVICE]
    assert rows
    for line in due_lines(rows, day)[:-1]:
        assert "! overdue" in line
        assert "in service" not in line


def test_a_damaged_logbook_has_a_line_of_its_own():
    assert damage_lines({"SW-0007-X": "line 2 does not read."}) == [
        "! SW-0007-X can not be trusted. line 2 does not read."
    ]


def test_an_empty_shop_says_so():
    assert due_lines([], DAY) == ["no hoists"]
    assert list_lines([]) == ["no hoists"]


def test_the_list_has_size_and_place(shop: Shop, tags: dict[str, str]):
    found = summaries(shop)
    (line,) = list_lines([found[tags["near-limit"]]])
    for fact in (tags["near-limit"], "electric", "1000 kg", "7 x 21", "filter house", "Brackenhaul Teal 10"):
        assert fact in line


def test_a_hoist_is_told_with_state_dues_wear_and_every_sealed_line(shop: Shop, tags: dict[str, str]):
    page = hoist_page(shop, tags["near-limit"], DAY)
    text = "\n".join(hoist_lines(page))
    assert "state: in service" in text
    assert "discard at 234.465 mm" in text  # 231 mm and 1.5 %: DOE-STD-1090-96, ch. 8
    assert "% of the allowed growth used" in text
    assert all(due.due_on.isoformat() in text for due in page.summary.dues)
    assert f"logbook: {len(page.timeline)} lines, head {page.head[:10]}" in text
    assert sum(row.day.isoformat() in text for row in page.timeline) == len(page.timeline)


def test_a_hoist_is_told_with_its_defects_and_what_became_of_them(shop: Shop, tags: dict[str, str]):
    text = "\n".join(hoist_lines(hoist_page(shop, tags["broken-guide"], DAY)))
    assert "D1 stops use now: upper chain guide cracked" in text
    assert ", mended " in text


def test_a_withdrawn_hoist_says_why(shop: Shop, tags: dict[str, str]):
    lines = hoist_lines(hoist_page(shop, tags["withdrawn"], DAY))
    state = lines.index("state: out of service")
    assert lines[state + 1].strip().startswith("withdrawn: ")


def test_an_inspection_left_open_is_told_with_whose_it_is(shop: Shop, tags: dict[str, str]):
    lines = hoist_lines(hoist_page(shop, tags["left-open"], DAY))
    (line,) = [line for line in lines if line.startswith("left open: ")]
    assert "frequent by Jory Marlpit" in line
    assert DAY.isoformat() in line
