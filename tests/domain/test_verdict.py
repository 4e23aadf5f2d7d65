"""Fitness for service on a day, stickers and the return to service, from every state a hoist can be in."""

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.logbook import History, fold
from fieldlog.domain.paper_rules import StickerRule
from fieldlog.domain.records import (
    Answer,
    AnswerKind,
    Body,
    DefectGrade,
    InspectionKind,
    LoadTest,
    Mending,
    ReturnToService,
    Withdrawal,
)
from fieldlog.domain.verdict import (
    Fitness,
    Standing,
    fitness_on,
    is_safety_item,
    missing_for_return,
    summarise,
)
from tests.domain.build import (
    ITEMS,
    PRACTICE,
    D,
    defect,
    finding,
    grown,
    hoist,
    inspection,
    item,
    new_chain,
    rulebook,
    sealed,
)

RULES = rulebook()
FEB, MAR, APR, MAY = (date(2025, month, 15) for month in range(2, 6))
A_DAY = timedelta(days=1)
IN, LIMITED, OUT = Fitness.IN_SERVICE, Fitness.LIMITED, Fitness.OUT_OF_SERVICE


def history_of(*bodies: Body) -> History:
    return fold(sealed(hoist(), *bodies))


def standing(day: date, *bodies: Body) -> Standing:
    return fitness_on(summarise(history_of(*bodies), RULES), day)


def fitness(day: date, *bodies: Body) -> Fitness:
    return standing(day, *bodies).fitness


def mending(day: date, **changes: bool) -> Mending:
    return Mending(done_on=day, defects=("D1",), work="new lining", checked_by="Bo Reed", **changes)


def returned(day: date) -> ReturnToService:
    return ReturnToService(done_on=day, guards_on_tools_out=True)


def missing(*bodies: Body, guards: bool = True, test: str = "") -> tuple[str, ...]:
    return missing_for_return(history_of(*bodies), RULES, guards_on_tools_out=guards, test=test)


GOOD = inspection(FEB)
STOPPED = inspection(FEB, defects=(defect(),))
DATED = inspection(FEB, defects=(defect(DefectGrade.STOPS_FROM, stops_on=APR),))


def test_until_the_first_inspection_a_hoist_is_out_of_service() -> None:
    assert fitness(FEB) is OUT
    assert standing(FEB).reasons == ("not in use yet: the inspection before first use is missing",)
    assert fitness(FEB, inspection(FEB, InspectionKind.FREQUENT)) is OUT
    assert fitness(FEB, GOOD) is IN


def test_a_stopping_defect_takes_it_out_from_its_day() -> None:
    assert fitness(FEB - A_DAY, STOPPED) is IN
    assert fitness(FEB, STOPPED) is OUT
    assert standing(FEB, STOPPED).reasons == ("D1: brake slips",)


@pytest.mark.parametrize(("day", "expected"), [(APR - A_DAY, LIMITED), (APR, OUT), (APR + A_DAY, OUT)])
def test_a_dated_defect_closes_the_hoist_by_itself_when_its_day_comes(day: date, expected: Fitness) -> None:
    assert fitness(day, DATED) is expected
    if expected is LIMITED:
        assert standing(day, DATED).reasons == ("D1: brake slips (from 2025-04-15 on: out of service)",)


@pytest.mark.parametrize(
    ("mended_on", "before", "after"),
    [(APR - A_DAY, IN, IN), (APR, IN, OUT), (APR + A_DAY, IN, OUT)],
)
def test_a_dated_defect_mended_in_time_never_closes_it_and_one_mended_later_did(
    mended_on: date, before: Fitness, after: Fitness
) -> None:
    bodies = (DATED, mending(mended_on))
    assert fitness(APR - A_DAY, *bodies) is before
    assert fitness(MAY, *bodies) is after
    assert fitness(MAY, *bodies, returned(MAY)) is IN


def test_a_withdrawal_holds_until_the_return() -> None:
    gone = Withdrawal(done_on=MAR, reason="flooded")
    assert fitness(MAR - A_DAY, GOOD, gone) is IN
    assert standing(MAR, GOOD, gone) == Standing(fitness=OUT, reasons=("withdrawn: flooded",))
    assert fitness(APR, GOOD, gone, returned(APR)) is IN


