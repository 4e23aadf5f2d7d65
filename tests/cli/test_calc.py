"""fieldlog calc: every key is there, numbers are exact strings, and bad input is one sentence."""

import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from tests.cli.conftest import Answer, is_one_sentence

Run = Callable[..., Answer]

CHAIN = ("chain", "--size", "5x15", "--reading", "167.2", "--reading", "165.4", "--tool", "caliper-0.05")
CALLS: dict[str, tuple[tuple[str, ...], set[str]]] = {
    "chain": (
        CHAIN,
        {
            *("reference_mm", "reference_from", "limit_mm", "allowed_growth_mm", "growth_mm"),
            *("elongation_pct", "used_pct", "guard_mm", "verdict", "questions", "rule", "source"),
            *("certainty", "readings"),
        },
    ),
    "diameter": (
        ("diameter", "--nominal", "10", "--d1", "8.5", "--d2", "9.6"),
        {"mean_mm", "limit_mm", "verdict"},
    ),
    "hook": (("hook", "--new", "40", "--now", "45"), {"limit_mm", "opening_pct", "verdict", "source"}),
    "due": (("due", "--done", "2025-01-31", "--every", "1m"), {"next", "in_time", "rule", "source"}),
    "dues": (
        ("due", "--done", "2025-01-31", "--every", "1m", "--count", "3"),
        {"dates", "in_time", "rule", "source"},
    ),
    "life": (
        ("life", "--group", "M4", "--use", "800:0.25:1.1", "--use", "100:0.5:1.3"),
        {"used_h", "design_h", "share_pct", "remaining_h"},
    ),
    "spectrum": (("spectrum", "--part", "1:0.5", "--part", "0.5:0.5"), {"km", "class"}),
    "loadtest": (
        ("loadtest", "--capacity", "500 kg", "--drive", "hand"),
        {"load_kg", "low_kg", "high_kg", "factor", "source"},
    ),
    "length": (("length", "9 7/32 in"), {"mm"}),
    "id": (("id", "SW", "8"), {"id", "ok", "near"}),
    "check": (("id", "--check", "SW-0008-A"), {"id", "ok", "near"}),
}


def numbers(value: Any) -> list[Any]:
    """Everything in an answer that JSON has as a number."""
    if isinstance(value, dict):
        return [found for part in value.values() for found in numbers(part)]
    if isinstance(value, list):
        return [found for part in value for found in numbers(part)]
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else []


@pytest.mark.parametrize("call", CALLS)
def test_every_key_is_there_and_numbers_are_strings(run: Run, call: str) -> None:
    arguments, keys = CALLS[call]
    answer = run("calc", *arguments, "--json")
    assert (answer.code, answer.err) == (0, "")
    found = json.loads(answer.out)
    assert keys <= set(found)
    assert numbers(found) == []


@pytest.mark.parametrize("call", CALLS)
def test_people_get_the_same_facts_in_words(run: Run, call: str) -> None:
    arguments, keys = CALLS[call]
    answer = run("calc", *arguments)
    assert (answer.code, answer.err) == (0, "")
    assert not any(sign in answer.out for sign in ("{", "None", "Decimal"))
    labels = {line[:18].strip() for line in answer.out.splitlines()}
    assert {key.replace("_", " ") for key in keys} - labels <= {"readings"}


def test_the_figures_of_a_chain(run: Run) -> None:
    # 11 x 15 = 165 mm, 1.5 % of it 2.475 mm (DOE-STD-1090-96 ch. 8); 2.2 / 2.475 = 88.9 %
    found = json.loads(run("calc", *CHAIN, "--json").out)
    assert (found["reference_mm"], found["limit_mm"], found["growth_mm"]) == ("165", "167.475", "2.2")
    assert found["allowed_growth_mm"] == "2.475"
    assert Decimal(found["used_pct"]).quantize(Decimal("0.1")) == Decimal("88.9")
    assert (found["verdict"], found["questions"], found["certainty"]) == ("watch", [], "published")
    assert [row["reading_mm"] for row in found["readings"]] == ["167.2", "165.4"]


