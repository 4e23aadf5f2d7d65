"""Faults are gathered in order, raised together, and an unknown word gets help."""

import pytest

from fieldlog.errors import Problem, RulebookError
from fieldlog.rulebook.faults import Faults, MisfitError, near


def test_no_fault_raises_nothing() -> None:
    Faults().raise_if_any()


def test_all_faults_are_raised_together_in_their_order() -> None:
    faults = Faults()
    faults.add("a.toml: x", "is missing.", "Add it.")
    inside = (Problem(place="[1]", wrong="is wrong."), Problem(place="[2]", wrong="is worse."))
    faults.add_misfit("b.toml: y", MisfitError(inside=inside))
    with pytest.raises(RulebookError) as caught:
        faults.raise_if_any()
    assert str(caught.value).splitlines() == [
        "The rulebook has 3 faults; nothing starts on faulty rules:",
        "  a.toml: x: is missing. Add it.",
        "  b.toml: y[1]: is wrong.",
        "  b.toml: y[2]: is worse.",
    ]


def test_one_fault_is_counted_as_one() -> None:
    faults = Faults()
    faults.add("a", "b")
    with pytest.raises(RulebookError, match="has 1 fault;"):
        faults.raise_if_any()


def test_a_near_word_is_offered_or_a_short_list_of_all() -> None:
    assert near("hnd", ("hand", "air")) == "Did you mean 'hand'?"
    assert near("zzz", ("hand", "air")) == "Known: hand, air."
    assert near("zzz", [f"word{number}" for number in range(13)]) == ""
    assert near("zzz", ()) == ""
