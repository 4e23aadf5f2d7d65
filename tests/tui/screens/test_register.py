"""Registering: the tag it will get, gear proposed by the drive, and the record that is sealed."""

from decimal import Decimal
from pathlib import Path

from fieldlog.domain.records import Basis, BookValue, ChainSize, Drive
from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.shop import open_shop
from fieldlog.operations.tool_forms import take_site
from tests.tui.builder import (
    ADA,
    MORNING,
    PLATE,
    TODAY,
    at_the_keys,
    in_terminal,
    ready_shop,
    records,
    with_hoist,
)
from tests.tui.hands import Hands

TYPED = {
    "maker": "Fenwright",
    "model": "LC 500",
    "serial": "4711",
    "year": "2019",
    "drive": "e",
    "capacity": "0,5 t",
    "falls": "2",
    "lift": "20 ft",
    "chain": "5 x 15 mm",
    "grade": "T",
    "book_length": "165,2",
    "book_discard": "167.4",
    "book_document": "book 3, p. 12",
    "hook_throat": "1 3/16 in",
    "site": "intake hall",
    "place": "bay 2",
}


async def _fill_at_once(hands: Hands, texts: dict[str, str]) -> None:
    for name, text in texts.items():
        hands.field(name).value = text
    await hands.settle()


@in_terminal
async def test_what_was_typed_is_sealed_in_millimetres_and_kilograms_and_the_page_opens(
    tmp_path: Path,
) -> None:
    """20 ft = 6096 mm and 1 3/16 in = 30.1625 mm, with 1 in = 25.4 mm exactly."""
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        assert hands.heading() == "New hoist: will get the tag SW-0001-0   (* must be filled in)"
        await _fill_at_once(hands, TYPED)
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert hands.message().startswith("Registered as SW-0001-0. Next: i inspects it, p prints its tag.")
        assert "not in use yet: the inspection before first use is missing" in hands.text()
    (hoist,) = records(shop, "SW-0001-0")
    assert (hoist.maker, hoist.model, hoist.serial, hoist.year) == ("Fenwright", "LC 500", "4711", 2019)
    assert (hoist.drive, hoist.capacity_kg, hoist.falls) == (Drive.ELECTRIC, Decimal(500), 2)
    assert (hoist.lift_mm, hoist.hook_throat_mm) == (Decimal(6096), Decimal("30.1625"))
    assert hoist.chain == ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15), grade="T")
    assert hoist.book == BookValue(
        links=11,
        basis=Basis.INSIDE,
        length_mm=Decimal("165.2"),
        discard_mm=Decimal("167.4"),
        document="book 3, p. 12",
    )
    assert (hoist.limit_switches, hoist.container, hoist.overload_device) == (True, True, True)
    assert (hoist.trolley, hoist.lifts_persons, hoist.rulebook) == (False, False, "general")
    assert shop.logbooks.read("SW-0001-0").entries[0].by == ADA
    assert kept_drafts(shop) == []


@in_terminal
async def test_the_book_may_be_absent_but_a_book_figure_needs_its_document(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        await _fill_at_once(hands, {**PLATE, "book_length": "165.2"})
        await hands.press("f10")
        assert hands.page == "RegisterPage"
        assert hands.beside("book_document") == "name the document that the book value comes from"
        await hands.fill(book_length="")
        await hands.press("f10")
        assert hands.page == "HoistPage"
    (hoist,) = records(shop, "SW-0001-0")
    assert hoist.book is None


@in_terminal
async def test_choosing_a_hand_hoist_proposes_its_usual_gear(tmp_path: Path) -> None:
    async with at_the_keys(ready_shop(tmp_path)) as hands:
        await hands.press("n")
        await hands.fill(drive="hand")
        gear = ("limit_switches", "container", "overload_device")
        assert [hands.field(name).value for name in gear] == ["no", "no", "no"]


@in_terminal
async def test_two_who_register_at_once_get_different_tags(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        await _fill_at_once(hands, PLATE)
        other = with_hoist(open_shop(tmp_path), serial="4712")
        await hands.press("f10")
        assert other == "SW-0001-0"
        assert hands.message().startswith("Registered as SW-0002-Y.")
    assert [records(shop, tag)[0].serial for tag in (other, "SW-0002-Y")] == ["4712", "4711"]


@in_terminal
async def test_a_site_with_a_rulebook_of_its_own_proposes_it(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    texts = {"name": "chlorine store", "rulebook": "uk"}
    take_site(shop, texts, by=ADA, now=MORNING, today=TODAY)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        await hands.fill(site="workshop")
        assert hands.field("rulebook").value == "general"
        await hands.fill(site="chlorine store")
        assert hands.field("rulebook").value == "uk"


@in_terminal
async def test_a_plate_that_has_a_tag_already_is_asked_about_and_taken_on_purpose(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    tag = with_hoist(shop)
    async with at_the_keys(shop) as hands:
        await hands.press("n")
        await _fill_at_once(hands, PLATE)
        await hands.press("f10")
        assert hands.message().startswith(f"Fenwright serial 4711 has the tag {tag} already, intake hall")
        await hands.press("f10")
        assert hands.page == "HoistPage"
        assert len(shop.logbooks.hoist_names()) == 2
