"""Due dates, design life, spectrum, test load, length and tags for the command line, as printed."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from stdnum.iso7064 import mod_37_36

from fieldlog.errors import InputError
from fieldlog.operations.calculating_use import (
    check_id,
    due,
    give_id,
    length,
    life,
    load_test,
    read_every,
    read_month,
    read_use,
    spectrum,
)
from tests.domain.published import Case, cases

DUE: dict[str, Any] = {
    "every": "12m",
    "rule": "calendar",
    "due_month": "",
    "count": 1,
    "out_of_service": False,
}


def due_on(done: str, **changes: Any) -> dict[str, Any]:
    return due(done=date.fromisoformat(done), **(DUE | changes))


@pytest.mark.parametrize("case", cases("schedule", "days", 17), ids=lambda c: f"{c['done']}-{c['months']}")
def test_the_day_rule(case: Case) -> None:
    assert due_on(case["done"], every=f"{case['months']}m", rule="days")["next"] == case["next"]


@pytest.mark.parametrize(
    "case", cases("schedule", "calendar", 18), ids=lambda c: f"{c['anchor']}-{c['months']}"
)
def test_the_calendar_rule(case: Case) -> None:
    assert due_on(case["anchor"], every=f"{case['months']}m")["next"] == case["next"]


@pytest.mark.parametrize("case", cases("schedule", "anchored", 4), ids=lambda c: str(c["count"]))
def test_a_series_is_counted_from_its_anchor(case: Case) -> None:
    found = due_on("2025-01-31", every="1m", count=case["count"])
    dates = found.get("dates", [found.get("next")])
    assert (len(dates), dates[-1]) == (case["count"], case["anchored"])


@pytest.mark.parametrize("case", cases("schedule", "month_plate", 4), ids=lambda c: str(c["done"]))
def test_the_month_plate(case: Case) -> None:
    found = due_on(case["done"], rule="month-plate", due_month=case["due"])
    assert (found["next"][:7], found["in_time"]) == (case["next"], case["in_time"])


@pytest.mark.parametrize("case", cases("schedule", "first_plate", 3), ids=lambda c: str(c["done"]))
def test_the_first_plate(case: Case) -> None:
    assert due_on(case["done"], rule="month-plate")["next"] == case["next_day"]


def test_out_of_service_when_due_and_an_interval_in_days() -> None:
    late = {"rule": "month-plate", "due_month": "2025-06", "out_of_service": True}
    assert due_on("2025-08-15", **late)["next"] == "2026-08-31"
    assert due_on("2025-08-15", every="7d")["next"] == "2025-08-22"
    assert due_on("2025-08-15", every="7d", count=2)["dates"] == ["2025-08-22", "2025-08-29"]
    assert due_on("2025-08-15")["in_time"] is None


def test_a_due_date_names_its_rule_source_and_certainty() -> None:
    found = due_on("2025-08-15", rule="days", every="1m")
    assert found["rule"] == "days"
    assert "DOE-STD-1090-96" in found["source"]
    assert found["certainty"] == "published"


@pytest.mark.parametrize("text", ["", "12", "m", "0m", "1y", "-1m", "1000m", "1.5m"])
def test_intervals_that_can_not_be(text: str) -> None:
    with pytest.raises(InputError, match="months or days"):
        read_every(text)


@pytest.mark.parametrize("text", ["2025", "2025-13", "2025-00", "25-06", "2025-6"])
def test_months_that_can_not_be(text: str) -> None:
    with pytest.raises(InputError, match="YYYY-MM"):
        read_month(text)


@pytest.mark.parametrize("count", [0, 1001])
def test_counts_that_can_not_be(count: int) -> None:
    with pytest.raises(InputError, match="the count is from 1 to 1000"):
        due_on("2025-01-31", count=count)


@pytest.mark.parametrize("case", cases("life", "class_table", 28), ids=lambda c: f"{c['class']}-{c['km']}")
def test_the_class_table_of_the_groups(case: Case) -> None:
    # hours x km = D within 2.5 % in every filled cell (FEM classes of mechanisms)
    for group in (case["fem"], case["iso"]):
        found = life(group=group, uses=[f"{case['hours']}:{case['km']}:1"])
        assert found["design_h"] == case["design"]
        assert abs(Decimal(found["share_pct"]) - 100) <= Decimal("2.5")
        assert Decimal(found["used_h"]) + Decimal(found["remaining_h"]) == Decimal(case["design"])


@pytest.mark.parametrize("text", ["", "100", "100:0.5", "100:0.5:1:1", "x:0.5:1"])
def test_uses_that_can_not_be(text: str) -> None:
    with pytest.raises(InputError):
        read_use(text)
    with pytest.raises(InputError, match="not a group of mechanism"):
        life(group="M99", uses=["1:1:1"])


@pytest.mark.parametrize("case", cases("life", "spectrum", 4), ids=lambda c: str(c["title"]))
def test_the_spectrum_classes(case: Case) -> None:
    found = spectrum(parts=[f"1:{case['km']}", f"0:{1 - Decimal(case['km'])}"])
    assert (found["km"], found["class"]) == (case["km"], case["title"])


@pytest.mark.parametrize("parts", [["1"], ["1:0.5"], ["1:x"], ["2:1"]])
def test_spectra_that_can_not_be(parts: list[str]) -> None:
    with pytest.raises(InputError):
        spectrum(parts=parts)


# 2006/42/EC, annex I, 4.1.2.3: 1.25 and 1.5; DOE-STD-1090-96 ch. 8: 125 %, 100 % with an overload device,
# weights -5/+0 %.
@pytest.mark.parametrize(
    ("drive", "rulebook", "device", "figures"),
    [
        ("powered", "general", False, ("625", "593.75", "1.25")),
        ("hand", "general", False, ("750", "712.5", "1.5")),
        ("hand", "us", True, ("500", "475", "1")),
        ("powered", "us", False, ("625", "593.75", "1.25")),
        ("hand", "de", True, ("750", "712.5", "1.5")),
    ],
)
def test_the_test_load(drive: str, rulebook: str, device: bool, figures: tuple[str, str, str]) -> None:
    load, low, factor = figures
    found = load_test(capacity_kg=Decimal(500), drive=drive, rulebook=rulebook, overload_device=device)
    assert (found["load_kg"], found["low_kg"], found["high_kg"]) == (load, low, load)
    assert found["factor"] == factor
    assert found["source"]


@pytest.mark.parametrize(
    ("text", "mm"),
    [("234,1", "234.1"), ("9.21 in", "233.934"), ("9 7/32 in", "234.15625"), ("1 ft", "304.8")],
)
def test_a_length_as_typed(text: str, mm: str) -> None:
    # 1 in = 25.4 mm (international yard and pound agreement, 1959)
    assert length(text) == {"mm": mm}


def test_a_given_tag_carries_the_check_character_of_iso_7064() -> None:
    made = give_id("sw", "8")
    assert (made["ok"], made["near"]) == (True, [])
    assert mod_37_36.is_valid(made["id"].replace("-", ""))  # python-stdnum
    assert check_id(made["id"].lower().replace("-", " ")) == {"id": made["id"], "ok": True, "near": []}


def test_a_wrong_tag_gets_near_ones_and_a_sentence() -> None:
    right = give_id("SW", "8")["id"]
    wrong = right[:-1] + ("A" if right[-1] != "A" else "B")
    found = check_id(wrong)
    assert (found["id"], found["ok"]) == (None, False)
    assert right in found["near"]
    assert found["why"]
    assert check_id("??")["near"] == []


@pytest.mark.parametrize("number", ["0", "x", "1000000"])
def test_numbers_that_no_tag_can_have(number: str) -> None:
    with pytest.raises(InputError):
        give_id("SW", number)