def test_an_implausible_reading_is_questioned_and_told_in_words(run: Run) -> None:
    found = json.loads(run("calc", "chain", "--size", "5x15", "--reading", "180.1", "--json").out)
    assert found["questions"] == ["looks like 12 links, not 11: count again"]
    assert "count again" in run("calc", "chain", "--size", "5x15", "--reading", "180.1").out


def test_a_tag_is_given_and_checked(run: Run) -> None:
    made = json.loads(run("calc", "id", "SW", "8", "--json").out)
    assert made["ok"] is True
    again = json.loads(run("calc", "id", "--check", made["id"].lower(), "--json").out)
    assert (again["id"], again["ok"]) == (made["id"], True)
    wrong = json.loads(run("calc", "id", "--check", "SW-0008-A", "--json").out)
    assert (wrong["ok"], made["id"] in wrong["near"]) == (False, True)


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("nonsense",),
        ("chain", "--size", "5x15"),
        ("chain", "--size", "15", "--reading", "165"),
        ("chain", "--size", "5x15", "--reading", "long"),
        ("chain", "--size", "5x15", "--reading", "165,4,1"),
        ("chain", "--size", "5x15", "--reading", "-1"),
        ("chain", "--size", "5x15", "--reading", "0"),
        ("chain", "--size", "5x15", "--reading", "1e400"),
        ("chain", "--size", "5x15", "--reading", "165", "--links", "0"),
        ("chain", "--size", "5x15", "--reading", "165", "--tool", "eye"),
        ("chain", "--size", "5x15", "--reading", "165", "--rulebook", "moon"),
        ("chain", "--size", "5x15", "--reading", "165", "--basis", "gauge"),
        ("chain", "--size", "5x15", "--reading", "165", "--book-length", "168", "--book-discard", "167"),
        ("diameter", "--nominal", "10", "--d1", "0", "--d2", "9"),
        ("hook", "--new", "0", "--now", "45"),
        ("hook", "--new", "40", "--now", "45", "--rulebook", "moon"),
        ("hook", "--new", "40", "--now", "45", "--twist-deg", "much"),
        ("due", "--done", "2025-02-30", "--every", "1m"),
        ("due", "--done", "2025-01-31", "--every", "1y"),
        ("due", "--done", "2025-01-31", "--every", "5m", "--rule", "days"),
        ("due", "--done", "2025-01-31", "--every", "1m", "--count", "0"),
        ("due", "--done", "2025-01-31", "--every", "1m", "--due", "June"),
        ("due", "--done", "9999-12-31", "--every", "12m"),
        ("due", "--done", "9999-12-31", "--every", "7d"),
        ("due", "--done", "2025-01-31", "--every", "600m", "--count", "1000"),
        ("due", "--done", "9999-12-31", "--every", "12m", "--rule", "month-plate"),
        ("life", "--group", "M99", "--use", "1:1:1"),
        ("life", "--group", "M4", "--use", "1:2:1"),
        ("life", "--group", "M4", "--use", "1:1"),
        ("spectrum", "--part", "1:0.5"),
        ("loadtest", "--capacity", "heavy"),
        ("loadtest", "--capacity", "-5 kg"),
        ("length", "12 mm + 1 in"),
        ("id", "SW"),
        ("id", "S", "8"),
        ("id", "SW", "none"),
    ],
    ids=" ".join,
)
def test_bad_input_is_exit_2_with_one_sentence_and_nothing_on_stdout(
    run: Run, arguments: tuple[str, ...]
) -> None:
    for more in ((), ("--json",)):
        answer = run("calc", *arguments, *more)
        assert (answer.code, answer.out) == (2, "")
        assert is_one_sentence(answer.err), answer.err
