"""The hoists of the benchmark are such as fieldlog would have: forty lines each, nothing wrong in them."""

from pathlib import Path

from demo.bench_fleet import LINES, tags, write_fleet
from fieldlog.domain.tag_id import parse_id
from fieldlog.operations.shop import open_hoist, open_shop
from fieldlog.operations.verifying import verify
from tests.demo.written import machines, write


def test_a_made_fleet_verifies(tmp_path: Path) -> None:
    works = write(tmp_path / "works", fleet=machines("near-limit", "broken-guide"))
    root = tmp_path / "fleet"
    root.mkdir()
    size = write_fleet(works.root, root, 3)
    shop = open_shop(root)
    assert shop.logbooks.hoist_names() == list(tags(3))
    found = verify(shop)
    assert (found.problems, found.notes) == ((), ())
    assert size == sum(path.stat().st_size for path in (root / "logbooks").iterdir())
    for tag in tags(3):
        opened = open_hoist(shop, tag)
        assert (opened.hoist.id, len(opened.history.entries), parse_id(tag)) == (tag, LINES, tag)
    # another run gives the same lines, so that two benches measure the same
    again = tmp_path / "again"
    again.mkdir()
    assert write_fleet(works.root, again, 3) == size
