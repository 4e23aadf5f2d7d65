"""The invented works as written once a session, and short questions to it."""

from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path

from demo.history import write_history
from demo.works import Machine, read_works
from fieldlog.domain.records import Entry, Inspection
from fieldlog.operations.shop import Shop, open_shop

# A Wednesday, half past one in the afternoon, an hour east of Greenwich.
MOMENT = datetime(2026, 11, 25, 13, 40, tzinfo=timezone(timedelta(hours=1)))
DAY = MOMENT.date()


def machines(*stories: str) -> list[Machine]:
    """The machines that these stories are told with."""
    return [machine for machine in read_works().fleet if machine.story in stories]


def tags_of(shop: Shop, fleet: Sequence[Machine]) -> dict[str, str]:
    """Tag IDs by story, found by the serial numbers on the nameplates."""
    serials = {shop.logbooks.read(name).entries[0].body.serial: name for name in shop.logbooks.hoist_names()}  # type: ignore[union-attr]
    return {machine.story: serials[machine.serial] for machine in fleet if machine.story}


def entries(shop: Shop, tag: str) -> tuple[Entry, ...]:
    """All sealed lines of one logbook."""
    return shop.logbooks.read(tag).entries


def inspections(shop: Shop, tag: str) -> list[Inspection]:
    """All inspections of one hoist, the earliest first."""
    return [entry.body for entry in entries(shop, tag) if isinstance(entry.body, Inspection)]


def write(folder: Path, moment: datetime = MOMENT, fleet: Sequence[Machine] | None = None) -> Shop:
    """A store of the works, or of some of its machines, written into `folder`."""
    write_history(folder, moment, fleet=fleet)
    return open_shop(folder)
