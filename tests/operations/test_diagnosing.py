"""Proves that the doctor sees what is wrong: rules, damaged logbooks, a clock behind the records."""

from datetime import timedelta
from pathlib import Path

from fieldlog.operations.diagnosing import Check, State, check_rules, check_store
from tests.operations.builder import NOW, ready_shop, register


def faults(checks: list[Check]) -> dict[str, str]:
    return {check.what: check.says for check in checks if check.state is State.FAULT}


def test_a_sound_store_has_no_fault(tmp_path: Path):
    register(ready_shop(tmp_path))
    assert faults([*check_rules(), *check_store(tmp_path, NOW)]) == {}


def test_a_store_that_is_not_there_yet_is_a_note(tmp_path: Path):
    checks = list(check_store(tmp_path / "none", NOW))
    assert faults(checks) == {}
    assert any(check.state is State.NOTE and "not there yet" in check.says for check in checks)


def test_a_damaged_logbook_is_a_fault(tmp_path: Path):
    hoist = register(ready_shop(tmp_path))
    (tmp_path / "logbooks" / f"{hoist.id}.jsonl").write_bytes(b"garbage\n")
    assert "logbook" in faults(list(check_store(tmp_path, NOW)))


def test_own_rules_with_faults_are_a_fault(tmp_path: Path):
    ready_shop(tmp_path)
    (tmp_path / "rulebook").mkdir()
    (tmp_path / "rulebook" / "own.toml").write_text("oops = [", encoding="utf-8")
    assert "shop" in faults(list(check_store(tmp_path, NOW)))


def test_a_clock_behind_the_last_record_is_a_fault(tmp_path: Path):
    register(ready_shop(tmp_path))
    assert "clock" not in faults(list(check_store(tmp_path, NOW - timedelta(minutes=5))))
    assert "clock" in faults(list(check_store(tmp_path, NOW - timedelta(minutes=6))))
