"""Proves the words that all reports share."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import Drive
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.reporting_words import (
    FITNESS_WORDS,
    STRONG_VERDICTS,
    VERDICT_WORDS,
    chain_line,
    counted,
    moment,
    recorded,
    said,
)
from fieldlog.operations.shop import open_hoist
from fieldlog.tui.marks import VERDICT_MARKS
from tests.operations.report_samples import VISIT_DAY, new_chain, shop_of


def test_every_verdict_and_state_has_a_mark_and_a_word_of_its_own() -> None:
    assert set(VERDICT_WORDS) == set(Verdict)
    assert len({text[0] for text in VERDICT_WORDS.values()}) == len(Verdict)
    assert set(FITNESS_WORDS) == set(Fitness)
    assert set(STRONG_VERDICTS) == {Verdict.DISCARD, Verdict.UNDECIDED}


def test_paper_and_screen_use_the_same_marks() -> None:
    assert VERDICT_WORDS == VERDICT_MARKS


def test_nothing_recorded_is_marked_and_never_filled_in() -> None:
    assert (recorded("").text, recorded("").missing) == ("not recorded", True)
    assert not recorded("Saltmarsh").missing


def test_a_choice_is_told_as_plain_text() -> None:
    assert type(said(Drive.HAND).text) is str


def test_a_moment_keeps_its_offset() -> None:
    at = datetime(2026, 2, 27, 9, 5, tzinfo=timezone(timedelta(hours=-5)))
    assert moment(at) == "2026-02-27 09:05-05:00"


def test_one_and_many() -> None:
    assert (counted(1, "defect"), counted(2, "defect"), counted(0, "defect")) == (
        "1 defect",
        "2 defects",
        "0 defects",
    )


def test_the_chain_line_names_day_and_certificate_of_the_set_that_hangs_there(tmp_path: Path) -> None:
    shop, tag = shop_of(tmp_path, "general")
    assert chain_line(open_hoist(shop, tag)) == "5 x 15 mm, T"
    new_chain(shop, tag, VISIT_DAY)
    told = chain_line(open_hoist(shop, tag))
    assert told == "5 x 15 mm, T; fitted 2026-02-27, certificate K-5x15-0418"
