"""Whose hands a draft is in: taken over by somebody else, gone on with in another session, sealed before.

A session knows a draft as it kept or read it last; what else stands on the disk came from another session.
"""

from datetime import datetime

from msgspec.structs import replace

from fieldlog.domain.records import Draft, Entry
from fieldlog.errors import NotFoundError, StoreError
from fieldlog.operations.shop import Shop, new_uid

OWN_NOW = "What is typed here is kept as a draft of its own."


def take_over(shop: Shop, draft: Draft, *, by: str, now: datetime) -> Draft:
    """Put a kept draft into other hands; who began it stays known.

    NotFoundError where it was sealed or thrown away meanwhile.
    """
    held = shop.drafts.load(draft.uid)
    taken = replace(held, by=by, begun_by=held.begun_by or held.by, saved=now)
    shop.drafts.save(taken)
    return taken


def went_on(shop: Shop, draft: Draft) -> str:
    """Who went on with a draft since this session kept or read it, in a sentence; empty where nobody did.

    A draft without anything typed is on no disk yet; one that can not be read says so when it is kept.
    """
    if not draft.fields:
        return ""
    try:
        held = shop.drafts.load(draft.uid)
    except NotFoundError:
        return "Another session sealed this draft or threw it away."
    except StoreError:
        return ""
    if (held.by, held.saved, held.fields) == (draft.by, draft.saved, draft.fields):
        return ""
    when = f"{held.saved:%Y-%m-%d %H:%M}"
    if held.by != draft.by:
        return f"{held.by} took this draft over on {when}."
    return f"Another session of {held.by} went on with this draft on {when}."


def apart(draft: Draft, *, by: str) -> Draft:
    """The draft as one of its own, which another session does not write over; not kept yet."""
    return replace(draft, uid=new_uid(), by=by, begun_by=draft.begun_by or draft.by)


def sealed_as(shop: Shop, name: str, draft: Draft) -> Entry | None:
    """The line in the logbook `name` that this draft became in a session that ended right after it."""
    return next((entry for entry in shop.logbooks.read(name).entries if entry.uid == draft.uid), None)
