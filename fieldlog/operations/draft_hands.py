"""Whose hands a draft is in: taken over by somebody else, gone on with in another session, sealed before.

A session knows a draft as it kept or read it last; what else stands on the disk came from another session.
Whoever compares the two and then writes holds the draft meanwhile, so that no session comes in between.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from fieldlog.domain.records import Draft, Entry
from fieldlog.errors import LockedError, NotFoundError, StoreError
from fieldlog.operations.drafting import InspectionDraft, inspection_fields, save_fields
from fieldlog.operations.shop import Shop, new_uid

OWN_NOW = "What is typed here is kept as a draft of its own."
IN_HAND = "Another session has this draft in hand at this moment."


def take_over(shop: Shop, draft: Draft, *, by: str, now: datetime) -> Draft:
    """Put a kept draft into other hands; who began it stays known.

    NotFoundError where it was sealed or thrown away meanwhile, LockedError where another session has it in
    hand at this moment.
    """
    with shop.drafts.held(draft.uid):
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


def keep_fields(
    shop: Shop, draft: Draft, fields: Mapping[str, Any], *, by: str, now: datetime
) -> tuple[Draft, str]:
    """Keep what was typed in the place of the draft as this session kept or read it last.

    Where another session went on with that one, or has it in hand at this moment, both texts survive: what
    was typed here is kept as a draft of its own, under `by`. Gives the draft as kept and who went on, in a
    sentence; empty where nobody did.
    """
    try:
        with shop.drafts.held(draft.uid):
            words = went_on(shop, draft)
            if not words:
                return save_fields(shop, draft, fields, now=now), ""
    except LockedError:
        words = IN_HAND
    return save_fields(shop, apart(draft, by=by), fields, now=now), words


def keep_inspection(
    shop: Shop, draft: Draft, content: InspectionDraft, *, by: str, now: datetime
) -> tuple[Draft, str]:
    """As `keep_fields`, of an inspection."""
    return keep_fields(shop, draft, inspection_fields(content), by=by, now=now)


def throw_away(shop: Shop, draft: Draft) -> str:
    """Forget the draft; where another session went on with it, it stays, and who did is said."""
    try:
        with shop.drafts.held(draft.uid):
            words = went_on(shop, draft)
            if not words:
                shop.drafts.remove(draft.uid)
            return words
    except LockedError:
        return IN_HAND


def apart(draft: Draft, *, by: str) -> Draft:
    """The draft as one of its own, which another session does not write over; not kept yet."""
    return replace(draft, uid=new_uid(), by=by, begun_by=draft.begun_by or draft.by)


def sealed_as(shop: Shop, name: str, draft: Draft) -> Entry | None:
    """The line in the logbook `name` that this draft became in a session that ended right after it."""
    return next((entry for entry in shop.logbooks.read(name).entries if entry.uid == draft.uid), None)
