"""A shop of one hoist, inspected before first use; the deed is for shop_as."""

from fieldlog.operations.shop import Shop
from tests.tui.builder import inspected, with_hoist


def one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))
