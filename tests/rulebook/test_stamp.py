"""The stamp changes with any rule or formula, and with nothing else."""

from pathlib import Path

from fieldlog.rulebook.stamp import rules_stamp, stamp_of


def folder_with(root: Path, text: str) -> Path:
    root.mkdir()
    (root / "limits.toml").write_text(text)
    (root / "formula.py").write_text("x = 1\n")
    return root


def test_the_same_files_give_the_same_stamp_wherever_they_lie(tmp_path: Path) -> None:
    one, other = folder_with(tmp_path / "a", "p = 1"), folder_with(tmp_path / "b", "p = 1")
    assert stamp_of([one]) == stamp_of([other])


def test_a_changed_rule_changes_the_stamp(tmp_path: Path) -> None:
    one, other = folder_with(tmp_path / "a", "p = 1"), folder_with(tmp_path / "b", "p = 2")
    assert stamp_of([one]) != stamp_of([other])


def test_a_changed_formula_changes_the_stamp(tmp_path: Path) -> None:
    one, other = folder_with(tmp_path / "a", "p = 1"), folder_with(tmp_path / "b", "p = 1")
    (other / "formula.py").write_text("x = 2\n")
    assert stamp_of([one]) != stamp_of([other])


def test_a_file_without_rules_changes_nothing(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "a", "p = 1")
    before = stamp_of([folder])
    (folder / "notes.txt").write_text("nothing")
    assert stamp_of([folder]) == before


def test_the_shipped_stamp_is_a_sha_256() -> None:
    assert len(rules_stamp()) == 64
    assert int(rules_stamp(), 16) >= 0


def test_the_shops_own_rules_change_the_stamp_of_its_store_alone(tmp_path: Path) -> None:
    assert rules_stamp(tmp_path) == rules_stamp()
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "own.toml").write_text("rulebook = 'general'")
    assert rules_stamp(tmp_path) != rules_stamp()
    assert rules_stamp(tmp_path).startswith(rules_stamp())
