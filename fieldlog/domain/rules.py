"""The shape of a rulebook: numbers are data, and these are the values they are read into."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum

from msgspec import Struct

from fieldlog.domain.criteria import Source
from fieldlog.domain.paper_rules import Lettering, Particular, RetentionRule, StickerRule, YearColourScheme
from fieldlog.domain.records import Drive, InspectionKind, ServiceClass


class DateRule(StrEnum):
    """How a due date is counted from its anchor."""

    CALENDAR = "calendar"
    DAYS = "days"
    MONTH_PLATE = "month-plate"


class ElongationRule(Struct, frozen=True, kw_only=True):
    """Allowed growth of the chain as percent of n times the nominal pitch, by drive."""

    id: str
    drives: tuple[Drive, ...]
    percent: Decimal
    source: Source


class DiameterRule(Struct, frozen=True, kw_only=True):
    """The mean of two diameters at right angles at or below `share` of the nominal one is discard."""

    id: str
    share: Decimal
    source: Source


class HookRule(Struct, frozen=True, kw_only=True):
    """Opening of a hook's throat in percent of its as-new value.

    `cap_mm` bounds the growth where the rule does; `inclusive` says whether the limit itself is bad.
    `wear_percent` is the loss of section at which the hook is discarded, where the rule knows one.
    Twist and wear carry sources of their own where the opening's source does not give them.
    """

    id: str
    percent: Decimal
    cap_mm: Decimal | None
    inclusive: bool
    twist_deg: Decimal
    twist_inclusive: bool
    source: Source
    twist_source: Source | None = None
    wear_percent: Decimal | None = None
    wear_inclusive: bool = True
    wear_source: Source | None = None


class Interval(Struct, frozen=True, kw_only=True):
    """How often a kind of inspection is due in a service class; exactly one of months and days is set.

    One with `lifts_persons` holds for hoists that lift persons, and there stands before the one
    without. `note` says how the figure was chosen where its source leaves a choice.
    """

    id: str
    inspection: InspectionKind
    service: ServiceClass
    months: int | None = None
    days: int | None = None
    lifts_persons: bool = False
    note: str = ""
    source: Source


class HoursRule(Struct, frozen=True, kw_only=True):
    """Running hours after which a kind of inspection is due, if they come before the date."""

    id: str
    inspection: InspectionKind
    hours: Decimal
    source: Source


class IdleRule(Struct, frozen=True, kw_only=True):
    """A hoist idle for `months` or longer needs this inspection before use."""

    id: str
    months: int
    inspection: InspectionKind
    source: Source


class LoadTestRule(Struct, frozen=True, kw_only=True):
    """Test load as factors of the rated capacity.

    `low_percent` is how far below and `high_percent` how far above the stipulated load the weights
    may lie, both zero or more, in percent of that load. `with_overload_device` is the static factor
    for a hoist that has one, where the rule lowers it.
    """

    id: str
    drives: tuple[Drive, ...]
    static_factor: Decimal
    with_overload_device: Decimal | None
    low_percent: Decimal
    high_percent: Decimal
    dynamic_factor: Decimal | None = None
    tolerance_source: Source | None = None
    source: Source


class ChecklistItem(Struct, frozen=True, kw_only=True):
    """One thing to look at. `needs` names what the hoist must have for the item to apply:
    limit_switches, container, overload_device, trolley, more_falls.
    """

    id: str
    section: str
    title: str
    look_at: str
    defect_when: str
    caution: str = ""
    safety: bool
    measure: str = ""
    drives: tuple[Drive, ...]
    needs: tuple[str, ...] = ()
    kinds: tuple[InspectionKind, ...]
    source: Source


class ErrorStep(Struct, frozen=True, kw_only=True):
    """Maximum permissible error up to and with a length."""

    up_to_mm: Decimal
    mpe_mm: Decimal


class InstrumentType(Struct, frozen=True, kw_only=True):
    """An instrument's error table; `inside_extra_mm` is added for inside measurement."""

    id: str
    title: str
    steps: tuple[ErrorStep, ...]
    inside_extra_mm: Decimal
    source: Source


class ChainSizeEntry(Struct, frozen=True, kw_only=True):
    """A usual pair of nominal diameter and pitch, offered in the form; any other may be typed."""

    id: str = ""
    dn_mm: Decimal
    pn_mm: Decimal
    source: Source


class MechanismGroup(Struct, frozen=True, kw_only=True):
    """A group of mechanism with its full-load life in hours."""

    id: str
    fem: str
    full_load_hours: Decimal
    source: Source


class SinglePitchRule(Struct, frozen=True, kw_only=True):
    """One link's pitch t is discard above `factor` times t0 plus (d0 - d), all in mm."""

    id: str
    factor: Decimal
    source: Source


class DateRuleEntry(Struct, frozen=True, kw_only=True):
    """A way to count due dates, with the months it forgives.

    `grace_months`: done so much after the due month is still in time. `early_months`: an interval of
    more than `long_months` moves to the earlier month only if done more than this before it.
    """

    id: str
    rule: DateRule
    says: str
    grace_months: int = 0
    long_months: int = 0
    early_months: int = 0
    early_source: Source | None = None
    source: Source


class DayCount(Struct, frozen=True, kw_only=True):
    """How many days stand for an interval where it is counted in days; `months` 0: not a matter of months."""

    id: str
    months: int
    days: int
    source: Source


class Threshold(Struct, frozen=True, kw_only=True):
    """A single figure that several computations share; `says` tells what it decides."""

    id: str
    value: Decimal
    says: str
    source: Source


class SpectrumClass(Struct, frozen=True, kw_only=True):
    """A load spectrum class: its cubic mean k and its load spectrum factor km = k cubed, upper bounds."""

    id: str
    title: str
    k_up_to: Decimal
    km_up_to: Decimal
    km_source: Source | None = None
    source: Source


class LifeFactor(Struct, frozen=True, kw_only=True):
    """Factor on the used life by how the hours are known."""

    id: str
    factor: Decimal
    says: str
    source: Source


class Rulebook(Struct, frozen=True, kw_only=True):
    """All rules of one regime, in one edition."""

    name: str
    title: str
    edition: str
    elongation: tuple[ElongationRule, ...]
    diameter: DiameterRule
    hook: HookRule
    load_tests: tuple[LoadTestRule, ...]
    intervals: tuple[Interval, ...]
    idle: tuple[IdleRule, ...]
    date_rule: DateRule
    date_rule_source: Source
    watch_share: Decimal
    reference_over_share: Decimal
    items: tuple[ChecklistItem, ...]
    instruments: tuple[InstrumentType, ...]
    chain_sizes: tuple[ChainSizeEntry, ...]
    groups: tuple[MechanismGroup, ...]
    sections: Mapping[str, str]
    issued_on: date | None = None
    hook_rules: tuple[HookRule, ...] = ()
    single_pitch: SinglePitchRule | None = None
    hours: tuple[HoursRule, ...] = ()
    date_rules: tuple[DateRuleEntry, ...] = ()
    day_counts: tuple[DayCount, ...] = ()
    watch_source: Source | None = None
    reference_over_source: Source | None = None
    thresholds: tuple[Threshold, ...] = ()
    particulars: tuple[Particular, ...] = ()
    sticker: StickerRule | None = None
    retention: tuple[RetentionRule, ...] = ()
    year_colours: tuple[YearColourScheme, ...] = ()
    spectra: tuple[SpectrumClass, ...] = ()
    life_factors: tuple[LifeFactor, ...] = ()
    lettering: tuple[Lettering, ...] = ()
