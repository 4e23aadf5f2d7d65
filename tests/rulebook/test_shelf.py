"""One planted fault of each kind in a copy of the shipped files is told at its place, in words, and alone."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.errors import Problem
from fieldlog.rulebook.loader import load_from, load_rulebook

Faults = Callable[[], tuple[Problem, ...]]
Spoil = Callable[[str, str, str], None]

PLANTED = [
    # file, old, new, place, words
    (
        "elongation.toml",
        "percent = 1.5",
        "percent = 1.5\nnote = 'x'",
        "elongation.toml: powered.note",
        "no such key",
    ),
    ("elongation.toml", "percent = 1.5\n", "", "elongation.toml: powered.percent", "is missing"),
    (
        "elongation.toml",
        "percent = 1.5",
        "percent = '1.5'",
        "elongation.toml: powered.percent",
        "is text, where",
    ),
    (
        "elongation.toml",
        "percent = 1.5",
        "percent = true",
        "elongation.toml: powered.percent",
        "is true or false",
    ),
    ("elongation.toml", "percent = 1.5", "percent = 0", "elongation.toml: powered.percent", "not above 0"),
    (
        "elongation.toml",
        "percent = 1.5",
        "percent = 100",
        "elongation.toml: powered.percent",
        "not below 100",
    ),
    ("elongation.toml", "percent = 1.5", "percent = -1.5", "elongation.toml: powered.percent", "below 0"),
    ("elongation.toml", "percent = 1.5", "percent = nan", "elongation.toml: powered.percent", "no figure"),
    ("elongation.toml", "percent = 1.5", "percent = inf", "elongation.toml: powered.percent", "no figure"),
    (
        "elongation.toml",
        "source = 'doe-8-elongation'",
        "source = 'doe-8-elongatoin'",
        "elongation.toml: powered.source",
        "unknown source 'doe-8-elongatoin'",
    ),
    (
        "elongation.toml",
        "source = 'doe-8-elongation'\n",
        "",
        "elongation.toml: powered.source",
        "names no source",
    ),
    ("elongation.toml", "id = 'hand'", "id = 'powered'", "elongation.toml: powered", "stands twice"),
    (
        "elongation.toml",
        "'electric', 'air'",
        "'electric', 'steam'",
        "elongation.toml: powered.drives[2]",
        "steam",
    ),
    (
        "elongation.toml",
        "'electric', 'air'",
        "'air', 'air'",
        "elongation.toml: powered.drives",
        "names 'air' twice",
    ),
    ("elongation.toml", "['hand']", "[]", "elongation.toml: hand.drives", "is an empty list"),
    ("elongation.toml", "['hand']", "'hand'", "elongation.toml: hand.drives", "where a list belongs"),
    (
        "elongation.toml",
        "[[elongation]]\nid = 'hand'",
        "[[stretch]]\nid = 'hand'",
        "elongation.toml: stretch",
        "no such",
    ),
    (
        "hooks.toml",
        "cap_mm = 6.35",
        "cap_mm = -6.35",
        "hooks.toml: us-b30.cap_mm",
        "is -6.35, which is below 0",
    ),
    (
        "hooks.toml",
        "inclusive = true",
        "inclusive = 1",
        "hooks.toml: general.inclusive",
        "is a number, where true",
    ),
    (
        "sources/condition.toml",
        "'published'",
        "'certain'",
        "sources/condition.toml: doe-8-elongation.certainty",
        "unknown certainty",
    ),
    (
        "intervals.toml",
        "days = 1",
        "days = 1\nmonths = 1",
        "intervals.toml: pre-use-normal",
        "both months and days",
    ),
    ("intervals.toml", "days = 1\n", "", "intervals.toml: pre-use-normal", "neither months nor days"),
    ("intervals.toml", "days = 1", "days = 0", "intervals.toml: pre-use-normal.days", "is 0."),
    (
        "intervals.toml",
        "days = 1",
        "days = 1.5",
        "intervals.toml: pre-use-normal.days",
        "where a whole number",
    ),
    (
        "intervals.toml",
        "'pre-use'",
        "'preuse'",
        "intervals.toml: pre-use-normal.inspection",
        "kind of inspection",
    ),
    (
        "intervals.toml",
        "'normal'",
        "'rough'",
        "intervals.toml: pre-use-normal.service",
        "unknown service class",
    ),
    (
        "load_tests.toml",
        "low_percent = 5",
        "low_percent = -5",
        "load_tests.toml: eu-powered.low_percent",
        "below 0",
    ),
    ("instruments.toml", "mpe_mm = 0.2", "mpe = 0.2", "instruments.toml: rule-i.steps[1].mpe", "no such key"),
    ("instruments.toml", "up_to_mm = 2000", "up_to_mm = 999", "instruments.toml: rule-i", "do not rise"),
    (
        "year_colours.toml",
        "#2271B3",
        "blue",
        "year_colours.toml: six-years-due.colours[1].hex",
        "is no colour",
    ),
    (
        "report_particulars/uk.toml",
        "'always'",
        "'ever'",
        "report_particulars/uk.toml: uk-owner.when",
        "unknown occasion",
    ),
]


@pytest.mark.parametrize("fault", PLANTED, ids=lambda fault: fault[3])
def test_a_planted_fault_is_told(spoil: Spoil, faults: Faults, fault: tuple[str, ...]) -> None:
    file, old, new, place, words = fault
    spoil(file, old, new)
    told = {problem.place: problem for problem in faults()}
    assert place in told, told
    assert words in told[place].wrong
    assert told[place].todo, "it says what to do"


@pytest.mark.parametrize(
    "file", ["elongation.toml", "sources/paper.toml", "sections.toml", "checklist/chain.toml"]
)
def test_a_line_that_is_not_toml_is_told_with_its_line_and_drags_nothing_along(
    spoil: Spoil, faults: Faults, folder: Path, file: str
) -> None:
    (folder / file).write_text("# first\n[[x]]\nid = \n", "utf-8")
    [problem] = faults()
    assert problem.place == f"{file}: line 3, column 6"
    assert problem.wrong == "is not TOML: Invalid value."


def test_an_unfinished_file_is_told(folder: Path, faults: Faults) -> None:
    (folder / "idle.toml").write_text("[[idle]]\nid = [1,", "utf-8")
    [problem] = faults()
    assert problem.place == "idle.toml: end of document"


@pytest.mark.parametrize("file", ["idle.toml", "sections.toml"])
def test_a_missing_file_is_told_once(folder: Path, faults: Faults, file: str) -> None:
    (folder / file).unlink()
    [problem] = faults()
    assert (problem.place, problem.wrong) == (file, "is missing.")


def test_a_subject_whose_folder_is_missing_is_told_once(folder: Path, faults: Faults) -> None:
    shutil.rmtree(folder / "sources")
    [problem] = faults()
    assert (problem.place, problem.wrong) == ("sources.toml", "is missing.")


def test_a_file_that_is_not_utf_8_is_told_once(folder: Path, faults: Faults) -> None:
    (folder / "idle.toml").write_bytes("# müde".encode("latin-1"))
    [problem] = faults()
    assert problem.place == "idle.toml"
    assert "not UTF-8" in problem.wrong


def test_a_faulty_source_is_told_once_and_not_by_all_who_name_it(spoil: Spoil, faults: Faults) -> None:
    spoil("sources/condition.toml", "title = 'DOE-STD-1090-96", "titel = 'DOE-STD-1090-96")
    assert [problem.place for problem in faults()] == [
        "sources/condition.toml: doe-8-elongation.titel",
        "sources/condition.toml: doe-8-elongation.title",
    ]


def test_a_file_without_entries_is_told(folder: Path, faults: Faults) -> None:
    (folder / "groups.toml").write_text("# none yet\n", "utf-8")
    [problem] = faults()
    assert (problem.place, problem.wrong) == ("groups.toml: group", "has no entry.")


def test_a_table_in_single_brackets_is_told(folder: Path, faults: Faults) -> None:
    (folder / "groups.toml").write_text("[group]\nid = 'M1'\n", "utf-8")
    assert [problem.wrong for problem in faults()] == ["is no list of entries.", "has no entry."]


@pytest.mark.parametrize("table", ["section", "kind_set"])
def test_a_plan_without_sections_or_sets_is_told(
    spoil: Spoil, faults: Faults, folder: Path, table: str
) -> None:
    text = (folder / "sections.toml").read_text("utf-8")
    (folder / "sections.toml").write_text(text.replace(f"[[{table}]]", "[[other]]"), "utf-8")
    told = {problem.place: problem.wrong for problem in faults()}
    assert told["sections.toml: other"] == "no such key."
    assert told[f"sections.toml: {table}"] == "has no entry."


def test_a_missing_checklist_is_told(folder: Path, faults: Faults) -> None:
    for path in folder.glob("checklist/*.toml"):
        path.unlink()
    assert [problem.place for problem in faults()] == ["checklist.toml"]


def test_a_subject_may_be_split_into_files(folder: Path) -> None:
    """Entries move from elongation.toml into a folder of that name; the rulebook stays the same."""
    text = (folder / "elongation.toml").read_text("utf-8")
    first, second, third = text.partition("[[elongation]]\nid = 'hand'")
    (folder / "elongation").mkdir()
    (folder / "elongation" / "powered.toml").write_text(first, "utf-8")
    (folder / "elongation" / "hand.toml").write_text(second + third, "utf-8")
    (folder / "elongation.toml").unlink()
    assert load_from(folder, "general") == load_rulebook("general")
