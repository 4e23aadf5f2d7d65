"""Which tables each subject of the rules holds and what they are read into.

A subject is one file, as elongation.toml, or a folder of files.
"""

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

from fieldlog.domain import paper_rules, rules
from fieldlog.domain.criteria import Certainty, Source
from fieldlog.domain.records import Drive, InspectionKind, ServiceClass
from fieldlog.rulebook.faults import MisfitError
from fieldlog.rulebook.shape import (
    SOURCES,
    Entries,
    Reader,
    Shape,
    flag,
    identifier,
    listed,
    nested,
    number,
    percent,
    reference,
    text,
    whole,
    word,
)

NAMED = {"id": identifier()}
DRIVES = listed(word(Drive, "drive"))
KIND = word(InspectionKind, "kind of inspection")
MONTHS = whole(1, 600)

SOURCE = Shape(
    kind=Source,
    required=NAMED | {"title": text(160), "certainty": word(Certainty, "certainty")},
    optional={"edition": text(80), "clause": text(120)},
)


def subjects(sources: Entries) -> Mapping[str, Mapping[str, Shape]]:
    """Shapes by subject and table name, with `sources` to name sources from."""
    source = reference(sources, "source", SOURCES)
    named = NAMED | {"source": source}
    return {
        **_condition(named, source),
        **_schedule(named, source),
        **_tools_and_life(named, source),
        **_paper(named, source),
    }


def _condition(named: Mapping[str, Reader], source: Reader) -> dict[str, dict[str, Shape]]:
    elongation = _shape(rules.ElongationRule, named, drives=DRIVES, percent=percent())
    diameter = _shape(rules.DiameterRule, named, share=number(above=0, below=1))
    single_pitch = _shape(rules.SinglePitchRule, named, factor=number(above=1, below=2))
    threshold = _shape(rules.Threshold, named, value=number(above=0), says=text(200))
    return {
        "elongation": {"elongation": elongation},
        "diameter": {"diameter": diameter, "single_pitch": single_pitch},
        "hooks": {"hook": _hook(named, source)},
        "load_tests": {"load_test": _load_test(named, source)},
        "thresholds": {"threshold": threshold},
    }


def _hook(named: Mapping[str, Reader], source: Reader) -> Shape:
    hook = Shape(
        kind=rules.HookRule,
        required={
            **named,
            "percent": percent(),
            "inclusive": flag,
            "twist_deg": number(below=90),
            "twist_inclusive": flag,
        },
        optional={
            "cap_mm": number(above=0),
            "twist_source": source,
            "wear_percent": percent(),
            "wear_inclusive": flag,
            "wear_source": source,
        },
    )
    return _with_absent(hook, "cap_mm")


def _load_test(named: Mapping[str, Reader], source: Reader) -> Shape:
    load_test = Shape(
        kind=rules.LoadTestRule,
        required={
            **named,
            "drives": DRIVES,
            "static_factor": number(least=1, below=3),
            "low_percent": percent(zero=True),
            "high_percent": percent(zero=True),
        },
        optional={
            "with_overload_device": number(least=1, below=3),
            "dynamic_factor": number(least=1, below=3),
            "tolerance_source": source,
        },
    )
    return _with_absent(load_test, "with_overload_device")


def _schedule(named: Mapping[str, Reader], source: Reader) -> dict[str, dict[str, Shape]]:
    interval = Shape(
        kind=rules.Interval,
        required={**named, "inspection": KIND, "service": word(ServiceClass, "service class")},
        optional={"months": MONTHS, "days": whole(), "lifts_persons": flag, "note": text(200)},
        check=_months_or_days,
    )
    date_rule = Shape(
        kind=rules.DateRuleEntry,
        required={**named, "rule": word(rules.DateRule, "date rule"), "says": text(300)},
        optional={
            "grace_months": whole(0, 12),
            "long_months": MONTHS,
            "early_months": whole(0, 12),
            "early_source": source,
        },
    )
    return {
        "intervals": {
            "interval": interval,
            "hours": _shape(rules.HoursRule, named, inspection=KIND, hours=number(above=0)),
        },
        "idle": {"idle": _shape(rules.IdleRule, named, inspection=KIND, months=MONTHS)},
        "date_rules": {
            "date_rule": date_rule,
            "day_count": _shape(rules.DayCount, named, months=whole(0, 600), days=whole()),
        },
    }


