"""Opening a shop's store: its settings, people, and the rulebook that holds for a hoist."""

import uuid
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from fieldlog.domain.counting import counted
from fieldlog.domain.history import distrusted
from fieldlog.domain.logbook import History, fold
from fieldlog.domain.records import (
    Body,
    BookValue,
    ChainSize,
    Entry,
    Hoist,
    InspectionKind,
    Person,
    ShopSettings,
)
from fieldlog.domain.rules import Rulebook
from fieldlog.domain.verdict import Summary, summarise
from fieldlog.errors import (
    DamagedError,
    FieldlogError,
    NotFoundError,
    RefusedError,
    StoreError,
)
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.rulebook.own import load_own
from fieldlog.rulebook.stamp import rules_stamp
from fieldlog.store.codec import from_plain, plain
from fieldlog.store.drafts import Drafts
from fieldlog.store.logbooks import Logbooks
from fieldlog.store.reading import SHOP_NAMES, Logbook
from fieldlog.store.register import Register

NO_SHOP = "no shop is set up in {root}: start fieldlog there once, or name another --store"


class Shop(Struct, frozen=True, kw_only=True):
    """An open store. `head` in every append is the one the writer last saw.

    `own_rules` are the rulebooks that the shop's own files make stricter, by name.
    """

    root: Path
    logbooks: Logbooks
    drafts: Drafts
    register: Register
    own_rules: Mapping[str, Rulebook] = field(default_factory=dict)


def history_of(logbook: Logbook) -> History:
    """What a logbook adds up to; with a line of it that can not be trusted the hoist is stopped."""
    history, problem = fold(logbook.entries), logbook.problem
    return history if problem is None else distrusted(history, f"{problem.place}: {problem.wrong}")


def _row_of(logbook: Logbook, own_rules: Mapping[str, Rulebook]) -> dict[str, Any]:
    history = history_of(logbook)
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
    return _open(root, load_own(root))


def open_records(root: Path) -> Shop:
    """Open the store without the shop's own rules: its records are looked at and kept, and none is judged."""
    return _open(root, {})


def _open(root: Path, own_rules: Mapping[str, Rulebook]) -> Shop:
    def known_head(name: str) -> str:
        return register.known_head(name)

    logbooks = Logbooks(root, known_head=known_head)
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
    """The shop's settings as last sealed, or None before the first start.

    DamagedError where they can not be trusted, or are missing though other records are there.
    """
    found = [body for body in shop_bodies(shop, "settings") if isinstance(body, ShopSettings)]
    if not found and (others := _other_records(shop)):
        raise _gone(shop, "settings", others)
    return found[-1] if found else None


def shop_bodies(shop: Shop, name: str) -> list[Body]:
    """The records of one of the shop's own logbooks; DamagedError where one of them can not be trusted."""
    book = shop.logbooks.read(name)
    if book.problem is not None:
        raise DamagedError(str(book.problem))
    return [entry.body for entry in book.entries]


def _gone(shop: Shop, name: str, others: str) -> DamagedError:
    return DamagedError(
        f"{shop.root} holds {others}, but shop/{name}.jsonl is gone or empty:"
        " put it back from a backup; fieldlog verify tells more"
    )


def _other_records(shop: Shop) -> str:
    """What stands in the store beside its settings, for people; empty where there is nothing."""
    hoists = len(shop.logbooks.stat_all())
    if hoists:
        return counted(hoists, "hoist")
    held = [name for name in SHOP_NAMES if shop_bodies(shop, name)]
    return f"the shop's {held[0]}" if held else ""


def need_settings(shop: Shop) -> ShopSettings:
    """The shop's settings; NotFoundError before the first start."""
    held = settings(shop)
    if held is None:
        raise NotFoundError(NO_SHOP.format(root=shop.root))
    return held


def people(shop: Shop) -> dict[str, Person]:
    """Everybody who may sit at the keys, by name; the last record of a name holds."""
    found = {body.name: body for body in shop_bodies(shop, "people") if isinstance(body, Person)}
    if not found and any(shop.logbooks.stat_all()):
        raise _gone(shop, "people", "hoists")
    return found


def person_of_login(shop: Shop, login: str) -> Person | None:
    """The person whose login name this is, if exactly one is known; nobody has an empty one."""
    found = [person for person in people(shop).values() if login and person.login == login]
    return found[0] if len(found) == 1 else None


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
    logbook = replace(logbook, problem=shop.logbooks.doubt(logbook))
    history = history_of(logbook)
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
    return shop.register.problems()


def distrusted_says(hoist_id: str, problem: str) -> str:
    """Of a logbook that can not be trusted, for people."""
    return f"{hoist_id} can not be trusted. {problem}"


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
