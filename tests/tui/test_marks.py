"""Every verdict, state and answer is told by a word and a mark that any terminal shows."""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from typing import Any

import pytest

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind
from fieldlog.domain.verdict import Fitness
from fieldlog.tui import marks
from fieldlog.tui.app import STYLES

TABLES = (
    (marks.VERDICT_MARKS, marks.VERDICT_TONES, Verdict),
    (marks.FITNESS_MARKS, marks.FITNESS_TONES, Fitness),
    (marks.ANSWER_MARKS, marks.ANSWER_TONES, AnswerKind),
)
CSS = STYLES.read_text(encoding="utf-8")


@pytest.mark.parametrize(("words", "tones", "kinds"), TABLES)
def test_nothing_is_left_without_a_mark_and_a_tone(
    words: Mapping[Any, str], tones: Mapping[Any, str], kinds: type[StrEnum]
) -> None:
    assert set(words) == set(tones) == set(kinds)


@pytest.mark.parametrize(("words", "tones", "kinds"), TABLES)
def test_the_marks_are_plain_ascii_and_no_two_are_alike(
    words: Mapping[Any, str], tones: Mapping[Any, str], kinds: type[StrEnum]
) -> None:
    assert all(mark.isascii() and mark.isprintable() for mark in words.values())
    assert len(set(words.values())) == len(words)


def test_a_verdict_and_a_state_carry_a_sign_and_their_own_word() -> None:
    for kind, mark in [*marks.VERDICT_MARKS.items(), *marks.FITNESS_MARKS.items()]:
        sign, word = mark.split(" ", 1)
        assert len(sign) == 1
        assert word.lower() == kind.value


def test_the_signs_of_the_four_verdicts_differ_without_any_colour() -> None:
    assert len({mark[0] for mark in marks.VERDICT_MARKS.values()}) == len(Verdict)


@pytest.mark.parametrize("tones", [table[1] for table in TABLES])
def test_every_tone_has_its_style_in_a_table(tones: Mapping[Any, str]) -> None:
    for tone in set(tones.values()):
        assert f".table--{tone} " in CSS


def test_the_two_cautions_name_lockout_load_book_and_the_person_who_decides() -> None:
    for word in ("lock out", "under load", "book", "local codes"):
        assert word in marks.CAUTION
    assert "competent person" in marks.A_PERSON_DECIDES


@pytest.mark.parametrize(
    ("used", "whole", "tenth"),
    [
        ("15.99", "16 %", "16.0 %"),
        ("99.4", "99 %", "99.4 %"),
        ("99.96", "99 %", "99.9 %"),
        ("100", "100 %", "100.0 %"),
        ("100.04", "101 %", "100.1 %"),
    ],
)
def test_a_share_is_never_rounded_across_the_limit(used: str, whole: str, tenth: str) -> None:
    assert (marks.share(Decimal(used)), marks.share(Decimal(used), "0.1")) == (whole, tenth)


@pytest.mark.parametrize(
    ("guard", "told"), [("0.0665", "0.067 mm"), ("0.066", "0.066 mm"), ("0.0661", "0.067 mm")]
)
def test_a_doubt_is_never_told_smaller_than_it_is(guard: str, told: str) -> None:
    assert marks.doubt(Decimal(guard)) == told