def test_a_discard_verdict_takes_it_out_and_a_new_chain_with_a_return_brings_it_back() -> None:
    worn = inspection(FEB, findings=(grown("2.6", Verdict.DISCARD),))
    assert fitness(FEB, worn) is OUT
    assert missing(worn, test="1.25 x 500 kg") == (
        "load chain elongation is discard, measure it again after the repair: it is discard",
    )
    assert missing(worn, new_chain(MAR)) == ("parts of the load path were changed: a load test is missing",)
    test = LoadTest(done_on=MAR, required_kg=D(625), reached_kg=D(625), passed=True)
    assert missing(worn, new_chain(MAR), test) == ()
    assert fitness(MAR, worn, new_chain(MAR), test) is OUT
    assert fitness(MAR, worn, new_chain(MAR), test, returned(MAR)) is IN


def test_a_new_chain_clears_wear_findings_and_not_those_of_the_hook() -> None:
    found = (grown("2.3", Verdict.UNDECIDED), finding(Verdict.UNDECIDED, "lower hook"))
    assert standing(MAR, inspection(FEB, findings=found), new_chain(MAR)).reasons == (
        "undecided: lower hook, it is undecided",
    )
    assert fitness(MAR, inspection(FEB, findings=found[:1]), new_chain(MAR)) is IN


@pytest.mark.parametrize("verdict", [Verdict.KEEP, Verdict.WATCH])
def test_keep_and_watch_stay_in_service_and_watch_is_said(verdict: Verdict) -> None:
    found = standing(FEB, inspection(FEB, findings=(grown("2.0", verdict),)))
    assert found.fitness is IN
    assert found.reasons == (("load chain elongation: it is watch",) if verdict is Verdict.WATCH else ())


def test_undecided_is_never_a_pass() -> None:
    assert fitness(FEB, inspection(FEB, findings=(finding(Verdict.UNDECIDED),))) is LIMITED
    decided = inspection(MAR, findings=(grown("1.0"),))
    assert fitness(MAR, inspection(FEB, findings=(finding(Verdict.UNDECIDED),)), decided) is IN


@pytest.mark.parametrize(("name", "expected"), [("brake", LIMITED), ("label", IN), ("gone", LIMITED)])
def test_a_safety_item_not_seen_limits_until_it_is_seen(name: str, expected: Fitness) -> None:
    # An item this edition does not know is taken as if it affected safety.
    unseen = inspection(FEB, answers=(Answer(item=name, answer=AnswerKind.NOT_SEEN),))
    assert fitness(FEB, unseen) is expected
    seen = inspection(MAR, answers=(Answer(item=name, answer=AnswerKind.OK),))
    assert fitness(MAR, unseen, seen) is IN


@pytest.mark.parametrize("grade", [DefectGrade.WATCH, DefectGrade.NOTED])
def test_milder_defects_are_said_and_do_not_limit(grade: DefectGrade) -> None:
    found = standing(FEB, inspection(FEB, defects=(defect(grade),)))
    assert found == Standing(fitness=IN, reasons=("D1: brake slips",))


def test_the_gravest_reason_governs_and_each_is_said_once() -> None:
    both = inspection(FEB, defects=(defect(),), findings=(finding(Verdict.UNDECIDED, "lower hook"),))
    again = inspection(MAR, defects=(defect(),))
    assert standing(MAR, both, again).reasons == ("D1: brake slips",)


def refusals(*bodies: Body, **changes: object) -> tuple[str, ...]:
    return summarise(history_of(*bodies), rulebook(**changes)).sticker_refusals


def test_a_hoist_in_order_gets_a_sticker() -> None:
    assert refusals(GOOD) == ()
    assert refusals(inspection(FEB, findings=(grown("2.0", Verdict.WATCH),))) == ()


@pytest.mark.parametrize(
    ("bodies", "why"),
    [
        ((), "no inspection is sealed yet"),
        ((inspection(FEB, InspectionKind.FREQUENT),), "the inspection before first use is missing"),
        ((STOPPED,), "D1: brake slips"),
        ((DATED,), "D1: brake slips"),
        ((STOPPED, mending(MAR)), "D1: brake slips"),  # mended, and not returned to service yet
        ((inspection(FEB, defects=(defect(DefectGrade.WATCH),)),), "D1: brake slips"),  # at a safety item
        (
            (inspection(FEB, defects=(defect(DefectGrade.NOTED, item="label", serious=True),)),),
            "D1: brake slips",
        ),
        ((GOOD, Withdrawal(done_on=MAR, reason="flooded")), "withdrawn: flooded"),
        (
            (inspection(FEB, findings=(finding(Verdict.UNDECIDED, "lower hook"),)),),
            "undecided: lower hook, it is undecided",
        ),
        (
            (inspection(FEB, findings=(finding(Verdict.DISCARD, "lower hook"),)),),
            "lower hook: it is discard",
        ),
        (
            (inspection(FEB, answers=(Answer(item="brake", answer=AnswerKind.NOT_SEEN),)),),
            "not seen: Brake",
        ),
    ],
)
def test_each_reason_to_refuse_a_sticker(bodies: tuple[Body, ...], why: str) -> None:
    # DGUV Vorschrift 54, 23a: a sticker presupposes that there are no safety defects (published).
    assert refusals(*bodies) == (why,)


