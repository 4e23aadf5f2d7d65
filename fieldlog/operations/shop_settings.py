"""What of the shop's own settings can be changed after the first start, and how a rulebook counts days."""

import re
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from msgspec.structs import replace

from fieldlog.domain.criteria import Source
from fieldlog.domain.records import PrinterOffset, ShopSettings
from fieldlog.domain.rules import Rulebook
from fieldlog.errors import IncompleteError, InputError
from fieldlog.operations.entering import YES_NO, Field, read_choice, read_text, read_yes_no, take_all
from fieldlog.operations.label_log import SHOPS_OWN, keep_offset, offset_of
from fieldlog.operations.setting_up import paper_unit_fields
from fieldlog.operations.shop import Shop, append_to_shop, check_may_seal, need_settings
from fieldlog.rulebook.loader import rulebook_names
from fieldlog.units import quoted

MM = re.compile(r"[+-]?[0-9]{1,3}(?:[.,][0-9]{1,3})?")


def shop_fields(held: ShopSettings) -> tuple[Field, ...]:
    """What a change of the shop's settings asks; what holds is proposed."""
    books = rulebook_names()
    return (
        Field(name="shop", label="Shop name", read=read_text("the shop name"), default=held.shop),
        Field(
            name="address",
            label="Address",
            read=read_text("the address"),
            default=held.address,
            required=False,
            hint="on reports",
        ),
        Field(
            name="rulebook",
            label="Rulebook",
            read=read_choice("the rulebook", books),
            choices=books,
            default=held.rulebook,
            hint="proposed for new hoists; those that hang keep theirs",
        ),
        Field(
            name="stricter",
            label="Stricter rule governs",
            read=read_yes_no,
            choices=YES_NO,
            default="yes" if held.stricter_rule_governs else "no",
            hint="no: the maker's book goes before the rulebook",
        ),
        *paper_unit_fields(held),
    )


def set_shop(shop: Shop, texts: Mapping[str, str], *, by: str, now: datetime, today: date) -> ShopSettings:
    """Record the shop's settings; what is not typed stays as it is, and the same once more writes nothing.

    RefusedError for who may not seal, IncompleteError for fields that can not be taken.
    """
    check_may_seal(shop, by, today)
    held = need_settings(shop)
    values, problems = take_all(shop_fields(held), texts)
    if problems:
        raise IncompleteError("the shop's settings stay as they are", problems)
    body = replace(
        held,
        shop=values["shop"],
        address=values["address"] or "",
        rulebook=values["rulebook"],
        stricter_rule_governs=values["stricter"],
        length_unit=values["length_unit"],
        mass_unit=values["mass_unit"],
    )
    if body != held:
        append_to_shop(shop, SHOPS_OWN, body, by=by, now=now)
    return body


def date_rule_of(rulebook: Rulebook) -> tuple[str, Source]:
    """How this rulebook counts a due date, in words, and where that stands."""
    source = rulebook.date_rule_source
    alike = [entry.says for entry in rulebook.date_rules if entry.rule is rulebook.date_rule]
    exact = [entry.says for entry in rulebook.date_rules if entry.source == source]
    return next(iter(exact or alike), rulebook.date_rule.value), source


def _read_mm(text: str) -> Decimal:
    if not MM.fullmatch(text):
        raise InputError(f"{quoted(text)} is no length in mm, as -1.5 or 0.25")
    return Decimal(text.replace(",", "."))


def offset_fields(held_mm: tuple[Decimal, Decimal]) -> tuple[Field, ...]:
    """How far [mm, mm] a queue's print has to be moved to meet the paper."""
    return (
        Field(
            name="x",
            label="To the right",
            read=_read_mm,
            unit="mm",
            default=f"{held_mm[0]:f}",
            hint="minus: to the left",
        ),
        Field(
            name="y",
            label="Down",
            read=_read_mm,
            unit="mm",
            default=f"{held_mm[1]:f}",
            hint="minus: up",
        ),
    )


def set_offset(
    shop: Shop, queue: str, texts: Mapping[str, str], *, by: str, now: datetime, today: date
) -> tuple[Decimal, Decimal]:
    """Record the offset [mm, mm] of a print queue; raises as `set_shop` does."""
    check_may_seal(shop, by, today)
    held = offset_of(shop, queue)
    values, problems = take_all(offset_fields(held), texts)
    if problems:
        raise IncompleteError(f"the offset of {queue} stays as it is", problems)
    wanted = (values["x"], values["y"])
    if wanted != held:
        keep_offset(shop, queue, wanted, by=by, now=now)
    return wanted


def offset_queues(shop: Shop) -> tuple[str, ...]:
    """Print queues for which an offset is kept, whether this host has them or not."""
    bodies = [entry.body for entry in shop.logbooks.read(SHOPS_OWN).entries]
    return tuple(sorted({body.queue for body in bodies if isinstance(body, PrinterOffset)}))