def _tools_and_life(named: Mapping[str, Reader], source: Reader) -> dict[str, dict[str, Shape]]:
    step = Shape(
        kind=rules.ErrorStep, required={"up_to_mm": number(above=0), "mpe_mm": number(above=0, below=100)}
    )
    instrument = Shape(
        kind=rules.InstrumentType,
        required={**named, "title": text(40), "steps": listed(nested(step)), "inside_extra_mm": number()},
        check=_steps_rise,
    )
    spectrum = _shape(
        rules.SpectrumClass,
        named,
        title=text(40),
        k_up_to=number(above=0),
        km_up_to=number(above=0),
        km_source=source,
    )
    size = _shape(rules.ChainSizeEntry, named, dn_mm=number(above=0), pn_mm=number(above=0))
    group = _shape(rules.MechanismGroup, named, fem=text(8), full_load_hours=number(above=0))
    factor = _shape(rules.LifeFactor, named, factor=number(least=1, below=10), says=text(120))
    return {
        "instruments": {"instrument": instrument},
        "chain_sizes": {"chain_size": size},
        "groups": {"group": group},
        "life": {"spectrum": spectrum, "life_factor": factor},
    }


def _paper(named: Mapping[str, Reader], source: Reader) -> dict[str, dict[str, Shape]]:
    particular = _shape(
        paper_rules.Particular,
        named,
        field=identifier(),
        says=text(200),
        when=word(paper_rules.Occasion, "occasion"),
    )
    sticker = _shape(paper_rules.StickerRule, named, with_minor_defects=flag)
    retention = Shape(
        kind=paper_rules.RetentionRule,
        required={**named, "records": text(80), "until": text(120)},
        optional={"least_months": MONTHS},
    )
    colour = Shape(
        kind=paper_rules.YearColour, required={"name": text(20), "hex": _hex}, optional={"ral": text(8)}
    )
    scheme = _shape(
        paper_rules.YearColourScheme,
        named,
        title=text(80),
        means=word(paper_rules.YearMeans, "meaning of the year"),
        from_year=whole(1900, 2999),
        colours=listed(nested(colour), 2),
    )
    lettering = _shape(
        paper_rules.Lettering,
        named,
        distance_per_height=number(above=0),
        least_distance_mm=number(),
        distance_source=source,
    )
    return {
        "report_particulars": {"particular": particular},
        "stickers": {"sticker": sticker},
        "retention": {"retention": retention},
        "year_colours": {"scheme": scheme},
        "lettering": {"lettering": lettering},
    }


def _shape(kind: Callable[..., Any], named: Mapping[str, Reader], **fields: Reader) -> Shape:
    return Shape(kind=kind, required={**named, **fields})


def _with_absent(shape: Shape, key: str) -> Shape:
    """`shape` for a kind that wants None where the file leaves `key` out."""
    made = shape.kind

    def kind(**values: Any) -> Any:
        return made(**{key: None, **values})

    return Shape(kind=kind, required=shape.required, optional=shape.optional, check=shape.check)


def _months_or_days(values: Mapping[str, Any]) -> None:
    given = [key for key in ("months", "days") if key in values]
    if len(given) == 2:
        raise MisfitError("gives both months and days.", "Keep one of them.")
    if not given:
        raise MisfitError("gives neither months nor days.", "Give one of them.")


def _steps_rise(values: Mapping[str, Any]) -> None:
    lengths = [step.up_to_mm for step in values["steps"]]
    if any(later <= earlier for earlier, later in pairwise(lengths)):
        raise MisfitError("has steps that do not rise in up_to_mm.", "Put them in rising order.")


def _hex(value: Any) -> str:
    colour: str = text(7)(value)
    digits = colour.removeprefix("#")
    if (
        len(digits) != 6
        or not colour.startswith("#")
        or any(mark not in "0123456789ABCDEF" for mark in digits)
    ):
        raise MisfitError(f"'{colour}' is no colour.", "Write it as #RRGGBB in capitals.")
    return colour
