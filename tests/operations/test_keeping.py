"""A backup of a shop comes back as a shop that goes on; before the first start there is nothing to keep."""

from pathlib import Path

import pytest

from fieldlog.errors import NotFoundError
from fieldlog.operations.due import due_list
from fieldlog.operations.keeping import back_up, restore_backup
from fieldlog.operations.shop import open_shop
from fieldlog.operations.verifying import verify
from tests.operations.builder import TODAY, inspect, ready_shop, register


def test_a_shop_comes_back_and_goes_on(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path / "store")
    tag = register(shop).id
    inspect(shop, tag)
    back_up(shop, tmp_path / "b.zip")
    restore_backup(tmp_path / "b.zip", tmp_path / "new")
    again = open_shop(tmp_path / "new")
    assert due_list(again, TODAY) == due_list(shop, TODAY)
    assert verify(again).problems == ()
    inspect(again, tag)
    assert again.logbooks.read(tag).entries[:2] == shop.logbooks.read(tag).entries


def test_before_the_first_start_there_is_nothing_to_back_up(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no shop is set up"):
        back_up(open_shop(tmp_path / "store"), tmp_path / "b.zip")
    assert not (tmp_path / "b.zip").exists()
