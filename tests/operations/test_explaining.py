"""A sealed line in words leaves nothing of it out and shows no brackets of the machine."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.records import Unknown
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.explaining import line_words
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.servicing import withdraw
from fieldlog.operations.shop import Shop
from tests.operations.builder import ADA, NOW, TODAY, begin, fill, ready_shop, register
from tests.operations.service import WITHDRAWAL


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def test_who_when_and_where_in_the_chain(shop: Shop) -> None:
    hoist = register(shop)
    entry = withdraw(shop, hoist.id, WITHDRAWAL, by=ADA, now=NOW, today=TODAY)
    assert line_words(entry) == [
        f"withdrawal, sealed by {ADA} at 2026-11-25T12:00:00+00:00",
        "line 2, version 1",
        f"this line    {entry.line}",
        f"line before  {entry.prev}",
        "",
        "done_on: 2026-11-25",
        "reason: dropped load",
        "lock: lock 14",
    ]


def test_what_is_empty_is_a_dash_and_yes_and_no_are_words(shop: Shop) -> None:
    hoist = register(shop, place="", trolley="no")
    (entry,) = shop.logbooks.read(hoist.id).entries
    lines = line_words(entry)
    assert {"place: -", "trolley: no", "container: yes", "book: -", "falls: 1", "capacity_kg: 500"} <= set(
        lines
    )
    assert lines[lines.index("chain:") + 1 : lines.index("chain:") + 4] == [
        "   dn_mm: 5",
        "   pn_mm: 15",
        "   grade: T",
    ]


def test_an_inspection_is_told_to_its_last_word(shop: Shop) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(
        shop,
        opened,
        content,
        readings=("164.9", "165.6", "165.8"),
        defects={"labels": DefectDraft(what="torn", where="left side", serious=True)},
    )
    question = "shorter than new (165 mm): right chain, taut, all links?"
    content.readings[0].confirmed.append(question)
    text = "\n".join(line_words(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)))
    assert f"questions_confirmed {question}" in text
    for part in ("value_mm 164.9", "typed 164.9", "instrument caliper-0.05", "what torn", "where left side"):
        assert part in text
    assert "serious yes" in text
    assert not any(sign in text for sign in ("['", "']", "Decimal(", "None"))


def test_a_record_of_an_unknown_kind_is_shown_as_it_came(shop: Shop) -> None:
    hoist = register(shop)
    (entry,) = shop.logbooks.read(hoist.id).entries
    data = {"height_m": "12", "notes": ["windy", "wet"], "crew": [{"name": "Cora", "seen": [1, 2]}]}
    lines = line_words(replace(entry, v=7, body=Unknown(name="drone flight", data=data)))
    assert "line 1, version 7" in lines
    assert "name: drone flight" in lines
    assert {"   height_m: 12", "      - windy", "      - name Cora, seen 1; 2"} <= set(lines)
