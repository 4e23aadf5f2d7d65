"""Backing the store up, putting a backup back, and who may read and write the store."""

from collections.abc import Callable
from pathlib import Path

from fieldlog.errors import NotFoundError
from fieldlog.operations.shop import NO_SHOP, Shop
from fieldlog.store.backup import BackupReport, write_backup
from fieldlog.store.restore import RestoreReport, restore_backup
from fieldlog.store.rights import keep_private, share_with
from fieldlog.store.verify import stored_names

__all__ = ["BackupReport", "RestoreReport", "back_up", "keep_private", "restore_backup", "share_with"]


def need_records(shop: Shop) -> None:
    """NotFoundError where the store holds no logbook at all, neither a hoist's nor the shop's own."""
    if not stored_names(shop.root):
        raise NotFoundError(NO_SHOP.format(root=shop.root))


def back_up(shop: Shop, file: Path, *, progress: Callable[[int, int], None] | None = None) -> BackupReport:
    """Write all that can not be worked out anew into a new zip; NotFoundError before the first start.

    A store with damaged records is backed up as it stands: that may be all there is.
    """
    need_records(shop)
    return write_backup(shop.root, file, progress=progress)
