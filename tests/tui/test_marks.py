"""Every verdict, state and answer is told by a word and a mark that any terminal shows."""

from collections.abc import Mapping
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
