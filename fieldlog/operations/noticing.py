"""The notice log: which defects were told to whom, when and how."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from fieldlog.domain.records import Entry, Notice
from fieldlog.errors import InputError, NotFoundError
from fieldlog.operations.entering import Field, read_day_of_work, read_text, refuse, take_all
from fieldlog.operations.service_forms import before_seen
from fieldlog.operations.shop import OpenHoist, Shop, append, check_known, open_hoist


def _read_ids(known: Sequence[str]) -> Callable[[str], tuple[str, ...]]:
    def read(text: str) -> tuple[str, ...]:
        ids = tuple(dict.fromkeys(text.replace(",", " ").upper().split()))
        unknown = [name for name in ids if name not in known]
        if unknown:
            raise InputError(f"there is no defect {', '.join(unknown)}: known are {', '.join(known)}")
        return ids

    return read


def notice_fields(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    """What is asked; all open defects are proposed, and mended ones may be told too."""
    known = [state.defect.id for state in opened.history.defects]
    still = [state.defect.id for state in opened.history.defects if state.mended_on is None]
    return (
        Field(name="defects", label="Defects", read=_read_ids(known), default=" ".join(still)),
        Field(name="whom", label="Told to", read=read_text("who was told"), hint="name and office"),
        Field(name="how", label="How", read=read_text("how it was told"), hint="on the spot, by letter"),
        Field(
            name="done_on",
            label="Day",
            read=read_day_of_work("the day", today),
            default=today.isoformat(),
        ),
        Field(name="remark", label="Remark", read=read_text("the remark"), required=False),
    )


def note_notice(
    shop: Shop,
    hoist_id: str,
    texts: Mapping[str, str],
    *,
    by: str,
    now: datetime,
    today: date,
    uid: str | None = None,
) -> Entry:
    """Record that defects were told to somebody. Anybody known may do so; it decides nothing.

    NotFoundError for a hoist without defects, IncompleteError for fields that can not be taken or a day
    before a defect was seen.
    """
    check_known(shop, by)
    opened = open_hoist(shop, hoist_id)
    if not opened.history.defects:
        raise NotFoundError(f"{hoist_id} has no defect that could be told")
    values, problems = take_all(notice_fields(opened, today), texts)
    refuse("the notice", (*problems, *before_seen(opened.history.defects, values)))
    body = Notice(
        done_on=values["done_on"],
        defects=values["defects"],
        whom=values["whom"],
        how=values["how"],
        remark=values["remark"] or "",
    )
    return append(shop, hoist_id, body, by=by, now=now, head=opened.head, uid=uid)
