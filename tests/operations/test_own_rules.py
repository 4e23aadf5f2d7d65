"""The shop's own rules hold in every verb that reads a rulebook, and faulty ones stop the start."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import InspectionKind
from fieldlog.errors import RulebookError
from fieldlog.operations.due import due_list
from fieldlog.operations.shop import open_hoist, open_shop, rulebook_named, rulebook_of
from fieldlog.rulebook.loader import load_rulebook
from tests.operations.builder import TODAY, body_of, inspect, ready_shop, register, verdicts

OWN = """
rulebook = 'general'
edition = 'SW-1'
says = 'works instruction 7'
[elongation]
powered = 1.0
[intervals.periodic]
normal = { months = 6 }
"""
GROWN = ("165.4", "166.7", "165.9")  # 1.7 mm: 68.7 % of 1.5 %, past the 1.65 mm of 1.0 %
DAY = date(2026, 11, 1)


def with_own(root: Path, text: str = OWN) -> None:
    (root / "rulebook").mkdir(exist_ok=True)
    (root / "rulebook" / "own.toml").write_text(text, encoding="utf-8")


def test_a_stricter_figure_judges_and_stands_in_the_record(tmp_path: Path) -> None:
    ready_shop(tmp_path)
    with_own(tmp_path)
    shop = open_shop(tmp_path)
    hoist = register(shop, day=DAY)
    body = body_of(inspect(shop, hoist.id, day=DAY, readings=GROWN))
    assert Verdict.DISCARD in verdicts(body, "load chain elongation")
    assert body.edition == f"{load_rulebook('general').edition}+SW-1"
    found = next(finding for finding in body.findings if finding.verdict is Verdict.DISCARD)
    assert found.limit == Decimal("1.650")
    assert found.source.startswith("the shop's own rule: works instruction 7, SW-1, own.toml")


def test_lists_follow_the_own_rules_as_soon_as_they_are_there(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, day=DAY)
    inspect(shop, hoist.id, day=DAY)

    def periodic() -> date:
        (row,) = due_list(open_shop(tmp_path), TODAY)
        return next(due.due_on for due in row.dues if due.inspection is InspectionKind.PERIODIC)

    assert periodic() == date(2027, 11, 1)
    with_own(tmp_path)
    assert periodic() == date(2027, 5, 1)


def test_other_rulebooks_and_other_stores_keep_the_shipped_rules(tmp_path: Path) -> None:
    ready_shop(tmp_path)
    with_own(tmp_path)
    shop = open_shop(tmp_path)
    assert rulebook_named("uk", shop) is load_rulebook("uk")
    assert rulebook_named("general") is load_rulebook("general")
    assert rulebook_named("general", shop) is not load_rulebook("general")
    hoist = register(shop)
    assert rulebook_of(hoist, shop) is open_hoist(shop, hoist.id).rulebook


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (OWN.replace("1.0", "1.6"), "own.toml: elongation.powered"),
        (OWN.replace("powered", "steam"), "own.toml: elongation.steam"),
    ],
)
def test_faulty_own_rules_stop_the_start_with_every_fault(tmp_path: Path, text: str, place: str) -> None:
    ready_shop(tmp_path)
    with_own(tmp_path, text)
    with pytest.raises(RulebookError) as error:
        open_shop(tmp_path)
    assert error.value.exit_code == 2
    assert place in str(error.value)