def test_a_defect_that_leaves_safety_untouched_refuses_no_sticker_unless_the_rulebook_says_so() -> None:
    minor = inspection(FEB, defects=(defect(DefectGrade.NOTED, item="label"),))
    lenient, strict = (
        StickerRule(id="s", with_minor_defects=given, source=PRACTICE) for given in (True, False)
    )
    assert refusals(minor) == refusals(minor, sticker=lenient) == ()
    assert refusals(minor, sticker=strict) == ("D1: brake slips",)


def test_nothing_is_missing_for_the_return_of_a_hoist_in_order() -> None:
    assert missing(GOOD, Withdrawal(done_on=MAR, reason="spare")) == ()


@pytest.mark.parametrize(
    ("bodies", "what"),
    [
        ((STOPPED,), "D1 is not mended: brake slips"),
        ((DATED,), "D1 is not mended: brake slips"),
        (
            (inspection(FEB, findings=(finding(Verdict.UNDECIDED, "lower hook"),)),),
            "undecided: lower hook, it is undecided",
        ),
        (
            (inspection(FEB, answers=(Answer(item="brake", answer=AnswerKind.NOT_SEEN),)),),
            "not seen: Brake",
        ),
        (
            (STOPPED, mending(MAR, load_path=True)),
            "parts of the load path were changed: a load test is missing",
        ),
    ],
)
def test_each_thing_missing_for_the_return(bodies: tuple[Body, ...], what: str) -> None:
    assert missing(*bodies) == (what,)


def test_the_return_asks_for_guards_and_takes_a_test_that_is_told() -> None:
    opened = (STOPPED, mending(MAR, load_path=True))
    assert missing(GOOD, guards=False) == ("say that guards are on and tools are out",)
    assert missing(*opened, test="  ") == ("parts of the load path were changed: a load test is missing",)
    assert missing(*opened, test="625 kg held, no drift") == ()
    failed = LoadTest(done_on=MAR, required_kg=D(625), reached_kg=D(625), passed=False)
    assert "a load test is missing" in missing(*opened, failed)[0]


def test_all_that_is_missing_is_said_at_once() -> None:
    bad = inspection(FEB, defects=(defect(),), findings=(finding(Verdict.UNDECIDED, "lower hook"),))
    assert len(missing(bad, new_chain(MAR), guards=False)) == 4


def test_milder_defects_do_not_hinder_the_return() -> None:
    assert missing(inspection(FEB, defects=(defect(DefectGrade.WATCH),))) == ()


def test_an_item_is_a_safety_item_unless_the_rulebook_says_otherwise() -> None:
    rules = rulebook(items=(*ITEMS, item("oil", safety=False)))
    assert [is_safety_item(name, rules) for name in ("brake", "oil", "unknown")] == [True, False, True]


def test_the_summary_tells_the_chain_that_hangs_there_and_what_of_it_is_used() -> None:
    worn = inspection(FEB, findings=(grown("1.98", Verdict.WATCH), finding(Verdict.KEEP)))
    summary = summarise(history_of(worn), RULES)
    assert (summary.dn_mm, summary.pn_mm, summary.used_pct) == (D(5), D(15), D("80.0"))
    assert (summary.entries, summary.open_defects) == (2, 0)
    assert summary.head == history_of(worn).head
    six = replace(hoist().chain, dn_mm=D(6), pn_mm=D(18))
    other = summarise(history_of(worn, new_chain(MAR, chain=six)), RULES)
    assert (other.dn_mm, other.pn_mm, other.used_pct) == (D(6), D(18), None)


def test_due_dates_follow_the_days_of_the_work_and_not_of_the_sealing() -> None:
    late = (inspection(MAY), inspection(FEB))
    dues = {due.inspection: due.anchor for due in summarise(history_of(*late), RULES).dues}
    assert dues[InspectionKind.PERIODIC] == MAY


def test_a_logbook_without_a_registration_has_no_summary() -> None:
    with pytest.raises(ValueError, match="without a registration"):
        summarise(fold(sealed(GOOD)), RULES)
