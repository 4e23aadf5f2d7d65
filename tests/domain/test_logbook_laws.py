"""Laws of folding: a struck record is as if absent, whatever the history."""

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.logbook import fold
from fieldlog.domain.records import Body, DefectGrade, LoadTest, Mending, ReturnToService, Withdrawal
from tests.domain.build import D, defect, finding, grown, hoist, inspection, new_chain, sealed, strike

DAYS = st.dates(date(2025, 1, 1), date(2025, 3, 31))
NAMES = st.sampled_from(["D1", "D2", "D3"])
DEFECTS = st.builds(defect, st.sampled_from(list(DefectGrade)), NAMES, stops_on=DAYS)
FINDINGS = st.one_of(
    st.builds(grown, st.sampled_from(["0.5", "2.1"]), st.sampled_from([Verdict.KEEP, Verdict.WATCH])),
    st.builds(finding, st.sampled_from(list(Verdict)), st.sampled_from(["lower hook", "upper hook"])),
)
BODIES: st.SearchStrategy[Body] = st.one_of(
    st.builds(
        inspection,
        DAYS,
        defects=st.lists(DEFECTS, max_size=2).map(tuple),
        findings=st.lists(FINDINGS, max_size=2).map(tuple),
    ),
    st.builds(
        Mending,
        done_on=DAYS,
        defects=st.tuples(NAMES),
        work=st.just("w"),
        checked_by=st.just("c"),
        load_path=st.booleans(),
    ),
    st.builds(new_chain, DAYS, defects_mended=st.tuples(NAMES)),
    st.builds(Withdrawal, done_on=DAYS, reason=st.just("flood")),
    st.builds(ReturnToService, done_on=DAYS, guards_on_tools_out=st.just(True)),
    st.builds(
        LoadTest, done_on=DAYS, required_kg=st.just(D(1)), reached_kg=st.just(D(1)), passed=st.booleans()
    ),
    st.builds(hoist, registered_on=DAYS, site=st.sampled_from(["filter house", "workshop"])),
)
HISTORIES = st.lists(BODIES, min_size=1, max_size=7)


@settings(max_examples=150)
@given(HISTORIES, st.data())
def test_a_struck_record_is_as_if_it_were_absent(bodies: list[Body], data: st.DataObject) -> None:
    number = data.draw(st.integers(2, len(bodies) + 1))
    entries = sealed(hoist(), *bodies, strike(number))
    without = tuple(entry for entry in entries[:-1] if entry.number != number)
    struck, absent = fold(entries), fold(without)
    assert replace(struck, entries=absent.entries, struck={}) == absent


@given(HISTORIES, st.data())
def test_a_strike_struck_out_is_as_if_neither_were_there(bodies: list[Body], data: st.DataObject) -> None:
    number = data.draw(st.integers(2, len(bodies) + 1))
    entries = sealed(hoist(), *bodies, strike(number), strike(len(bodies) + 2))
    plain = fold(entries[:-2])
    assert replace(fold(entries), entries=plain.entries, struck={}) == plain


@given(HISTORIES)
def test_every_open_stopping_defect_and_standing_discard_stops(bodies: list[Body]) -> None:
    history = fold(sealed(hoist(), *bodies))
    reasons = {stop.reason for stop in history.stops}
    for state in history.defects:
        if state.mended_on is None and state.defect.grade in (DefectGrade.STOPS_NOW, DefectGrade.STOPS_FROM):
            assert f"{state.defect.id}: {state.defect.what}" in reasons
    for component, found in history.findings.items():
        if found.verdict is Verdict.DISCARD:
            assert f"{component}: {found.why}" in reasons
