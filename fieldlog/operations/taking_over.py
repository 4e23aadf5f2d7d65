"""What older paper says of a hoist's last inspection, read from texts into a record marked as taken over."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from fieldlog.domain.chain import reference_for
from fieldlog.domain.plausibility import question_reading
from fieldlog.domain.records import Basis, ChainReading, Hoist, InspectionKind, TakenOver
from fieldlog.errors import Problem
from fieldlog.operations.drafting import LINKS
from fieldlog.operations.entering import (
    Field,
    read_choice,
    read_day_of_work,
    read_length,
    read_text,
    read_whole,
    take_all,
)

BASES = (Basis.INSIDE.value, Basis.OUTSIDE.value)
KINDS = tuple(kind.value for kind in InspectionKind)
NO_PLACE = "as the paper has it"


def taking_over_fields(today: date, document: str) -> tuple[Field, ...]:
    """What is asked about the last inspection on paper; `document` is named where the row names none."""
    return (
        *_inspection_fields(today),
        *_length_fields(),
        *_origin_fields(document),
    )


def _inspection_fields(today: date) -> tuple[Field, ...]:
    return (
        Field(
            name="last_day",
            label="Last inspection",
            read=read_day_of_work("the last inspection", today),
            required=False,
        ),
        Field(
            name="last_kind",
            label="Last inspection kind",
            read=read_choice("the kind", KINDS),
            choices=KINDS,
            default=InspectionKind.PERIODIC.value,
            required=False,
        ),
    )


def _length_fields() -> tuple[Field, ...]:
    return (
        Field(
            name="last_reading",
            label="Last reading",
            read=read_length("the last reading"),
            unit="mm",
            required=False,
        ),
        Field(
            name="last_links",
            label="Last reading: links",
            read=read_whole("the number of links", 1, 99),
            default=LINKS,
            required=False,
        ),
        Field(
            name="last_basis",
            label="Last reading: measured",
            read=read_choice("the basis", BASES),
            choices=BASES,
            default=Basis.INSIDE.value,
            required=False,
        ),
    )


def _origin_fields(document: str) -> tuple[Field, ...]:
    """Where on the chain the paper's reading was taken, and which paper it is."""
    return (
        Field(
            name="last_place",
            label="Last reading: place",
            read=read_text("the place"),
            default=NO_PLACE,
            required=False,
        ),
        Field(
            name="last_source",
            label="Source document",
            read=read_text("the document"),
            default=document,
            required=False,
        ),
    )


def taken_over_from(
    texts: Mapping[str, str], *, today: date, document: str
) -> tuple[TakenOver | None, tuple[Problem, ...]]:
    """The record that the texts make, None where they tell neither a day nor a reading, and what is wrong.

    The place of a problem is the label of its field.
    """
    values, problems = take_all(taking_over_fields(today, document), texts)
    if problems or (values.get("last_day") is None and values.get("last_reading") is None):
        return None, problems
    reading = _reading(values, texts)
    day = values["last_day"]
    body = TakenOver(
        source=values["last_source"] or document,
        done_on=day,
        occasion=None if day is None else InspectionKind(values["last_kind"]),
        reading=reading,
    )
    return body, ()


def _reading(values: Mapping[str, Any], texts: Mapping[str, str]) -> ChainReading | None:
    if values["last_reading"] is None:
        return None
    return ChainReading(
        place=values["last_place"] or NO_PLACE,
        links=values["last_links"] or int(LINKS),
        basis=Basis(values["last_basis"] or Basis.INSIDE),
        value_mm=values["last_reading"],
        typed=texts.get("last_reading", ""),
    )


def taken_over_questions(body: TakenOver, hoist: Hoist) -> tuple[str, ...]:
    """What is not plausible about the reading on paper; an empty tuple if nothing is."""
    held = body.reading
    if held is None or held.value_mm is None:
        return ()
    reference = reference_for(hoist.chain, held.links, held.basis, hoist.book)
    return question_reading(held.value_mm, reference, hoist.chain)
