"""Folding a logbook: what each record does to the state, and what struck or late ones must not do."""

from datetime import date
from decimal import Decimal

import pytest
from msgspec.structs import replace

from fieldlog.domain.chain import DIAMETER, ELONGATION, Unused
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.logbook import History, WearPoint, fold, open_defects, undecided
from fieldlog.domain.records import (
    Answer,
    AnswerKind,
    Basis,
    ChainSize,
    DefectGrade,
    LabelPrinted,
    LoadTest,
    Mending,
    ReturnToService,
    Unknown,
    Withdrawal,
)
from tests.domain.build import (
    SIZE,
    D,
    defect,
    finding,
    grown,
    hoist,
    inspection,
    new_chain,
    reading,
    sealed,
    strike,
)

JAN, FEB, MAR, APR, MAY, JUN = (date(2025, month, 15) for month in range(1, 7))
HOOK = "lower hook"


def mending(day: date, *names: str, **changes: bool) -> Mending:
    return Mending(done_on=day, defects=names, work="new lining", checked_by="Bo Reed", **changes)


def returned(day: date) -> ReturnToService:
    return ReturnToService(done_on=day, guards_on_tools_out=True)


def load_test(day: date, passed: bool = True) -> LoadTest:
    return LoadTest(done_on=day, required_kg=D(625), reached_kg=D(625), passed=passed)


def reasons(history: History) -> list[tuple[date, str]]:
    return [(stop.from_on, stop.reason) for stop in history.stops]


def test_an_empty_logbook_has_no_hoist_and_the_zero_head() -> None:
    history = fold(())
    assert history.hoist is None
    assert history.head == "0" * 64


def test_registration_starts_the_first_chain_life() -> None:
    history = fold(sealed(hoist()))
    assert history.hoist == hoist()
    assert history.chain is not None
    assert (history.chain.number, history.chain.size, history.chain.fitted_on) == (1, SIZE, date(2025, 1, 10))
    assert history.head == history.entries[-1].line


def test_another_site_or_place_is_a_move_and_other_changes_are_not() -> None:
    again = hoist(serial="4712", registered_on=MAR)
    assert fold(sealed(hoist(), again)).moved_on is None
    assert fold(sealed(hoist(), replace(again, site="workshop"))).moved_on == MAR
    assert fold(sealed(hoist(), replace(again, place="bay 2"))).moved_on == MAR


def test_a_corrected_nameplate_corrects_the_chain_until_one_is_fitted() -> None:
    six = ChainSize(dn_mm=D(6), pn_mm=D(18))
    corrected = fold(sealed(hoist(), hoist(chain=six, registered_on=FEB))).chain
    fitted = fold(sealed(hoist(), new_chain(FEB), hoist(chain=six, registered_on=MAR))).chain
    assert corrected is not None
    assert fitted is not None
    assert (corrected.size, corrected.number) == (six, 1)
    assert (fitted.size, fitted.number) == (SIZE, 2)


def test_the_latest_answer_to_an_item_is_kept_with_its_day() -> None:
    seen = Answer(item="brake", answer=AnswerKind.OK)
    unseen = Answer(item="brake", answer=AnswerKind.NOT_SEEN)
    other = Answer(item="label", answer=AnswerKind.NOT_SEEN)
    history = fold(
        sealed(hoist(), inspection(FEB, answers=(unseen, other)), inspection(MAR, answers=(seen,)))
    )
    assert (history.seen["brake"].answer, history.seen["brake"].day) == (seen, MAR)
    assert (history.seen["label"].answer, history.seen["label"].day) == (other, FEB)


def test_the_gravest_finding_of_the_latest_inspection_holds() -> None:
    first = inspection(FEB, findings=(grown("2.0", Verdict.WATCH), finding(Verdict.UNDECIDED, HOOK)))
    second = inspection(MAR, findings=(grown("1.0"), grown("1.2"), grown("0.9")))
    history = fold(sealed(hoist(), first, second))
    assert history.findings[ELONGATION] == grown("1.2")
    assert undecided(history) == (finding(Verdict.UNDECIDED, HOOK),)


def test_wear_is_the_worst_share_of_each_inspection() -> None:
    # 3.0 of 4.725 mm over 21 links is 63 %, 2.0 of 2.475 mm over 11 links is 81 %.
    first = inspection(FEB, findings=(grown("0.5"), grown("0.7"), finding(Verdict.KEEP)))
    second = inspection(MAR, findings=(grown("3.0", allowed="4.725"), grown("2.0")))
    short = inspection(APR, findings=(grown("0.5", allowed="0.675"),))
    none = inspection(
        MAY, findings=(finding(Verdict.KEEP), grown("1", allowed="0"), grown("1", component=HOOK))
    )
    history = fold(sealed(hoist(), first, second, short, none))
    assert history.chain is not None
    assert history.chain.wear == (
        WearPoint(day=FEB, growth_mm=D("0.7"), allowed_mm=D("2.475")),
        WearPoint(day=MAR, growth_mm=D("2.0"), allowed_mm=D("2.475")),
        WearPoint(day=APR, growth_mm=D("0.5"), allowed_mm=D("0.675")),
    )


