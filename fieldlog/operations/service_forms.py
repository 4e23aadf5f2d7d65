"""What the service forms ask: withdrawal, mending, chain set, load test, return to service."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from fieldlog.domain.history import DefectState
from fieldlog.domain.load_test import RequiredLoad, load_steps, required_load
from fieldlog.domain.records import Basis, ChainSize
from fieldlog.errors import InputError, Problem
from fieldlog.operations.entering import (
    YES_NO,
    Field,
    read_chain_size,
    read_choice,
    read_day_of_work,
    read_length,
    read_mass,
    read_text,
    read_whole,
    read_yes_no,
)
from fieldlog.operations.shop import OpenHoist
from fieldlog.units import quoted


def _day_field(today: date) -> Field:
    return Field(
        name="done_on", label="Day", read=read_day_of_work("the day", today), default=today.isoformat()
    )


def withdrawal_fields(today: date) -> tuple[Field, ...]:
    """What a withdrawal asks."""
    return (
        _day_field(today),
        Field(name="reason", label="Reason", read=read_text("the reason")),
        Field(
            name="lock",
            label="Lock or tag no.",
            read=read_text("the lock"),
            required=False,
            hint="isolate, lock and tag before you open anything",
        ),
    )


def mending_fields(today: date, defects: Sequence[str]) -> tuple[Field, ...]:
    """What mending asks; `defects` are the IDs that are open."""
    return (
        _day_field(today),
        Field(
            name="defects",
            label="Defects mended",
            read=_read_defects(defects),
            default=" ".join(defects),
            hint=f"open: {' '.join(defects) or 'none'}",
        ),
        Field(name="work", label="Part or work", read=read_text("the work")),
        Field(name="checked_by", label="Checked by", read=read_text("the name")),
        Field(
            name="load_path",
            label="Load path opened",
            read=read_yes_no,
            choices=YES_NO,
            hint="yes asks for a load test before return to service",
        ),
    )


def _read_defects(known: Sequence[str]) -> Callable[[str], tuple[str, ...]]:
    def read(text: str) -> tuple[str, ...]:
        wanted = tuple(dict.fromkeys(part.upper() for part in text.replace(",", " ").split()))
        unknown = [part for part in wanted if part not in known]
        if unknown:
            shown = f"{quoted(unknown[0])} is no open defect here"
            raise InputError(f"{shown}: open are {' '.join(known) or 'none'}")
        if not wanted:
            raise InputError(f"name the defects that were mended: open are {' '.join(known) or 'none'}")
        return wanted

    return read


def before_seen(states: Iterable[DefectState], values: Mapping[str, Any]) -> list[Problem]:
    """Records are read by the day of the work, so nothing is mended or told before it was seen.

    `values` are those that could be taken: the defects and the day may be missing.
    """
    return [
        Problem(place="Day", wrong=f"{state.defect.id} was seen on {state.seen_on.isoformat()}, after it")
        for state in states
        if state.defect.id in values.get("defects", ()) and state.seen_on > values.get("done_on", date.max)
    ]


def size_words(size: ChainSize) -> str:
    """A chain size as it is typed: '5x15'."""
    return f"{size.dn_mm:f}x{size.pn_mm:f}"


def chain_fields(opened: OpenHoist, today: date) -> tuple[Field, ...]:
    """What fitting a chain set asks, with the nameplate's chain proposed."""
    size = opened.hoist.chain
    return (
        _day_field(today),
        Field(
            name="chain",
            label="Chain dn x pn",
            read=read_chain_size,
            unit="mm",
            default=size_words(size),
        ),
        Field(name="grade", label="Chain grade", read=read_text("the grade"), default=size.grade),
        Field(name="certificate", label="Certificate no.", read=read_text("the certificate")),
        Field(name="length", label="Length fitted", read=read_length("the length", "m"), unit="m"),
        Field(
            name="set",
            label="Wheel, guides too",
            read=read_yes_no,
            choices=YES_NO,
            default="yes",
            hint="a new chain on a worn pocket wheel wears fast",
        ),
        Field(name="why_part_only", label="Why only a part", read=read_text("the reason"), required=False),
        Field(
            name="why_other_size",
            label="Why another size",
            read=read_text("the reason"),
            required=False,
            hint="only if size, grade or baseline differ",
        ),
        *_baseline_fields(),
    )


def _baseline_fields() -> tuple[Field, ...]:
    bases = (Basis.INSIDE.value, Basis.OUTSIDE.value)
    return (
        Field(
            name="links", label="Baseline: links", read=read_whole("the number of links", 1, 99), default="11"
        ),
        Field(
            name="basis",
            label="Baseline: measured",
            read=read_choice("the basis", bases),
            choices=bases,
            default=Basis.INSIDE.value,
        ),
        Field(
            name="baseline",
            label="Baseline: length",
            read=read_length("the baseline"),
            unit="mm",
            hint="unused links, taut, without load",
        ),
    )


def needed_load(opened: OpenHoist) -> RequiredLoad:
    """The test load that the rulebook asks of this hoist; InputError where it has none."""
    hoist = opened.hoist
    return required_load(
        hoist.capacity_kg, hoist.drive, opened.rulebook, overload_device=hoist.overload_device
    )


def load_test_fields(today: date, opened: OpenHoist | None = None) -> tuple[Field, ...]:
    """What a load test asks; with the hoist, the load that its rulebook asks for is proposed."""
    needed = None if opened is None else needed_load(opened)
    return (
        _day_field(today),
        Field(
            name="required",
            label="Required load",
            read=read_mass("the required load"),
            unit="kg",
            default="" if needed is None else f"{needed.load_kg.normalize():f}",
            hint="" if needed is None else "; ".join(load_steps(needed)),
        ),
        Field(name="reached", label="Reached load", read=read_mass("the reached load"), unit="kg"),
        Field(name="passed", label="Held, brake held", read=read_yes_no, choices=YES_NO),
        Field(name="remark", label="Remark", read=read_text("the remark"), required=False),
    )


def return_fields(today: date) -> tuple[Field, ...]:
    """What a return to service asks."""
    return (
        _day_field(today),
        Field(
            name="guards",
            label="Guards on, tools out",
            read=read_yes_no,
            choices=YES_NO,
            hint="and safety devices active",
        ),
        Field(
            name="locks",
            label="Locks removed by",
            read=read_text("the name"),
            required=False,
            hint="who put them on, or a named authoriser",
        ),
        Field(
            name="authorised",
            label="Removal allowed by",
            read=read_text("the name"),
            required=False,
            hint="only where somebody else put the locks on",
        ),
        Field(name="remark", label="Remark", read=read_text("the remark"), required=False),
    )
