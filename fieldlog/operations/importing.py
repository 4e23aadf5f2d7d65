"""Importing hoists from a table: all or nothing, and the same file again changes nothing."""

from collections.abc import Callable
from datetime import date, datetime

from msgspec import Struct
from msgspec.structs import replace

from fieldlog.domain.counting import counted
from fieldlog.domain.records import Hoist, Inspection, TakenOver
from fieldlog.domain.tag_id import make_id, may_be_given_out, next_number
from fieldlog.errors import ConflictError, ProblemsError, StoreError
from fieldlog.operations.planning_import import ImportPlan, Planned, plan_import
from fieldlog.operations.registering import TRIES_FOR_A_NUMBER
from fieldlog.operations.shop import Shop, append, check_may_seal, need_settings
from fieldlog.store.ending import GENESIS

__all__ = ["ImportPlan", "ImportReport", "Planned", "import_hoists", "plan_import"]


class ImportFaultsError(ProblemsError):
    """A table with faults or open questions; nothing of it was imported."""

    exit_code = 2


class ImportReport(Struct, frozen=True, kw_only=True):
    """What an import did: tags of the hoists registered, how many were here already, records taken over."""

    registered: tuple[str, ...]
    here: int
    taken_over: int


def import_hoists(
    shop: Shop,
    plan: ImportPlan,
    *,
    by: str,
    now: datetime,
    today: date,
    confirmed: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> ImportReport:
    """Register what is planned. ImportFaultsError, and nothing written, while there are faults or questions.

    Where the store refuses midway, a StoreError says how far it came: the same import again finishes it.
    `confirmed` takes what is questioned.
    """
    check_may_seal(shop, by, today)
    if plan.faults:
        raise ImportFaultsError(
            f"{plan.source} was not imported: {counted(len(plan.faults), 'fault')}", plan.faults
        )
    if plan.questions and not confirmed:
        asked = counted(len(plan.questions), "question")
        raise ImportFaultsError(f"{plan.source} was not imported: {asked} to be answered", plan.questions)
    writer = _Writer(shop, by, now)
    # Those with a tag of their own first, so that no number is given to one that a later row brings.
    for done, each in enumerate(sorted(plan.planned, key=lambda planned: not planned.id), start=1):
        try:
            writer.write(each)
        except StoreError as fault:
            in_store = f"{done - 1} of {len(plan.planned)} rows are in"
            raise StoreError(f"{fault}; {in_store}: import the same file again to finish") from fault
        if progress is not None:
            progress(done, len(plan.planned))
    return ImportReport(
        registered=tuple(writer.registered),
        here=sum(each.here for each in plan.planned),
        taken_over=writer.taken_over,
    )


class _Writer:
    """Seals the planned rows one by one; numbers are counted on, so that none is looked up twice."""

    def __init__(self, shop: Shop, by: str, now: datetime) -> None:
        self.shop = shop
        self.by = by
        self.now = now
        self.prefix = need_settings(shop).prefix
        self.number = 0
        self.registered: list[str] = []
        self.taken_over = 0

    def write(self, each: Planned) -> None:
        """Register one hoist, unless it is here, and add what is taken over, unless that is here too."""
        head = GENESIS
        hoist_id = each.id
        if not each.here:
            hoist_id, head = self._register(each.hoist, each.id)
            self.registered.append(hoist_id)
        if each.taken_over is not None:
            self._take_over(hoist_id, each.taken_over, head)

    def _register(self, hoist: Hoist, given: str) -> tuple[str, str]:
        for _ in range(TRIES_FOR_A_NUMBER):
            body = replace(hoist, id=given or self._next_id())
            try:
                entry = append(self.shop, body.id, body, by=self.by, now=self.now, head=GENESIS)
            except ConflictError:
                if given:
                    raise
                self.number = 0  # others register too: see anew which numbers are taken
                continue
            return body.id, entry.line
        raise ConflictError("others register hoists at this very moment")

    def _next_id(self) -> str:
        if not self.number:
            self.number = next_number(self.prefix, self.shop.logbooks.hoist_names())
        else:
            self.number += 1
            while not may_be_given_out(self.prefix, self.number):
                self.number += 1
        return make_id(self.prefix, self.number)

    def _take_over(self, hoist_id: str, body: TakenOver, head: str) -> None:
        """Paper is taken over once, and not any more when the shop has inspected the hoist itself."""
        if head == GENESIS:
            logbook = self.shop.logbooks.read(hoist_id)
            if any(isinstance(entry.body, TakenOver | Inspection) for entry in logbook.entries):
                return
            head = logbook.head
        append(self.shop, hoist_id, body, by=self.by, now=self.now, head=head)
        self.taken_over += 1
