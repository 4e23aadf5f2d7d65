"""A hoist changes hands: its logbook to another shop, another shop's logbook in here, and retirement."""

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path

from fieldlog.domain.records import Entry, Retired, TakenIn
from fieldlog.errors import RefusedError
from fieldlog.operations.entering import Field, read_day_of_work, read_text, take_sealed
from fieldlog.operations.shop import Shop, append, check_may_seal, need_settings, new_uid, open_hoist
from fieldlog.store.handover import Handover, read_handover, take_in, write_handover

__all__ = ["hand_over", "retire", "retire_fields", "take_in_hoist"]


def hand_over(shop: Shop, hoist_id: str, file: Path) -> Handover:
    """Write the hoist's whole logbook into a new file; its head is for paper, to be compared by who takes it.

    The hoist stays in use here until it is retired. Raises as store.handover.write_handover does.
    """
    return write_handover(shop.root, hoist_id, file, from_shop=need_settings(shop).shop)


def take_in_hoist(
    shop: Shop, file: Path, *, head: str = "", by: str, now: datetime, today: date
) -> tuple[Handover, Entry]:
    """Take another shop's hoist in, bytes and seals as they are, and seal one line after them that says so.

    `head` is what the giver's paper says: at least the first 10 digits of the hash. RefusedError where the
    file was changed, does not end with that head, or a hoist of that tag is here.
    """
    check_may_seal(shop, by, today)
    given = read_handover(file)
    wanted = head.strip().lower()
    if wanted and (len(wanted) < 10 or not given.head.startswith(wanted)):
        raise RefusedError(
            f"{file} ends with {given.head[:10]}, not with {wanted[:64]}: it is not what was handed over"
        )
    body = TakenIn(done_on=today, from_shop=given.from_shop, lines=given.lines, head=given.head)
    entry = take_in(shop.logbooks, given, body, uid=new_uid(), by=by, at=now)
    return given, entry


def retire_fields(today: date) -> tuple[Field, ...]:
    """What retiring a hoist asks."""
    return (
        Field(name="why", label="Why", read=read_text("the reason"), hint="scrapped, sold, handed over"),
        Field(name="went_to", label="Went to", read=read_text("who has it now"), required=False),
        Field(
            name="done_on",
            label="Day",
            read=read_day_of_work("the day", today),
            default=today.isoformat(),
        ),
    )


def retire(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Take a hoist off the due list for good; its logbook stays. RefusedError for one that is retired."""
    check_may_seal(shop, by, today)
    opened = open_hoist(shop, hoist_id)
    if opened.history.retired is not None:
        raise RefusedError(f"{hoist_id} is retired since {opened.history.retired.done_on.isoformat()}")
    values = take_sealed(retire_fields(today), texts, "the retirement")
    body = Retired(done_on=values["done_on"], why=values["why"], went_to=values["went_to"] or "")
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)
