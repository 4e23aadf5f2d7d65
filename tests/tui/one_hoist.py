"""A shop of one hoist, inspected before first use or with a defect since; the deeds are for shop_as."""

from fieldlog.domain.records import DefectGrade
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.shop import Shop
from tests.tui.builder import finished_work, inspected, with_hoist

TAG = "SW-0001-0"


def one_inspected(shop: Shop) -> None:
    inspected(shop, with_hoist(shop))


def with_open_defect(shop: Shop) -> None:
    one_inspected(shop)
    work = finished_work(shop, TAG)
    item = next(item for item in work.assessment().items if item.id == "lower-guide")
    work.defect(item, DefectDraft(what="lower guide cracked", grade=DefectGrade.STOPS_NOW))
    work.seal()
