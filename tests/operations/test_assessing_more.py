"""Upper hook, section wear, single pitches, unused links, plate and repeats, live and in the record."""

from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.functions import item_of
from fieldlog.domain.records import AnswerKind, Basis, ChainSize, DefectGrade, InspectionKind, UnusedLinks
from fieldlog.errors import IncompleteError
from fieldlog.operations.answering import implied_answer
from fieldlog.operations.drafting import DefectDraft, HookDraft, PitchDraft, begin_inspection, read_inspection
from fieldlog.operations.gauging import mean_of, read_repeats
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.servicing import mend
from fieldlog.operations.shop import Shop, open_hoist
from tests.operations.bench import Bench, bench
from tests.operations.builder import (
    ADA,
    CALIPER,
    NOW,
    RULE,
    TODAY,
    begin,
    body_of,
    fill,
    inspect,
    ready_shop,
    register,
)
from tests.operations.service import MENDING

BOOK = {"book_links": "9", "book_length": "135.1", "book_document": "LC book, p. 31"}


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A powered hoist with 5x15 chain and no book value."""
    return bench(tmp_path_factory.mktemp("plain"))


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


# The limit is 4.5 mm (DGUV Information 209-021); guards: caliper 0.0475 mm (DIN 862), class II rule 0.4749 mm
# (SI 2016/1153).
@pytest.mark.parametrize(
    ("d", "tool", "verdict"),
    [
        ("4.547", CALIPER, Verdict.UNDECIDED),
        ("4.548", CALIPER, Verdict.KEEP),
        ("4.95", RULE, Verdict.UNDECIDED),
        ("4.547", "", Verdict.KEEP),
    ],
)
def test_a_diameter_is_as_sure_as_its_instrument(plain: Bench, d: str, tool: str, verdict: Verdict) -> None:
    found = plain.assess(d1=d, d2=d, diameter_instrument=tool)
    assert found.diameter is not None
    assert found.diameter.verdict is verdict
    assert ("no instrument is named" in found.diameter.why) is not tool
    unknown = plain.assess(d1=d, d2=d, diameter_instrument="my eye")
    assert (unknown.diameter, "no instrument 'my eye'" in unknown.diameter_problem) == (None, True)


@pytest.mark.parametrize(("reading", "told"), [("165.4", True), ("167.2", False)])
def test_a_diameter_failure_with_little_elongation_is_told_as_such(
    plain: Bench, reading: str, told: bool
) -> None:
    found = plain.assess(reading, d1="4.4", d2="4.4")
    assert found.diameter is not None
    assert ("with little elongation" in found.diameter.why) is told


def test_the_upper_hook_is_judged_beside_the_lower_one_and_the_graver_answers(plain: Bench) -> None:
    # 10 % over the as-new throat is discard (Korea, OSH Standards Rule art. 96): 44 of 40 mm
    found = plain.assess(hook=HookDraft(throat="30.5"), upper_hook=HookDraft(throat="44", new="40"))
    assert found.hook is not None
    assert found.upper_hook is not None
    assert (found.hook.verdict, found.upper_hook.verdict) == (Verdict.KEEP, Verdict.DISCARD)
    item = next(item for item in found.items if item.measure == "hook")
    assert implied_answer(item, found) is AnswerKind.DEFECT
    alone = plain.assess(upper_hook=HookDraft(throat="40.1"))
    assert alone.upper_hook is not None
    assert alone.upper_hook.verdict is Verdict.UNDECIDED  # nobody knows its throat as new


def test_section_wear_is_judged_with_the_throat(plain: Bench) -> None:
    # 10 % of the section or more is discard (Alberta OHS Code s. 309)
    worn = plain.assess(hook=HookDraft(throat="30.5", section_new="20", section="18"))
    assert worn.hook is not None
    assert (worn.hook.verdict, worn.hook.unit) == (Verdict.DISCARD, "%")
    bad = plain.assess(hook=HookDraft(throat="30.5", section_new="20", section="-"))
    assert (bad.hook, bool(bad.hook_problem)) == (None, True)


def test_a_long_single_link_speaks_for_the_chain_and_a_good_one_does_not(plain: Bench) -> None:
    # DGUV Regel 109-004: 1.05 x 15 + (5 - 4.8) = 15.95
    good = plain.assess(pitches=[PitchDraft(pitch="15.95", diameter="4.8")])
    item = next(item for item in good.items if item.measure == "elongation")
    assert (good.pitches[0].verdict, implied_answer(item, good)) == (Verdict.KEEP, None)
    pitches = [
        PitchDraft(pitch="15.1"),
        PitchDraft(place="wheel", pitch="15.96", diameter="4.8"),
        PitchDraft(),
    ]
    long = plain.assess("165.4", pitches=pitches)
    assert [finding.verdict for finding in long.pitches] == [Verdict.DISCARD, Verdict.KEEP]
    assert implied_answer(item, long) is AnswerKind.DEFECT
    assert plain.assess(pitches=[PitchDraft(pitch="x")]).pitch_problem


def test_unused_links_measured_now_are_the_reference_and_are_questioned(plain: Bench) -> None:
    view = plain.view("167.6", unused="165.3")
    assert view.verdict is not None
    assert (view.verdict.reference.length_mm, view.verdict.reference.origin) == (
        Decimal("165.3"),
        "measured on unused links",
    )
    assert view.verdict.finding.verdict is Verdict.WATCH  # 2.3 of 2.475 mm; from 165 mm it were discard
    (question,) = plain.assess("167.6", unused="166").questions  # 0.6 % over 165 mm
    assert "over 0.5 % longer than 11 new links" in question
    (short,) = plain.assess("167.6", unused="164.9").questions
    assert "shorter than 11 new links" in short
    assert plain.assess("167.6", unused="0").unused_problem


def test_the_shorter_of_fitted_and_unused_length_serves_later_too(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content)
    content.unused = "165.2"
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert body.unused == UnusedLinks(links=11, length_mm=Decimal("165.2"), instrument=CALIPER)
    page = hoist_page(shop, hoist.id, TODAY)
    assert page.chain_rule.startswith("11 links inside: 165.2 mm (measured on unused links)")


def test_a_book_over_other_links_is_a_question_and_no_silence(tmp_path: Path) -> None:
    held = bench(tmp_path, **BOOK)
    (question,) = held.assess("165.4").questions
    assert question.startswith("the maker's book gives its figures over 9 links, 11 are measured")
    assert held.assess("135.3", links="9").questions == ()
    assert held.assess().questions == ()


def test_rating_and_chain_unlike_the_registered_ones_are_questioned(plain: Bench) -> None:
    asked = plain.assess(capacity_seen="1 t", chain_seen="6.3x19").questions
    assert [text.split(":")[0] for text in asked] == [
        "the plate says 1000 kg, registered are 500 kg",
        "the chain is 6.3 x 19 mm, the nameplate asks for 5 x 15 mm",
    ]
    assert plain.assess(capacity_seen="500 kg", chain_seen="5 x 15").questions == ()
    assert plain.assess(capacity_seen="heavy").plate_problem


@pytest.mark.parametrize(
    ("text", "values", "mean"),
    [
        ("165,4", ("165.4",), "165.4"),
        ("165.4; 165.6", ("165.4", "165.6"), "165.5"),
        ("165.4;165.4;165.5", ("165.4", "165.4", "165.5"), "165.4334"),  # 165.43333 rounded up
    ],
)
def test_several_readings_at_one_place_are_their_mean(text: str, values: tuple[str, ...], mean: str) -> None:
    read = read_repeats(text)
    assert read == tuple(map(Decimal, values))
    assert mean_of(read) == Decimal(mean)


@pytest.mark.parametrize("text", ["165.4;", ";", "165.4;x", "165.4;0", ";".join(["165.4"] * 11)])
def test_half_a_repeat_is_a_problem(plain: Bench, text: str) -> None:
    assert plain.view(text).problem


def test_repeats_widen_the_doubt_by_their_scatter(plain: Bench) -> None:
    once, twice = plain.view("167.2"), plain.view("167.0;167.4")
    assert once.verdict is not None
    assert twice.verdict is not None
    assert twice.verdict.growth_mm == once.verdict.growth_mm
    assert twice.verdict.guard_mm > once.verdict.guard_mm
    assert twice.verdict.reading.repeats == (Decimal("167.0"), Decimal("167.4"))


def test_everything_measured_is_sealed(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content, readings=("165.4; 165.5", "166.1", "165.9"))
    content.upper_hook = HookDraft(throat="40.2", new="40", section_new="20", section="19.8")
    content.pitches = [PitchDraft(pitch="15.1", diameter="4.9", instrument=CALIPER)]
    content.capacity_seen, content.chain_seen = "500", "5x15"
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert [hook.which for hook in body.hooks] == ["lower", "upper"]
    assert body.hooks[1].section_mm == Decimal("19.8")
    assert body.pitches[0].pitch_mm == Decimal("15.1")
    assert (body.capacity_seen_kg, body.chain_seen) == (
        Decimal(500),
        ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15)),
    )
    assert body.readings[0].repeats == (Decimal("165.4"), Decimal("165.5"))
    assert {"upper hook", "load chain single pitch"} <= {finding.component for finding in body.findings}
    again, _ = begin_inspection(
        shop, open_hoist(shop, hoist.id), InspectionKind.PERIODIC, by=ADA, now=NOW, today=TODAY
    )
    assert read_inspection(again).upper_hook.new == "40"


def test_each_failing_part_of_one_item_is_a_defect_of_its_own(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content)
    content.hook = HookDraft(throat="33")
    content.upper_hook = HookDraft(crack=True)
    content.pitches = [PitchDraft(pitch="16")]
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert sorted(defect.what.split(":")[0] for defect in body.defects) == [
        "load chain single pitch",
        "lower hook",
        "upper hook",
    ]
    assert len({defect.id for defect in body.defects}) == 3


@pytest.mark.parametrize("wrong", ["upper_hook", "pitches", "unused", "capacity_seen"])
def test_what_can_not_be_read_stands_in_the_way_of_sealing(shop: Shop, wrong: str) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, InspectionKind.FIRST_USE)
    fill(shop, opened, content)
    bad = {
        "upper_hook": HookDraft(throat="x"),
        "pitches": [PitchDraft(pitch="x")],
        "unused": "x",
        "capacity_seen": "x",
    }
    setattr(content, wrong, bad[wrong])
    with pytest.raises(IncompleteError):
        seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)


def test_brake_limits_and_overload_device_are_findings_in_the_record(shop: Shop) -> None:
    hoist = register(shop)
    slips = DefectDraft(what="runs on", grade=DefectGrade.WATCH)
    unseen = {"overload-device": AnswerKind.NOT_SEEN, "limit-down": AnswerKind.NOT_APPLICABLE}
    body = body_of(inspect(shop, hoist.id, defects={"brake": slips}, answers=unseen))
    found = {item_of(finding): finding for finding in body.findings if item_of(finding)}
    assert found["limit-up"].verdict is Verdict.KEEP
    assert (found["brake"].verdict, found["brake"].why) == (Verdict.WATCH, "a defect (watch) runs on")
    assert found["overload-device"].verdict is Verdict.UNDECIDED
    assert "limit-down" not in found
    assert all(finding.source and finding.edition == body.edition for finding in found.values())
    conditions = hoist_page(shop, hoist.id, TODAY).summary.conditions
    assert [text for text in conditions if "verload" in text] == [
        "not seen: Overload device trips as it should"
    ]


def test_a_brake_graded_as_stopping_is_discard_until_it_is_mended(shop: Shop) -> None:
    hoist = register(shop)
    body = body_of(inspect(shop, hoist.id, defects={"brake": DefectDraft(what="sinks")}))
    found = next(finding for finding in body.findings if item_of(finding) == "brake")
    assert found.verdict is Verdict.DISCARD
    assert hoist_page(shop, hoist.id, TODAY).standing.reasons == ("D1: sinks",)
    mend(shop, hoist.id, MENDING | {"defects": "D1"}, by=ADA, now=NOW, today=TODAY)
    shown = {item_of(finding) for finding in hoist_page(shop, hoist.id, TODAY).findings}
    assert "brake" not in shown


def test_a_gauge_needs_no_unused_length(plain: Bench) -> None:
    found = plain.assess(basis=Basis.GAUGE, unused="")
    assert found.unused_problem == ""
