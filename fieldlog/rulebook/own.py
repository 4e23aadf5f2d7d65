"""A shop's own rules, in TOML files in its store: each makes one shipped rulebook stricter, never laxer.

A figure that the hoist's maker sets laxer is entered with that hoist, with the document it comes from, and
governs there; it has no place in these files.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.records import Drive, InspectionKind
from fieldlog.domain.rules import HookRule, HoursRule, IdleRule, Interval, Rulebook
from fieldlog.errors import StoreError
from fieldlog.rulebook.faults import Faults, near
from fieldlog.rulebook.files import read_toml
from fieldlog.rulebook.loader import load_rulebook, rulebook_names
from fieldlog.rulebook.own_shape import Own, Span, read_own

FOLDER = "rulebook"
LAXER = "Give a stricter one, or take the line out; a maker's own figure is entered with the hoist it is for."
DAYS_AT_LEAST, DAYS_AT_MOST = 28, 31  # of a month


def load_own(store: Path) -> Mapping[str, Rulebook]:
    """The rulebooks that the files in `store`/rulebook make stricter, by name; none without that folder.

    Raises RulebookError with every fault of every file: unknown keys, figures laxer than the rulebook's,
    two files for one rulebook.
    """
    folder = store / FOLDER
    files = own_files(store)
    faults = Faults()
    read: dict[str, Own] = {}
    for path in files:
        data = read_toml(folder, path.name, faults)
        own = None if data is None else read_own(path.name, data, faults)
        if own is not None and _is_sound(own, read, faults):
            read[own.rulebook] = own
    made = {name: _stricter(load_rulebook(name), own, faults) for name, own in read.items()}
    faults.raise_if_any()
    return made


def own_files(store: Path) -> tuple[Path, ...]:
    """The shop's own rule files, in the order of their names.

    StoreError where they can not be seen: laxer rules must not be taken for the shop's own.
    """
    try:
        return tuple(sorted((store / FOLDER).glob("*.toml")))
    except OSError as fault:
        raise _shut(store, fault) from fault


def own_stamp(store: Path) -> str:
    """The SHA-256 over names and bytes of the own files; empty where there are none."""
    digest = sha256()
    files = own_files(store)
    try:
        for path in files:
            digest.update(path.name.encode())
            digest.update(path.read_bytes())
    except OSError as fault:
        raise _shut(store, fault) from fault
    return digest.hexdigest() if files else ""


def _shut(store: Path, fault: OSError) -> StoreError:
    return StoreError(
        f"the store {store} can not be read ({fault.strerror}); ask whoever looks after it for the right"
    )


def _is_sound(own: Own, read: Mapping[str, Own], faults: Faults) -> bool:
    if own.rulebook not in rulebook_names():
        faults.add(
            f"{own.file}: rulebook",
            f"there is no rulebook '{own.rulebook}'.",
            near(own.rulebook, rulebook_names()),
        )
        return False
    if own.rulebook in read:
        before = read[own.rulebook].file
        faults.add(
            f"{own.file}: rulebook", f"'{own.rulebook}' is in {before} already.", "Make them one file."
        )
        return False
    return True


class _Shop:
    """Compares an own file's figures with a rulebook's, and notes those that are laxer."""

    def __init__(self, own: Own, faults: Faults) -> None:
        self.own = own
        self._faults = faults
        self.source = Source(
            id="own",
            title=f"the shop's own rule: {own.says}",
            edition=own.edition,
            clause=own.file,
            certainty=Certainty.PRACTICE,
        )

    def has(self, key: str) -> bool:
        """Whether the file gives this figure."""
        return key in self.own.figures

    def lower(self, key: str, held: Decimal | int) -> Any:
        """The figure of the file where lower is stricter."""
        return self._stricter(key, held, lambda mine: mine <= held)

    def higher(self, key: str, held: Decimal | int) -> Any:
        """The figure of the file where higher is stricter."""
        return self._stricter(key, held, lambda mine: mine >= held)

    def _stricter(self, key: str, held: Decimal | int, fits: Callable[[Any], bool]) -> Any:
        mine = self.own.figures[key]
        if not fits(mine):
            self.refuse(key, f"{mine} is laxer than the {held} of rulebook '{self.own.rulebook}'.")
        return mine

    def refuse(self, key: str, wrong: str) -> None:
        """Note a figure that can not stand."""
        self._faults.add(f"{self.own.file}: {key}", wrong, LAXER)


def _stricter(base: Rulebook, own: Own, faults: Faults) -> Rulebook:
    shop = _Shop(own, faults)
    return replace(
        base,
        edition=f"{base.edition}+{own.edition}",
        **_chain(base, shop),
        hook=_hook(base.hook, shop),
        intervals=tuple(_interval(rule, shop) for rule in base.intervals),
        hours=_hours(base, shop),
        idle=_idle(base, shop),
    )


def _chain(base: Rulebook, shop: _Shop) -> dict[str, Any]:
    changed: dict[str, Any] = {}
    rules = []
    for rule in base.elongation:
        key = "elongation.hand" if rule.drives == (Drive.HAND,) else "elongation.powered"
        percent = shop.lower(key, rule.percent) if shop.has(key) else None
        rules.append(rule if percent is None else replace(rule, percent=percent, source=shop.source))
    changed["elongation"] = tuple(rules)
    if shop.has("chain.watch_share"):
        changed["watch_share"] = shop.lower("chain.watch_share", base.watch_share)
        changed["watch_source"] = shop.source
    if shop.has("chain.diameter_share"):
        share = shop.higher("chain.diameter_share", base.diameter.share)
        changed["diameter"] = replace(base.diameter, share=share, source=shop.source)
    if shop.has("chain.reference_over_share"):
        over = shop.lower("chain.reference_over_share", base.reference_over_share)
        changed["reference_over_share"], changed["reference_over_source"] = over, shop.source
    return changed


def _hook(rule: HookRule, shop: _Shop) -> HookRule:
    if shop.has("hook.percent"):
        rule = replace(
            rule,
            percent=shop.lower("hook.percent", rule.percent),
            source=shop.source,
            # What the shipped source still stands for keeps it.
            twist_source=rule.twist_source or rule.source,
            wear_source=rule.wear_source or rule.source,
        )
    if shop.has("hook.twist_deg"):
        rule = replace(rule, twist_deg=shop.lower("hook.twist_deg", rule.twist_deg), twist_source=shop.source)
    if shop.has("hook.wear_percent"):
        held = Decimal(100) if rule.wear_percent is None else rule.wear_percent
        rule = replace(rule, wear_percent=shop.lower("hook.wear_percent", held), wear_source=shop.source)
    return rule


def _is_shorter(span: Span, held: Interval) -> bool:
    """Whether a span is never longer than the interval, whichever months it falls into."""
    if span.months is not None and held.months is not None:
        return span.months <= held.months
    if span.days is not None and held.days is not None:
        return span.days <= held.days
    if span.days is not None:
        return span.days <= (held.months or 0) * DAYS_AT_LEAST
    return (span.months or 0) * DAYS_AT_MOST <= (held.days or 0)


def _interval(rule: Interval, shop: _Shop) -> Interval:
    key = f"intervals.{rule.inspection}.{rule.service}"
    span = shop.own.figures.get(key)
    if not isinstance(span, Span):
        return rule
    if not _is_shorter(span, rule):
        if rule.lifts_persons:
            return rule  # what lifts persons has a shorter one already
        held = f"{rule.months} months" if rule.months is not None else f"{rule.days} days"
        mine = f"{span.months} months" if span.months is not None else f"{span.days} days"
        shop.refuse(key, f"{mine} may be longer than the {held} of rulebook '{shop.own.rulebook}'.")
    return replace(rule, months=span.months, days=span.days, source=shop.source, note="")


def _hours(base: Rulebook, shop: _Shop) -> tuple[HoursRule, ...]:
    rules = {rule.inspection: rule for rule in base.hours}
    for kind in (InspectionKind.FREQUENT, InspectionKind.PERIODIC):
        key = f"hours.{kind}"
        if shop.has(key):
            held = rules.get(kind)
            hours = shop.own.figures[key] if held is None else shop.lower(key, held.hours)
            rules[kind] = HoursRule(id=f"own-{kind}", inspection=kind, hours=hours, source=shop.source)
    return tuple(rules.values())


def _idle(base: Rulebook, shop: _Shop) -> tuple[IdleRule, ...]:
    rules = {rule.inspection: rule for rule in base.idle}
    for kind in (InspectionKind.FREQUENT, InspectionKind.PERIODIC):
        key = f"idle.{kind}"
        if shop.has(key):
            held = rules.get(kind)
            months = shop.own.figures[key] if held is None else shop.lower(key, held.months)
            rules[kind] = IdleRule(id=f"own-{kind}", inspection=kind, months=months, source=shop.source)
    return tuple(rules.values())