def test_last_readings_stay_until_others_are_taken_or_the_chain_goes() -> None:
    readings = (reading("165.4"), reading("165.6", place="2 m"))
    with_readings = (hoist(), inspection(FEB, readings=readings), inspection(MAR))
    assert fold(sealed(*with_readings)).last_readings == readings
    assert fold(sealed(*with_readings, new_chain(APR))).last_readings == ()


def test_a_fitted_chain_starts_a_life_and_clears_what_was_found_on_the_old_one() -> None:
    found = (grown("2.6", Verdict.DISCARD), finding(Verdict.WATCH, DIAMETER), finding(Verdict.WATCH, HOOK))
    history = fold(sealed(hoist(), inspection(FEB, findings=found), new_chain(MAR)))
    assert history.chain is not None
    assert (history.chain.number, history.chain.fitted_on, history.chain.wear) == (2, MAR, ())
    assert history.chain.baseline == Unused(links=11, basis=Basis.INSIDE, length_mm=D("165.1"))
    assert [life.wear[-1].growth_mm for life in history.earlier_chains] == [D("2.6")]
    assert set(history.findings) == {HOOK}
    assert history.load_path_opened


@pytest.mark.parametrize("missing", ["baseline_mm", "baseline_links"])
def test_a_baseline_without_links_or_length_is_none(missing: str) -> None:
    history = fold(sealed(hoist(), new_chain(MAR, **{missing: None})))
    assert history.chain is not None
    assert history.chain.baseline is None


def test_a_fitted_chain_mends_the_defects_it_names() -> None:
    worn = inspection(FEB, defects=(defect(), defect(name="D2")))
    history = fold(sealed(hoist(), worn, new_chain(MAR, defects_mended=("D2",))))
    assert [state.defect.id for state in open_defects(history)] == ["D1"]
    assert history.defects[1].mended_on == MAR
    assert history.defects[1].mended_by == "chain set fitted"


def test_mending_keeps_the_first_day_and_names_what_it_does_not_know() -> None:
    entries = sealed(
        hoist(), inspection(FEB, defects=(defect(),)), mending(MAR, "D1"), mending(APR, "D1", "D9")
    )
    history = fold(entries)
    (state,) = history.defects
    assert (state.seen_on, state.mended_on, state.mended_by) == (FEB, MAR, "new lining")
    (problem,) = history.problems
    assert problem.place == "line 4"
    assert "D9" in problem.wrong


@pytest.mark.parametrize(
    ("grade", "stops"),
    [
        (DefectGrade.STOPS_NOW, [(FEB, "D1: brake slips")]),
        (DefectGrade.STOPS_FROM, [(MAY, "D1: brake slips")]),
        (DefectGrade.WATCH, []),
        (DefectGrade.NOTED, []),
    ],
)
def test_only_a_stopping_defect_stops(grade: DefectGrade, stops: list[tuple[date, str]]) -> None:
    found = inspection(FEB, defects=(defect(grade, stops_on=MAY),))
    assert reasons(fold(sealed(hoist(), found))) == stops


@pytest.mark.parametrize(
    ("mended_on", "stops"),
    [(date(2025, 5, 14), 0), (date(2025, 5, 15), 1), (date(2025, 5, 16), 1)],
)
def test_a_dated_stop_falls_away_only_if_mended_before_its_day(mended_on: date, stops: int) -> None:
    found = inspection(FEB, defects=(defect(DefectGrade.STOPS_FROM, stops_on=MAY),))
    assert len(fold(sealed(hoist(), found, mending(mended_on, "D1"))).stops) == stops


def test_a_dated_stop_without_its_date_stops_from_the_day_it_was_seen() -> None:
    found = inspection(FEB, defects=(defect(DefectGrade.STOPS_FROM),))
    assert reasons(fold(sealed(hoist(), found))) == [(FEB, "D1: brake slips")]


def test_a_stop_holds_after_the_mending_until_the_return() -> None:
    bodies = (hoist(), inspection(FEB, defects=(defect(),)), mending(MAR, "D1"))
    assert reasons(fold(sealed(*bodies))) == [(FEB, "D1: brake slips")]
    assert reasons(fold(sealed(*bodies, returned(MAR)))) == []


