"""What stands on a hoist's label, field by field."""

from datetime import date

from fieldlog.operations.paper import content
from fieldlog.operations.shop import Shop
from tests.operations.builder import TODAY


def texts(shop: Shop, hoist_id: str, kind: str, day: date = TODAY) -> dict[str, str]:
    return dict(content(shop, hoist_id, kind, today=day).texts)
