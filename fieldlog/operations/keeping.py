"""Backing the store up, putting a backup back, and who may read and write the store."""

from collections.abc import Callable
from pathlib import Path

from fieldlog.operations.shop import Shop, need_settings
from fieldlog.store.backup import BackupReport, write_backup
from fieldlog.store.restore import RestoreReport, restore_backup
from fieldlog.store.rights import keep_private, share_with

__all__ = ["BackupReport", "RestoreReport", "back_up", "keep_private", "restore_backup", "share_with"]


def back_up(shop: Shop, file: Path, *, progress: Callable[[int, int], None] | None = None) -> BackupReport:
    """Write all that can not be worked out anew into a new zip; NotFoundError before the first start."""
    need_settings(shop)
    return write_backup(shop.root, file, progress=progress)
