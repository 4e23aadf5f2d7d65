"""Opening a shop's store: its settings, people, instruments, and the rulebook that holds for a hoist."""

import uuid
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from fieldlog.domain.logbook import History, fold
from fieldlog.domain.records import (
    BookValue,
    ChainSize,
    Entry,
    Hoist,
    InspectionKind,
    Instrument,
    Person,
    ShopSettings,
)
from fieldlog.domain.rules import InstrumentType, Rulebook
from fieldlog.domain.schedule import calendar_date
from fieldlog.domain.verdict import Summary, summarise
from fieldlog.errors import (
    DamagedError,
    FieldlogError,
    InputError,
    NotFoundError,
    RefusedError,
    StoreError,
)
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.rulebook.own import load_own
from fieldlog.rulebook.stamp import rules_stamp
from fieldlog.store.codec import from_plain, plain
from fieldlog.store.drafts import Drafts
from fieldlog.store.logbooks import Logbook, Logbooks
from fieldlog.store.register import Register


class Shop(Struct, frozen=True, kw_only=True):
    """An open store. `head` in every append is the one the writer last saw.

    `own_rules` are the rulebooks that the shop's own files make stricter, by name.
    """

    root: Path
    logbooks: Logbooks
    drafts: Drafts
    register: Register
    own_rules: Mapping[str, Rulebook] = field(default_factory=dict)


def _row_of(logbook: Logbook, own_rules: Mapping[str, Rulebook]) -> dict[str, Any]:
    history = fold(logbook.entries)
    if history.hoist is None:
        return {}
    name = history.hoist.rulebook
    row = plain(summarise(history, own_rules.get(name) or load_rulebook(name)))
    assert isinstance(row, dict)
    return row


def open_shop(root: Path) -> Shop:
    """Open the store at `root`, which need not exist yet; nothing is written before the first record.

    Raises RulebookError, with all faults, where the shop's own rules have any: nothing starts on those.
    """
    own_rules = load_own(root)
    logbooks = Logbooks(root)
    register = Register(
        root / "register.json",
        logbooks,
        stamp=rules_stamp(root),
        row_of=lambda logbook: _row_of(logbook, own_rules),
    )
    return Shop(
        root=root,
        logbooks=logbooks,
        drafts=Drafts(root / "drafts"),
        register=register,
        own_rules=own_rules,
    )


def new_uid() -> str:
    """A fresh identity for a draft, which goes into the record it becomes."""
    return uuid.uuid4().hex


def settings(shop: Shop) -> ShopSettings | None:
    """The shop's settings as last sealed, or None before the first start."""
    found = [e.body for e in shop.logbooks.read("settings").entries if isinstance(e.body, ShopSettings)]
    return found[-1] if found else None


def need_settings(shop: Shop) -> ShopSettings:
    """The shop's settings; NotFoundError before the first start."""
    held = settings(shop)
    if held is None:
        raise NotFoundError(
            f"no shop is set up in {shop.root}: start fieldlog there once, or name another --store"
        )
    return held


def people(shop: Shop) -> dict[str, Person]:
    """Everybody who may sit at the keys, by name; the last record of a name holds."""
    bodies = [e.body for e in shop.logbooks.read("people").entries]
    return {body.name: body for body in bodies if isinstance(body, Person)}


def person_of_login(shop: Shop, login: str) -> Person | None:
    """The person whose login name this is, if exactly one is known; nobody has an empty one."""
    found = [person for person in people(shop).values() if login and person.login == login]
    return found[0] if len(found) == 1 else None


def instruments(shop: Shop) -> dict[str, Instrument]:
    """The measuring instruments by name; the last record of a name holds."""
    bodies = [e.body for e in shop.logbooks.read("instruments").entries]
    return {body.name: body for body in bodies if isinstance(body, Instrument)}


def instrument_on(shop: Shop, name: str, day: date) -> Instrument | None:
    """The instrument as it stood on a day: by the last record whose calibration is not later than it.

    Where all are later the last one is given, and `instrument_state` says so; None for an unknown name.
    """
    bodies = [e.body for e in shop.logbooks.read("instruments").entries]
    held = [body for body in bodies if isinstance(body, Instrument) and body.name == name]
    then = [body for body in held if body.calibrated_on is None or body.calibrated_on <= day]
    known = then or held
    return known[-1] if known else None


def instrument_state(instrument: Instrument, day: date) -> str:
    """What the register says of an instrument on a day: in calibration, out of it, or not known."""
    if instrument.calibrated_on is not None and day < instrument.calibrated_on:
        return f"out of calibration: calibrated only on {instrument.calibrated_on.isoformat()}"
    if not instrument.passed:
        return f"failed calibration on {_iso(instrument.calibrated_on)}"
    if instrument.calibrated_on is None or instrument.interval_months is None:
        return "calibration not known"
    until = calendar_date(instrument.calibrated_on, instrument.interval_months)
    if day > until:
        return f"out of calibration since {until.isoformat()}"
    return f"in calibration until {until.isoformat()}"


def _iso(day: date | None) -> str:
    return "an unknown day" if day is None else day.isoformat()


