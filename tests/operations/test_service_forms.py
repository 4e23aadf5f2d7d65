"""The service forms ask what the record needs, propose what is known and refuse days to come."""

from datetime import date
from pathlib import Path

import pytest

from fieldlog.domain.records import ChainSize
from fieldlog.operations.entering import Field, check_field, read_chain_size, take_all
from fieldlog.operations.service_forms import (
    chain_fields,
    load_test_fields,
    mending_fields,
    return_fields,
    size_words,
    withdrawal_fields,
)
from fieldlog.operations.shop import open_hoist
from tests.operations.builder import TODAY, ready_shop, register
from tests.operations.service import CHAIN_SET, LOAD_TEST, MENDING, RETURN, WITHDRAWAL

OPEN = ("D1", "D3")


@pytest.fixture(scope="module")
def forms(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Field, ...]]:
    root: Path = tmp_path_factory.mktemp("forms")
    shop = ready_shop(root)
    return {
        "withdrawal": withdrawal_fields(TODAY),
        "mending": mending_fields(TODAY, OPEN),
        "chain": chain_fields(open_hoist(shop, register(shop).id), TODAY),
        "test": load_test_fields(TODAY),
        "return": return_fields(TODAY),
    }


TYPED = {
    "withdrawal": WITHDRAWAL,
    "mending": MENDING,
    "chain": CHAIN_SET,
    "test": LOAD_TEST,
    "return": RETURN,
}


@pytest.mark.parametrize("form", TYPED)
def test_a_form_filled_in_gives_every_value_and_the_day_is_today(
    forms: dict[str, tuple[Field, ...]], form: str
) -> None:
    values, problems = take_all(forms[form], TYPED[form])
    assert problems == ()
    assert values["done_on"] == TODAY
    assert set(TYPED[form]) <= set(values)


@pytest.mark.parametrize("form", TYPED)
@pytest.mark.parametrize(
    ("day", "taken"), [("2026-11-24", True), ("2026-11-25", True), ("2026-11-26", False)]
)
def test_no_form_takes_a_day_to_come(
    forms: dict[str, tuple[Field, ...]], form: str, day: str, taken: bool
) -> None:
    field = next(field for field in forms[form] if field.name == "done_on")
    assert (check_field(field, day) == "") is taken


@pytest.mark.parametrize(
    ("form", "needed"),
    [
        ("withdrawal", {"done_on", "reason"}),
        ("mending", {"done_on", "defects", "work", "checked_by", "load_path"}),
        (
            "chain",
            {"done_on", "chain", "grade", "certificate", "length", "set", "links", "basis", "baseline"},
        ),
        ("test", {"done_on", "required", "reached", "passed"}),
        ("return", {"done_on", "guards"}),
    ],
)
def test_what_must_be_filled_in(forms: dict[str, tuple[Field, ...]], form: str, needed: set[str]) -> None:
    assert {field.name for field in forms[form] if field.required} == needed


@pytest.mark.parametrize("form", ["mending", "test", "return"])
def test_what_is_stated_is_asked_and_never_assumed(forms: dict[str, tuple[Field, ...]], form: str) -> None:
    stated = {"load_path", "passed", "guards"}
    assert all(field.default == "" for field in forms[form] if field.name in stated)


@pytest.mark.parametrize(
    ("text", "read"),
    [("D1", ("D1",)), ("d3, d1", ("D3", "D1")), ("D1 D1,D1", ("D1",)), (" D1 ,D3 ", ("D1", "D3"))],
)
def test_defects_are_named_by_their_ids(text: str, read: tuple[str, ...]) -> None:
    values, problems = take_all(mending_fields(TODAY, OPEN), MENDING | {"defects": text})
    assert problems == ()
    assert values["defects"] == read


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("D2", "'D2' is no open defect here: open are D1 D3"),
        ("D1 D9", "'D9' is no open defect here: open are D1 D3"),
        (",", "name the defects that were mended: open are D1 D3"),
        ("all", "'ALL' is no open defect here: open are D1 D3"),
    ],
)
def test_a_defect_that_is_not_open_is_refused(text: str, said: str) -> None:
    field = next(field for field in mending_fields(TODAY, OPEN) if field.name == "defects")
    assert check_field(field, text) == said


def test_all_open_defects_are_proposed_and_none_where_there_are_none() -> None:
    def asked(defects: tuple[str, ...]) -> Field:
        return next(field for field in mending_fields(TODAY, defects) if field.name == "defects")

    assert (asked(OPEN).default, asked(OPEN).hint) == ("D1 D3", "open: D1 D3")
    assert (asked(()).default, asked(()).hint) == ("", "open: none")
    assert check_field(asked(()), "D1").endswith("open are none")


@pytest.mark.parametrize("chain", ["5x15", "11.3x31", "7.14375x20.5"])
def test_the_nameplates_chain_is_proposed_as_it_would_be_typed(tmp_path: Path, chain: str) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop, chain=chain)
    field = next(f for f in chain_fields(open_hoist(shop, hoist.id), TODAY) if f.name == "chain")
    assert field.default == chain
    assert read_chain_size(size_words(hoist.chain)) == ChainSize(
        dn_mm=hoist.chain.dn_mm, pn_mm=hoist.chain.pn_mm
    )


def test_the_day_proposed_is_the_day_handed_in() -> None:
    (field, *_) = withdrawal_fields(date(2027, 1, 1))
    assert field.default == "2027-01-01"
