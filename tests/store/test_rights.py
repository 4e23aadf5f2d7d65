"""A store is private, or open to one group; what is written later has the same rights, whatever the umask."""

import errno
import grp
import os
import stat
from pathlib import Path

import pytest

from fieldlog.errors import InputError, StoreError
from fieldlog.store import rights
from fieldlog.store.drafts import Drafts
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.rights import keep_private, share_with
from fieldlog.store.signers import PublicKey, revoke
from tests.store.samples import HOIST, OTHER, seal
from tests.store.stores import register, small_store
from tests.store.writing_session import draft


@pytest.fixture
def group() -> str:
    return grp.getgrgid(os.getegid()).gr_name


@pytest.fixture(autouse=True, params=[0o022, 0o077, 0o000])
def _umask(request: pytest.FixtureRequest) -> object:
    before = os.umask(request.param)
    yield
    os.umask(before)


def modes(root: Path) -> dict[str, set[int]]:
    found: dict[str, set[int]] = {"folders": set(), "files": set()}
    for path in (root, *root.rglob("*")):
        found["folders" if path.is_dir() else "files"].add(stat.S_IMODE(path.stat().st_mode))
    return found


def write_all_sorts(root: Path) -> None:
    """One of everything that a session writes."""
    logbooks = Logbooks(root)
    seal(logbooks, 1, name=OTHER)
    seal(logbooks, 2, name="SW-0009-K")
    register(root).refresh()
    Drafts(root / "drafts").save(draft("0" * 32, "typed"))
    revoke(root, PublicKey(type="ssh-ed25519", text="AAAA"))


def test_a_new_store_is_private_and_so_is_all_that_is_written_into_it(tmp_path: Path) -> None:
    root = tmp_path / "deep" / "store"
    small_store(root)
    write_all_sorts(root)
    assert modes(root) == {"folders": {0o700}, "files": {0o600}}


def test_a_shared_store_is_open_to_its_group_and_so_is_all_that_is_written_into_it(
    tmp_path: Path, group: str
) -> None:
    root = tmp_path / "store"
    small_store(root)
    share_with(root, group)
    assert modes(root) == {"folders": {0o2770}, "files": {0o660}}
    write_all_sorts(root)
    assert modes(root) == {"folders": {0o2770}, "files": {0o660}}
    assert {path.stat().st_gid for path in root.rglob("*")} == {os.getegid()}


def test_a_store_may_be_shared_before_its_first_start(tmp_path: Path, group: str) -> None:
    root = tmp_path / "store"
    share_with(root, group)
    small_store(root)
    write_all_sorts(root)
    assert modes(root) == {"folders": {0o2770}, "files": {0o660}}


def test_a_shared_store_is_closed_again(tmp_path: Path, group: str) -> None:
    root = tmp_path / "store"
    small_store(root)
    seen: list[tuple[int, int]] = []
    count = share_with(root, group, progress=lambda done, total: seen.append((done, total)))
    assert (count, seen[-1]) == (len(seen), (count, count))
    assert keep_private(root) == count
    assert modes(root) == {"folders": {0o700}, "files": {0o600}}
    write_all_sorts(root)
    assert modes(root) == {"folders": {0o700}, "files": {0o600}}


def test_what_a_link_leads_to_is_left_alone(tmp_path: Path, group: str) -> None:
    root, outside = tmp_path / "store", tmp_path / "outside"
    small_store(root)
    outside.write_bytes(b"")
    outside.chmod(0o640)
    (root / "link").symlink_to(outside)
    share_with(root, group)
    keep_private(root)
    assert stat.S_IMODE(outside.stat().st_mode) == 0o640


def test_a_group_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="knows no group 'saltmarsh-nobody'"):
        share_with(tmp_path / "store", "saltmarsh-nobody")
    assert not (tmp_path / "store").exists()


def test_one_who_may_not_change_the_rights_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, group: str
) -> None:
    small_store(tmp_path / "store")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(rights.os, "chown", refuse)
    with pytest.raises(StoreError, match="only who made the store may do that"):
        share_with(tmp_path / "store", group)
    assert Logbooks(tmp_path / "store").read(HOIST).problem is None


class _Ordered:
    """The paths whose rights are changed, in their order."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.seen: list[Path] = []
        chown = os.chown

        def noting(path: Path, *told: int, **how: bool) -> None:
            self.seen.append(path)
            chown(path, *told, **how)

        monkeypatch.setattr(os, "chown", noting)


def test_the_root_is_closed_first_and_opened_last(
    tmp_path: Path, group: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What breaks off half-way leaves the store closed."""
    write_all_sorts(tmp_path / "store")
    ordered = _Ordered(monkeypatch)
    share_with(tmp_path / "store", group)
    assert ordered.seen[-1] == tmp_path / "store"
    ordered.seen.clear()
    keep_private(tmp_path / "store")
    assert ordered.seen[0] == tmp_path / "store"


def test_what_the_disk_keeps_at_a_mount_point_is_not_the_stores(tmp_path: Path, group: str) -> None:
    """lost+found is root's, so that nobody else may change its rights."""
    write_all_sorts(tmp_path)
    lost = tmp_path / "lost+found"
    lost.mkdir(mode=0o700)
    lost.chmod(0o700)
    share_with(tmp_path, group)
    assert stat.S_IMODE(lost.stat().st_mode) == 0o700
    keep_private(tmp_path)
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o700
