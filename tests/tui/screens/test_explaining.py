"""'Why?' on a due date or a verdict: rule, arithmetic with the numbers filled in, source and certainty."""

from tests.tui.builder import at_the_keys, begun_work, in_terminal, inspected, ready_shop, shop_as, with_hoist


def _one_inspected(shop):
    inspected(shop, with_hoist(shop))


@in_terminal
async def test_enter_on_a_due_date_tells_anchor_rule_and_source(tmp_path):
    """Every 12 months for normal service: DOE-STD-1090-96, 8.2.2."""
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        hands.table().move_to("due-PERIODIC")
        await hands.press("enter")
        assert hands.page == "TextPage"
        assert "due on 2027-11-25" in hands.flat()
        assert "from 2026-11-25, 365 days before" in hands.flat()
        assert "DOE-STD-1090-96" in hands.flat()


@in_terminal
async def test_enter_on_the_wear_explains_the_chain_verdict(tmp_path):
    """Grown 0.6 of the 2.475 mm that 1.5 % of 165 mm allow: DOE-STD-1090-96, chapter 8."""
    shop = shop_as(tmp_path, _one_inspected)
    async with at_the_keys(shop) as hands:
        await hands.press("enter")
        hands.table().move_to("wear")
        await hands.press("enter")
        assert "165.6 - 165 = 0.6 mm" in hands.flat()
        assert "2.475" in hands.flat()
        assert "Certainty published" in hands.flat()


@in_terminal
async def test_f4_explains_a_reading_while_it_is_typed(tmp_path):
    shop = ready_shop(tmp_path)
    work = begun_work(shop, with_hoist(shop))
    async with at_the_keys(shop) as hands:
        hands.app.measure_chain(work)
        await hands.settle()
        await hands.press("f4")
        assert "Type a reading first" in hands.message()
        await hands.type("167.475")
        await hands.press("f4")
        assert "load chain elongation: discard" in hands.flat()
        assert "167.475 - 165 = 2.475 mm" in hands.flat()
