"""The live view of a chain reading: reference, limit, growth, share of it used, verdict and its source."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.domain.criteria import SEVERITY, Certainty, Verdict
from fieldlog.domain.records import Basis
from fieldlog.operations.drafting import ReadingDraft
from fieldlog.operations.servicing import fit_chain
from fieldlog.operations.shop import open_hoist
from fieldlog.rulebook.loader import load_rulebook
from tests.operations.bench import Bench, bench
from tests.operations.builder import ADA, NOW, RULE, TODAY, inspect, with_stricter_rule
from tests.operations.service import CHAIN_SET

DOE = "DOE-STD-1090-96"


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A powered hoist with 5x15 chain and no book value."""
    return bench(tmp_path_factory.mktemp("plain"))


@pytest.fixture(scope="module")
def hand(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return bench(tmp_path_factory.mktemp("hand"), drive="hand")


def test_all_figures_of_the_worked_example(plain: Bench) -> None:
    """5x15 over 11 links: 1.5 % of 165 mm is 2.475 mm, at the limit is discard (DOE-STD-1090-96 ch. 8)."""
    verdict = plain.view("167.475").verdict
    assert verdict is not None
    assert (verdict.reference.length_mm, verdict.limit_mm) == (Decimal(165), Decimal("167.475"))
    assert (verdict.growth_mm, verdict.allowance.growth_mm) == (Decimal("2.475"), Decimal("2.475"))
    assert (verdict.elongation_pct, verdict.used_pct) == (Decimal("1.5"), Decimal(100))
    assert verdict.finding.verdict is Verdict.DISCARD
    assert DOE in verdict.allowance.source
    assert verdict.allowance.certainty is Certainty.PUBLISHED
    assert (verdict.finding.rulebook, verdict.finding.edition) == (
        "general",
        load_rulebook("general").edition,
    )


# Caliper 0.05: MPE 0.05 mm up to 300 mm and 0.02 more inside (DIN 862); w = 1.645 MPE / sqrt 3 = 0.0665 mm.
# Watch from 80 % of 2.475 mm on, 1.98 mm (common practice, no source).
@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("165", Verdict.KEEP),
        ("166.979", Verdict.KEEP),
        ("166.98", Verdict.WATCH),
        ("167.408", Verdict.WATCH),
        ("167.409", Verdict.UNDECIDED),
        ("167.474", Verdict.UNDECIDED),
        ("167.475", Verdict.DISCARD),
        ("167.476", Verdict.DISCARD),
    ],
)
def test_the_verdict_below_at_and_above_each_bound(plain: Bench, text: str, verdict: Verdict) -> None:
    found = plain.view(text).verdict
    assert found is not None
    assert found.finding.verdict is verdict


# Steel rule of class II: MPE 0.5 mm up to 1 m (UK SI 2016/1153), w = 0.4749 mm: good for growth up to 2 mm.
@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("167", Verdict.WATCH),
        ("167.001", Verdict.UNDECIDED),
        ("167.474", Verdict.UNDECIDED),
        ("167.475", Verdict.DISCARD),
    ],
)
def test_a_steel_rule_can_not_tell_near_the_limit(plain: Bench, text: str, verdict: Verdict) -> None:
    found = plain.view(text, instrument=RULE).verdict
    assert found is not None
    assert found.finding.verdict is verdict
    if verdict is Verdict.UNDECIDED:
        assert "measure again with a finer tool" in found.finding.why


# DOE-STD-1090-96 ch. 8: 1.5 % for powered hoists, 2.5 % for hand-operated ones. 168 mm is 1.818 %.
def test_the_same_reading_is_discard_on_a_powered_hoist_and_kept_on_a_hand_hoist(
    plain: Bench, hand: Bench
) -> None:
    powered, by_hand = plain.view("168").verdict, hand.view("168").verdict
    assert powered is not None
    assert by_hand is not None
    assert powered.finding.verdict is Verdict.DISCARD
    assert by_hand.finding.verdict is Verdict.KEEP
    assert by_hand.allowance.growth_mm == Decimal("4.125")  # 2.5 % of 165 mm
    at_limit = hand.view("169.125").verdict
    assert at_limit is not None
    assert at_limit.finding.verdict is Verdict.DISCARD


# The same growth is a smaller share of the outside length; the stricter is taken: 2.475 mm over 175 mm.
@pytest.mark.parametrize(
    ("text", "verdict"), [("175", Verdict.KEEP), ("177.474", Verdict.UNDECIDED), ("177.475", Verdict.DISCARD)]
)
def test_outside_the_growth_is_that_of_the_inside_length(plain: Bench, text: str, verdict: Verdict) -> None:
    found = plain.view(text, basis=Basis.OUTSIDE).verdict
    assert found is not None
    assert (found.reference.length_mm, found.limit_mm) == (Decimal(175), Decimal("177.475"))
    assert found.finding.verdict is verdict


# A go/no-go gauge set to n links plus the limit: both ends touch is discard, a gap is keep.
@pytest.mark.parametrize(("touch", "verdict"), [(True, Verdict.DISCARD), (False, Verdict.KEEP)])
def test_a_gauge_says_go_or_no_go_without_a_figure(plain: Bench, touch: bool, verdict: Verdict) -> None:
    reading = ReadingDraft(place="hook end", touch=touch)
    found = plain.assess(basis=Basis.GAUGE, instrument="", readings=[reading])
    view = found.readings[0]
    assert view.verdict is not None
    assert view.verdict.finding.verdict is verdict
    assert (view.verdict.growth_mm, view.verdict.used_pct, view.questions) == (None, None, ())
    assert found.spread_mm is None


