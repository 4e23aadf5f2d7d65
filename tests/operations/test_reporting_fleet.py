"""Records of the office in words; that none leaves anything out is proved in test_reporting_lines."""

from datetime import date

from fieldlog.domain.records import Notice, TakenOver
from fieldlog.operations.reporting_fleet import fleet_facts


def test_a_notice_says_who_was_told_of_what_and_how() -> None:
    notice = Notice(done_on=date(2026, 2, 27), defects=("D2",), whom="the owner", how="in person")
    told = {fact.label: fact.words.text for fact in fleet_facts(notice)}
    assert told["Defects"] == "D2"
    assert told["Told"] == "the owner, in person"


def test_what_the_paper_did_not_tell_stays_empty() -> None:
    told = {fact.label: fact.words.text for fact in fleet_facts(TakenOver(source="card 12"))}
    assert told["Document"] == "card 12"
    assert told["Inspection on paper"] == ""
    assert told["Reading on paper"] == ""
