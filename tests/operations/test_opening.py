"""A new store opens to whom the first start says: to its owner alone, or to a group that the login is in."""

import grp
import os
import stat
from pathlib import Path

import pytest

from fieldlog.errors import InputError, StoreError
from fieldlog.operations import opening
from fieldlog.operations.opening import ALONE, open_to, opening_field, read_opening


@pytest.fixture
def group() -> str:
    """The group of whoever runs the tests."""
    return grp.getgrgid(os.getegid()).gr_name


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_alone_is_proposed_and_a_beginning_of_it_is_enough(tmp_path: Path) -> None:
    assert opening_field(tmp_path / "store").default == ALONE
    assert read_opening("Me") == ALONE


def test_a_folder_that_was_made_ready_for_a_group_is_proposed_as_it_is(tmp_path: Path, group: str) -> None:
    tmp_path.chmod(0o2770)
    assert opening_field(tmp_path).default == group
    assert opening_field(tmp_path / "deep" / "store").default == group
    assert open_to(tmp_path, group) == ""
    assert _mode(tmp_path) == 0o2770


def test_a_group_is_taken_by_its_name_and_is_among_the_choices(tmp_path: Path, group: str) -> None:
    assert read_opening(group) == group
    assert group in opening_field(tmp_path).choices


def test_a_group_that_the_host_does_not_know_is_refused() -> None:
    with pytest.raises(InputError, match="this host knows no group 'saltmarsh-nobody'"):
        read_opening("saltmarsh-nobody")


def test_a_group_of_others_is_refused(monkeypatch: pytest.MonkeyPatch, group: str) -> None:
    monkeypatch.setattr(opening, "_own_groups", tuple)
    with pytest.raises(InputError, match=f"you are not in the group '{group}', so you can not open"):
        read_opening(group)


@pytest.mark.parametrize("mode", [0o777, 0o755, 0o2770, 0o701])
def test_an_open_folder_is_closed_to_the_others(mode: int, tmp_path: Path) -> None:
    tmp_path.chmod(mode)
    assert open_to(tmp_path, ALONE) == "The folder was open to others; it is yours alone now."
    assert _mode(tmp_path) == 0o700


def test_a_private_folder_stays_as_it_is_and_nothing_is_said(tmp_path: Path) -> None:
    tmp_path.chmod(0o700)
    assert open_to(tmp_path, ALONE) == ""


def test_a_group_gets_folders_and_files(tmp_path: Path, group: str) -> None:
    tmp_path.chmod(0o777)
    (tmp_path / "shop").mkdir(mode=0o700)
    (tmp_path / "shop" / "people.jsonl").touch(mode=0o600)
    assert open_to(tmp_path, group) == f"The store is open to the group {group} now."
    assert (_mode(tmp_path), _mode(tmp_path / "shop")) == (0o2770, 0o2770)
    assert _mode(tmp_path / "shop" / "people.jsonl") == 0o660


def test_a_folder_of_somebody_else_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tmp_path.chmod(0o777)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "chmod", refuse)
    with pytest.raises(StoreError, match="only who made that folder may close it"):
        open_to(tmp_path, ALONE)