def test_a_gauge_that_was_not_told_is_no_reading(plain: Bench) -> None:
    reading = ReadingDraft(place="hook end", text="g")
    assert plain.assess(basis=Basis.GAUGE, readings=[reading]).worst is None


def test_the_reference_is_the_book_then_the_unused_chain_then_computed_and_is_said_in_words(
    tmp_path: Path, plain: Bench
) -> None:
    computed = plain.view("165.4").verdict
    assert computed is not None
    assert computed.reference.origin == "computed from 5 x 15"
    book = bench(tmp_path, book_length="165.2", book_document="LC book, p. 31")
    by_book = book.view("165.4").verdict
    assert by_book is not None
    assert (by_book.reference.length_mm, by_book.growth_mm) == (Decimal("165.2"), Decimal("0.2"))
    assert by_book.reference.origin == "maker's book (LC book, p. 31)"
    inspect(book.shop, book.opened.hoist.id)
    fit_chain(book.shop, book.opened.hoist.id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    still = Bench(book.shop, open_hoist(book.shop, book.opened.hoist.id)).view("165.4").verdict
    assert still is not None
    assert still.reference.origin == "maker's book (LC book, p. 31)"


def test_without_a_book_the_baseline_of_the_new_chain_is_the_reference(tmp_path: Path) -> None:
    held = bench(tmp_path)
    inspect(held.shop, held.opened.hoist.id)
    fit_chain(held.shop, held.opened.hoist.id, CHAIN_SET, by=ADA, now=NOW, today=TODAY)
    fitted = Bench(held.shop, open_hoist(held.shop, held.opened.hoist.id))
    inside, outside = fitted.view("167.1").verdict, fitted.view("177.1", basis=Basis.OUTSIDE).verdict
    assert inside is not None
    assert outside is not None
    assert inside.reference.origin == outside.reference.origin == "measured on unused links"
    # the same chain outside is 2 dn longer, so the growth is the same
    assert inside.growth_mm == outside.growth_mm == Decimal("2.0")
    other = fitted.view("135.5", links="9").verdict
    assert other is not None
    assert other.reference.origin == "computed from 5 x 15"


def test_the_books_discard_length_governs_unless_the_shop_chose_the_stricter_rule(tmp_path: Path) -> None:
    """The maker's limit takes precedence over the percentage (DOE-STD-1090-96 ch. 8)."""
    held = bench(tmp_path, book_discard="168", book_document="LC book, p. 31")
    lax = held.view("167.5").verdict
    assert lax is not None
    assert lax.limit_mm == Decimal(168)
    assert lax.finding.verdict is Verdict.WATCH
    assert lax.allowance.source == "the hoist maker's book, as entered: LC book, p. 31"
    with_stricter_rule(held.shop)
    strict = held.view("167.5").verdict
    assert strict is not None
    assert (strict.limit_mm, strict.finding.verdict) == (Decimal("167.475"), Verdict.DISCARD)


def test_a_book_for_other_links_does_not_serve(tmp_path: Path) -> None:
    held = bench(tmp_path, book_links="9", book_length="135.1", book_discard="136", book_document="p. 31")
    found = held.view("165.4").verdict
    assert found is not None
    assert (found.reference.origin, found.limit_mm) == ("computed from 5 x 15", Decimal("167.475"))


@pytest.mark.parametrize(("text", "typed"), [("", ""), ("165.4", "165.4")])
def test_without_an_instrument_nothing_is_judged(plain: Bench, text: str, typed: str) -> None:
    view = plain.view(text, instrument="")
    assert view.verdict is None
    assert ("choose the instrument first" in view.problem) is bool(typed)


def test_a_length_that_the_instrument_does_not_reach_is_a_problem_of_its_place(plain: Bench) -> None:
    """A caliper of this table ends at 1000 mm (DIN 862)."""
    found = plain.assess("1485.5", "165.4", links="99")
    assert "measures up to 1000 mm" in found.readings[0].problem
    assert found.readings[0].verdict is None


@pytest.mark.parametrize("typed", ["1654", "16540"])
def test_a_slipped_point_is_named_before_the_reach_of_the_tool(plain: Bench, typed: str) -> None:
    problem = plain.view(typed).problem
    assert "measures up to 1000 mm" in problem
    assert problem.startswith("decimal point slipped?") is (typed == "1654")


@pytest.mark.parametrize("text", ["165,", "x", "165.4.4", "0"])
def test_what_can_not_be_read_is_said_beside_it_and_hides_no_other_place(plain: Bench, text: str) -> None:
    found = plain.assess(text, "165.4", "165.6")
    assert found.readings[0].problem
    assert found.readings[0].verdict is None
    assert found.spread_mm == Decimal("0.2")


def test_the_worst_place_governs_and_the_spread_is_shown(plain: Bench) -> None:
    found = plain.assess("165.4", "167.1", "166.0")
    assert found.worst is not None
    assert found.worst.reading.place == "place 1"
    assert found.spread_mm == Decimal("1.7")
    assert plain.assess("165.4").spread_mm is None
    assert plain.assess().worst is None


@settings(max_examples=60, deadline=None)
@given(one=st.decimals("163", "172", places=2), more=st.decimals("0", "3", places=2))
def test_the_verdict_never_gets_milder_as_the_reading_grows(
    plain: Bench, one: Decimal, more: Decimal
) -> None:
    shorter, longer = plain.view(str(one)).verdict, plain.view(str(one + more)).verdict
    assert shorter is not None
    assert longer is not None
    assert SEVERITY[shorter.finding.verdict] <= SEVERITY[longer.finding.verdict]
