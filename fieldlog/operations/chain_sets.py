"""Fitting a chain set: what it must agree with, and which defects go with the old one."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from fieldlog.domain.logbook import History, open_defects
from fieldlog.domain.plausibility import question_reference
from fieldlog.domain.records import Basis, ChainFitted, ChainSize
from fieldlog.domain.rules import ChecklistItem, Rulebook
from fieldlog.errors import Problem
from fieldlog.operations.service_forms import size_words
from fieldlog.operations.shop import OpenHoist

CHAIN_SECTION, GUIDES_SECTION = "chain", "guides"
# These stand in the chain's section, but belong to hook, housing and reeving, which stay.
STAYS_WITH_THE_HOIST = ("chain-end-anchor", "capsized-block")


def chain_set(opened: OpenHoist, values: Mapping[str, Any]) -> tuple[ChainFitted, list[Problem]]:
    """The record that the values of the form become, and what is not explained in it."""
    size: ChainSize = values["chain"]
    body = ChainFitted(
        done_on=values["done_on"],
        chain=ChainSize(dn_mm=size.dn_mm, pn_mm=size.pn_mm, grade=values["grade"]),
        length_mm=values["length"],
        certificate=values["certificate"],
        wheel_and_guides_too=values["set"],
        why_part_only=values["why_part_only"] or "",
        why_other_size=values["why_other_size"] or "",
        baseline_links=values["links"],
        baseline_basis=Basis(values["basis"]),
        baseline_mm=values["baseline"],
        defects_mended=_gone_with_it(opened.history, opened.rulebook, values["set"], values["done_on"]),
    )
    return body, _problems(opened, body)


def _problems(opened: OpenHoist, body: ChainFitted) -> list[Problem]:
    problems = [] if body.why_other_size else _differences(opened, body)
    if not body.wheel_and_guides_too and not body.why_part_only:
        wrong = "say why wheel and guides stay; worn ones eat a new chain"
        problems.append(Problem(place="Why only a part", wrong=wrong))
    return problems


def _differences(opened: OpenHoist, body: ChainFitted) -> list[Problem]:
    """What differs from the nameplate and from a new chain; one reason given explains all of it."""
    plate, fitted = opened.hoist.chain, body.chain
    problems = []
    if (fitted.dn_mm, fitted.pn_mm) != (plate.dn_mm, plate.pn_mm):
        wrong = f"the nameplate says {size_words(plate)}."
        problems.append(
            Problem(place="Chain dn x pn", wrong=wrong, todo="Fit that chain, or give the reason.")
        )
    if plate.grade and fitted.grade.casefold() != plate.grade.casefold():
        wrong = f"the nameplate says {plate.grade}."
        problems.append(Problem(place="Chain grade", wrong=wrong, todo="Fit that grade, or give the reason."))
    if body.baseline_mm is not None and body.baseline_links is not None:
        asked = question_reference(body.baseline_mm, fitted, body.baseline_links, body.baseline_basis)
        todo = "Measure again, or give the reason at 'Why another size'."
        problems += [Problem(place="Baseline: length", wrong=question, todo=todo) for question in asked]
    return problems


def _gone_with_it(history: History, rulebook: Rulebook, whole_set: bool, day: date) -> tuple[str, ...]:
    """Open defects that go away with the old chain, and with wheel and guides where they went too."""
    items = {item.id for item in rulebook.items if _goes(item, whole_set)}
    return tuple(
        state.defect.id
        for state in open_defects(history)
        if state.defect.item in items and state.seen_on <= day
    )


def _goes(item: ChecklistItem, whole_set: bool) -> bool:
    if item.id in STAYS_WITH_THE_HOIST:
        return False
    return item.section == CHAIN_SECTION or (whole_set and item.section == GUIDES_SECTION)
