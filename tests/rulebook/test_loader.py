"""Rulebooks by name: what is shipped loads, and a faulty folder says all that is wrong with it."""

import subprocess
import sys
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.rules import Rulebook
from fieldlog.errors import InputError, Problem, RulebookError
from fieldlog.rulebook.loader import DATA, load_all, load_from, load_rulebook, rulebook_names

Faults = Callable[[], tuple[Problem, ...]]
Spoil = Callable[[str, str, str], None]


def test_the_shipped_rulebooks_are_named_with_the_general_one_first() -> None:
    assert rulebook_names() == ("general", "de", "uk", "us")
    assert list(load_all()) == list(rulebook_names())


@pytest.mark.parametrize("name", rulebook_names())
def test_a_rulebook_knows_its_name_edition_and_day(name: str) -> None:
    rulebook = load_rulebook(name)
    assert rulebook.name == name
    assert rulebook.edition
    assert isinstance(rulebook.issued_on, date)


def test_a_rulebook_is_read_once_a_process() -> None:
    assert load_rulebook("us") is load_rulebook("us")


def test_a_copy_gives_the_same_rulebook_but_is_never_kept(folder: Path) -> None:
    first = load_from(folder, "general")
    assert first == load_rulebook("general")
    assert first is not load_from(folder, "general")


def test_figures_are_decimals_however_they_are_written() -> None:
    """5 and 0.9 in the files: an int would divide into a float."""
    general = load_rulebook("general")
    for figure in (general.diameter.share, general.hook.percent, general.load_tests[0].low_percent):
        assert type(figure) is Decimal


@pytest.mark.parametrize("name", ["nowhere", "", "../rulebooks/us", "General"])
def test_an_unknown_name_is_told_with_those_that_are_known(name: str) -> None:
    with pytest.raises(InputError, match=r"no rulebook '.*'\. Known: general, de, uk, us\.") as caught:
        load_rulebook(name)
    assert caught.value.exit_code == 2


def test_an_empty_folder_has_no_rulebook(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="Known: none in"):
        load_from(tmp_path, "general")


def test_five_faults_in_five_files_are_all_told_at_once(spoil: Spoil, faults: Faults) -> None:
    spoil("elongation.toml", "percent = 1.5", "percent = 150")
    spoil("hooks.toml", "inclusive = true", "inclusive = 'yes'")
    spoil("intervals.toml", "days = 1", "days = 1\nmonths = 1")
    spoil("checklist/chain.toml", "safety = true", "safty = true")
    spoil("rulebooks/general.toml", "date_rule = 'calendar'", "date_rule = 'lunar'")
    places = {problem.place for problem in faults()}
    assert places == {
        "elongation.toml: powered.percent",
        "hooks.toml: general.inclusive",
        "intervals.toml: pre-use-normal",
        "checklist/chain.toml: chain-damage.safty",
        "checklist/chain.toml: chain-damage.safety",
        "rulebooks/general.toml: date_rule",
    }


def test_the_error_says_how_many_and_each_with_file_key_and_what_to_do(spoil: Spoil, folder: Path) -> None:
    spoil("elongation.toml", "percent = 1.5", "precent = 1.5")
    with pytest.raises(RulebookError) as caught:
        load_from(folder, "general")
    assert caught.value.exit_code == 2
    heading, *lines = str(caught.value).splitlines()
    assert heading.startswith("The rulebook has 2 faults")
    assert lines == [
        "  elongation.toml: powered.precent: no such key. Did you mean 'percent'?",
        "  elongation.toml: powered.percent: is missing. Add it.",
    ]


def test_a_fault_in_another_regime_does_not_stop_this_one(spoil: Spoil, folder: Path) -> None:
    spoil("rulebooks/uk.toml", "hook = 'uk'", "hook = 'kingdom'")
    assert isinstance(load_from(folder, "general"), Rulebook)
    with pytest.raises(RulebookError, match=r"rulebooks/uk\.toml: hook: unknown hook 'kingdom'\."):
        load_from(folder, "uk")


def test_loading_loads_no_library_that_is_slow_to_start() -> None:
    """A quick command pays for the rules only: neither textual, pint, reportlab nor tinydb is loaded."""
    code = (
        "import sys; from fieldlog.rulebook.loader import load_rulebook; load_rulebook('general');"
        "print(sorted({'textual', 'pint', 'reportlab', 'tinydb', 'difflib'} & set(sys.modules)))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=DATA.parents[2]
    )
    assert run.stdout.strip() == "[]"