def test_a_return_lifts_what_is_past_and_not_what_comes_later() -> None:
    bodies = (hoist(), Withdrawal(done_on=FEB, reason="spare"), Withdrawal(done_on=APR, reason="flood"))
    assert reasons(fold(sealed(*bodies, returned(MAR)))) == [(APR, "withdrawn: flood")]
    assert reasons(fold(sealed(*bodies, returned(APR)))) == []


def test_no_return_lifts_an_open_stopping_defect() -> None:
    # Typed late: the defect was seen before the day of the return, and nobody mended it.
    late = (hoist(), returned(MAR), inspection(FEB, defects=(defect(),)))
    assert reasons(fold(sealed(*late))) == [(FEB, "D1: brake slips")]


def test_a_finding_of_discard_stops_the_hoist_without_a_defect_too() -> None:
    stop = (FEB, f"{HOOK}: it is discard")
    found = (hoist(), inspection(FEB, findings=(finding(Verdict.DISCARD, HOOK),)))
    good = inspection(APR, findings=(finding(Verdict.KEEP, HOOK),))
    assert reasons(fold(sealed(*found))) == [stop]
    assert reasons(fold(sealed(*found, returned(MAR)))) == [stop]
    assert reasons(fold(sealed(*found, good))) == [stop]
    assert reasons(fold(sealed(*found, good, returned(APR)))) == []


def test_a_defect_written_for_a_finding_is_not_told_twice() -> None:
    found = finding(Verdict.DISCARD, HOOK)
    told = defect(what=f"{HOOK}: {found.why}")
    history = fold(sealed(hoist(), inspection(FEB, findings=(found,), defects=(told,))))
    assert reasons(history) == [(FEB, f"D1: {HOOK}: it is discard")]
    watch = inspection(FEB, findings=(found,), defects=(replace(told, grade=DefectGrade.WATCH),))
    assert reasons(fold(sealed(hoist(), watch))) == [(FEB, f"{HOOK}: it is discard")]


def test_a_fitted_chain_and_a_return_lift_the_stop_of_the_worn_one() -> None:
    worn = inspection(FEB, findings=(grown("2.6", Verdict.DISCARD),))
    bodies = (hoist(), worn, new_chain(MAR))
    assert len(fold(sealed(*bodies)).stops) == 1
    assert fold(sealed(*bodies, load_test(MAR), returned(MAR))).stops == ()


def test_the_load_path_is_open_until_a_test_is_passed_or_the_hoist_returned() -> None:
    opened = (hoist(), inspection(FEB, defects=(defect(),)), mending(MAR, "D1", load_path=True))
    assert not fold(sealed(*opened[:2], mending(MAR, "D1"))).load_path_opened
    assert fold(sealed(*opened)).load_path_opened
    assert fold(sealed(*opened, mending(APR, "D1"))).load_path_opened
    assert not fold(sealed(*opened, load_test(APR))).load_path_opened
    assert not fold(sealed(*opened, returned(APR))).load_path_opened


def test_a_load_test_not_passed_stops_the_hoist_and_asks_for_another() -> None:
    history = fold(sealed(hoist(), load_test(MAR, passed=False)))
    assert reasons(history) == [(MAR, "the load test was not passed")]
    assert history.load_path_opened


def test_a_record_sealed_late_does_not_hide_what_was_found_after_its_day() -> None:
    found = finding(Verdict.UNDECIDED, HOOK)
    june = inspection(JUN, findings=(grown("2.0", Verdict.WATCH), found), readings=(reading("167"),))
    march = inspection(MAR, findings=(grown("1.0"),), readings=(reading("166"),), answers=())
    history = fold(sealed(hoist(), june, march))
    assert history == replace(
        fold(sealed(hoist(), march, june)), entries=history.entries, inspections=history.inspections
    )
    assert history.findings[ELONGATION].value == D("2.0")
    assert history.last_readings == (reading("167"),)
    assert [body.done_on for _, body in history.inspections] == [MAR, JUN]
    assert history.chain is not None
    assert [point.day for point in history.chain.wear] == [MAR, JUN]


def test_a_struck_inspection_put_right_after_its_defect_was_mended_stays_mended() -> None:
    wrong = inspection(FEB, defects=(defect(),))
    right = inspection(FEB, defects=(defect(where="lower brake"),))
    entries = sealed(hoist(), wrong, mending(MAR, "D1"), returned(MAR), strike(2), right)
    history = fold(entries)
    assert (history.stops, open_defects(history), history.problems) == ((), (), ())
    assert history.defects[0].defect.where == "lower brake"


def test_labels_are_kept_and_unknown_records_are_no_crash() -> None:
    label = LabelPrinted(done_on=MAR, label="due", template="roll", says="2026-03", head="ab")
    history = fold(sealed(hoist(), label, Unknown(name="later kind", data={"x": Decimal(1)})))
    assert [body for _, body in history.labels] == [label]
    assert len(history.entries) == 3