def instrument_type(shop: Shop, name: str, rulebook: Rulebook) -> InstrumentType:
    """The error table for an instrument of the shop, or for a bare type such as caliper-0.05."""
    held = instruments(shop).get(name)
    wanted = held.type if held is not None else name
    for known in rulebook.instruments:
        if known.id == wanted:
            return known
    offered = ", ".join([*instruments(shop), *(known.id for known in rulebook.instruments)])
    raise InputError(f"no instrument {name!r}: choose one of {offered}")


def rulebook_named(name: str, shop: Shop | None = None) -> Rulebook:
    """The rulebook of that name, as the shop's own rules make it stricter, if they do."""
    own = None if shop is None else shop.own_rules.get(name)
    return own or load_rulebook(name)


def rulebook_of(hoist: Hoist, shop: Shop | None = None) -> Rulebook:
    """The rulebook of the place where the hoist hangs, with the shop's own rules where a shop is given."""
    return rulebook_named(hoist.rulebook, shop)


class OpenHoist(Struct, frozen=True, kw_only=True):
    """A hoist as read: its facts, history, rulebook and the head that a new record must follow."""

    hoist: Hoist
    history: History
    rulebook: Rulebook
    head: str
    problem: str


def current_size(opened: OpenHoist) -> ChainSize:
    """The chain on the hoist now, which need not be the one of its nameplate."""
    return opened.history.chain.size if opened.history.chain is not None else opened.hoist.chain


def book_for_chain(opened: OpenHoist) -> BookValue | None:
    """The maker's book values, where the chain on the hoist is of the size that they are for."""
    now, plate = current_size(opened), opened.hoist.chain
    return opened.hoist.book if (now.dn_mm, now.pn_mm) == (plate.dn_mm, plate.pn_mm) else None


def open_hoist(shop: Shop, hoist_id: str) -> OpenHoist:
    """Read and check the hoist's whole logbook; NotFoundError for one that is not there."""
    logbook = shop.logbooks.read(hoist_id)
    history = fold(logbook.entries)
    if history.hoist is None and logbook.problem is not None:
        raise DamagedError(str(logbook.problem))
    if history.hoist is None:
        raise NotFoundError(f"no such tag: {hoist_id}")
    return OpenHoist(
        hoist=history.hoist,
        history=history,
        rulebook=rulebook_of(history.hoist, shop),
        head=logbook.head,
        problem="" if logbook.problem is None else str(logbook.problem),
    )


def summaries(shop: Shop, progress: Callable[[int, int], None] | None = None) -> dict[str, Summary]:
    """Every hoist's summary by ID, from the register after a look at what changed on disk."""
    shop.register.refresh(progress)
    try:
        return shop.register.rows_as(Summary)
    except StoreError:
        return _worked_out(shop)


def sites_in_use(shop: Shop) -> tuple[str, ...]:
    """The names of the sites where hoists hang, in alphabetical order."""
    return tuple(sorted({summary.site for summary in summaries(shop).values()}))


def _worked_out(shop: Shop) -> dict[str, Summary]:
    """Every summary from its logbook, where the register holds rows of another shape: it is only a cache."""
    found = {}
    for name in shop.logbooks.hoist_names():
        # One that does not fold is told by `damaged` and must not hide the others.
        with suppress(FieldlogError):
            row = _row_of(shop.logbooks.read(name), shop.own_rules)
            if row:
                found[name] = from_plain(row, Summary)
    return found


def damaged(shop: Shop) -> dict[str, str]:
    """Logbooks with a line that can not be trusted: name and sentence."""
    return {row["name"]: row["problem"] for row in shop.register.rows() if row["problem"]}


def check_known(shop: Shop, by: str) -> Person:
    """The person of that name; RefusedError where the shop does not know it."""
    person = people(shop).get(by)
    if person is None:
        raise RefusedError(f"{by or 'nobody'} is not among the shop's people: add the person first")
    return person


def check_may_seal(shop: Shop, by: str, day: date, occasion: InspectionKind | None = None) -> None:
    """RefusedError unless this person is known and may seal on this day, and inspections of this kind."""
    person = check_known(shop, by)
    if not person.may_seal:
        raise RefusedError(f"{by} may look but not seal: ask somebody who may")
    if person.until is not None and day > person.until:
        raise RefusedError(f"{by} might seal until {person.until.isoformat()} only")
    if occasion is not None and person.seals and occasion not in person.seals:
        may = ", ".join(person.seals)
        raise RefusedError(f"{by} may seal {may} inspections, not {occasion}: ask somebody who may")


def append(
    shop: Shop, name: str, body: Any, *, by: str, now: datetime, head: str, uid: str | None = None
) -> Entry:
    """Seal one record into a logbook that must still end at `head`."""
    return shop.logbooks.append(name, body, uid=uid or new_uid(), by=by, at=now, expected_head=head)


def append_to_shop(
    shop: Shop, name: str, body: Any, *, by: str, now: datetime, uid: str | None = None
) -> Entry:
    """Seal one record into a logbook of the shop's own, at its end."""
    return append(shop, name, body, by=by, now=now, head=shop.logbooks.read(name).head, uid=uid)
