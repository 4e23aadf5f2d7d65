"""The particulars that a rulebook asks of a report: which apply, and which the records do not hold.

What is lacking is worked out once, here; it is listed before printing and marked in its place on paper.
"""

from collections.abc import Callable, Mapping

from msgspec import Struct

from fieldlog.domain.history import DefectState
from fieldlog.domain.paper_rules import Occasion, Particular
from fieldlog.domain.records import DefectGrade, InspectionKind
from fieldlog.domain.retention import BETWEEN
from fieldlog.domain.service_life import life_of
from fieldlog.errors import Problem
from fieldlog.operations.reporting_fleet import told_words
from fieldlog.operations.reporting_visit import FIRST_HERE, Visit, last_thorough
from fieldlog.operations.reporting_words import is_powered
from fieldlog.operations.shop import current_size

RESULT = "Result"
FOR_WHOM = "For whom and where"
THE_HOIST = "The hoist"
THIS_INSPECTION = "This inspection"
FINDINGS = "Findings"
DEFECTS = "Defects"
TESTS = "Tests"
LOOKED_AT = "What was looked at"
NEXT_DUE = "Next due"
SIGNATURES = "Signatures and seal"

LIFE_SHARE = "life-share"
UK_BASIS = "uk-basis"
UK_LAST = "uk-last-examined"

# What identifies a hoist beyond what every registration holds. LOLER Schedule 1, 3 asks for the date of
# manufacture only 'where known'.
IDENTITY = {"general-identity": ("year", "grade"), "de-identity": ("year", "group")}


class Lack(Struct, frozen=True, kw_only=True):
    """Something that a report has to say and the records do not hold; `key` is its place in the report."""

    key: str
    problem: Problem


def _lack(key: str, place: str, wrong: str, todo: str) -> Lack:
    return Lack(key=key, problem=Problem(place=place, wrong=wrong, todo=todo))


def _owner(visit: Visit, _: Particular) -> list[Lack]:
    site, at = visit.site, f"Record it with the site '{visit.hoist.site}'."
    lacks = []
    if site is None or not site.owner:
        lacks.append(_lack("owner", "owner", "the name of owner or employer is not recorded.", at))
    if site is None or not site.owner_address:
        lacks.append(_lack("owner-address", "owner", "the owner's address is not recorded.", at))
    return lacks


def _premises(visit: Visit, _: Particular) -> list[Lack]:
    if visit.site is not None and visit.site.address:
        return []
    todo = f"Record it with the site '{visit.hoist.site}'."
    return [_lack("premises", "premises", "the address of the premises is not recorded.", todo)]


def _identity(visit: Visit, particular: Particular) -> list[Lack]:
    hoist, wanted = visit.hoist, IDENTITY.get(particular.id, ())
    held = {
        "year": hoist.year is not None,
        "grade": bool(current_size(visit.opened).grade),
        "group": bool(hoist.group) or not is_powered(hoist),
    }
    says = {"year": "year of manufacture", "grade": "grade of the chain", "group": "group of mechanism"}
    return [
        _lack(part, "hoist", f"the {says[part]} is not recorded.", "Take it from the nameplate or the book.")
        for part in wanted
        if not held[part]
    ]


def _last_examined(visit: Visit, particular: Particular) -> list[Lack]:
    if visit.body.occasion is InspectionKind.FIRST_USE:
        return []
    any_will_do = particular.id != UK_LAST and visit.body.occasion in BETWEEN
    if last_thorough(visit) is not None or (any_will_do and visit.earlier):
        return []
    wrong = "the date of the inspection before this one is not in the logbook."
    return [_lack("last-examined", "last inspection", wrong, "Write it in from the last report.")]


def _basis(visit: Visit, particular: Particular) -> list[Lack]:
    # The record says 'after repair'; which of the four cases of LOLER Schedule 1, 7(a) that is, it does not.
    if particular.id != UK_BASIS or visit.body.occasion is not InspectionKind.AFTER_REPAIR:
        return []
    wrong = "which of the four cases this examination after a repair belongs to is not recorded."
    return [_lack("basis", "basis", wrong, "The person who signs writes it in.")]


def _for_each(
    visit: Visit, has: Callable[[DefectState], bool], part: str, wrong: str, todo: str
) -> list[Lack]:
    return [
        _lack(f"{state.defect.id}-{part}", f"defect {state.defect.id}", wrong, todo)
        for state in visit.defects
        if not has(state)
    ]


def _remedy(visit: Visit, _: Particular) -> list[Lack]:
    wrong, todo = "no remedy is recorded.", "Say what repair, renewal or alteration it needs."
    return _for_each(visit, lambda state: bool(state.defect.remedy or state.mended_by), "remedy", wrong, todo)


def _by_date(visit: Visit, _: Particular) -> list[Lack]:
    wrong = "it is to be watched, and no date is recorded by which it could become a danger."
    todo = "If it could, grade it 'stops use from a date'."
    return _for_each(
        visit,
        lambda state: state.defect.grade is not DefectGrade.WATCH or state.mended_on is not None,
        "by",
        wrong,
        todo,
    )


def _told(visit: Visit, _: Particular) -> list[Lack]:
    wrong, todo = "who was told of it, when and how, is not recorded.", "Tell the owner, and record it."
    return _for_each(visit, lambda state: bool(told_words(state, visit.notices)), "told", wrong, todo)


def _life(visit: Visit, _: Particular) -> list[Lack]:
    if life_of(visit.opened.history, visit.opened.rulebook) is not None:
        return []
    todo = "Log its running hours, and its group of mechanism, or write the share in."
    return [_lack("used-life", "life", "the used share of the design life is not recorded.", todo)]


def _next(visit: Visit, _: Particular) -> list[Lack]:
    if any(due.inspection is InspectionKind.PERIODIC for due in visit.summary.dues):
        return []
    wrong = "no date follows from the records for the next thorough inspection."
    return [_lack("next-due", "next due", wrong, "The person who signs sets it.")]


def _examiner(visit: Visit, particular: Particular) -> list[Lack]:
    person, todo = visit.person, f"Record it with the person {visit.entry.by}."
    lacks = []
    if person is None or not person.address:
        lacks.append(_lack("examiner-address", "examiner", "the examiner's address is not recorded.", todo))
    # The German finding asks for name and address only (DGUV Regel 100-500, 2.9, 4.3).
    wants_qualification = particular.id != "de-examiner"
    if wants_qualification and (person is None or not person.qualification):
        lacks.append(_lack("qualification", "examiner", "the qualification is not recorded.", todo))
    return lacks


def _employer(visit: Visit, _: Particular) -> list[Lack]:
    person, todo = (
        visit.person,
        f"Record it with the person {visit.entry.by}, or that they are self-employed.",
    )
    if person is not None and person.self_employed:
        return []
    if person is None or not person.employer:
        return [_lack("employer", "examiner", "the examiner's employer is not recorded.", todo)]
    if not employer_address(visit):
        return [_lack("employer-address", "examiner", "the employer's address is not recorded.", todo)]
    return []


def employer_address(visit: Visit) -> str:
    """The address of the examiner's employer; the shop's own where it is the shop and none other is given."""
    person, shop = visit.person, visit.settings
    if person is None:
        return ""
    return person.employer_address or (shop.address if person.employer == shop.shop else "")


def _signed(visit: Visit, particular: Particular) -> list[Lack]:
    lacks = []
    if visit.signature is None:
        wrong = "the record is sealed, but not signed with a key."
        lacks.append(_lack("signature", "signature", wrong, "Sign the paper by hand."))
    asks_address = particular.id == "uk-signed" and (visit.person is None or not visit.person.address)
    if asks_address:
        todo = f"Record it with the person {visit.entry.by}."
        lacks.append(_lack("examiner-address", "examiner", "the examiner's address is not recorded.", todo))
    return lacks


def _nothing(_visit: Visit, _: Particular) -> list[Lack]:
    """What every sealed inspection holds, or what the report says of itself."""
    return []


class Place(Struct, frozen=True, kw_only=True):
    """The section in which a particular stands, and what of it the records may lack."""

    section: str
    lacks: Callable[[Visit, Particular], list[Lack]] = _nothing


PLACES: Mapping[str, Place] = {
    "owner": Place(section=FOR_WHOM, lacks=_owner),
    "premises": Place(section=FOR_WHOM, lacks=_premises),
    "identity": Place(section=THE_HOIST, lacks=_identity),
    "capacity": Place(section=THE_HOIST),
    "used-life": Place(section=THE_HOIST, lacks=_life),
    "last-examined-on": Place(section=THIS_INSPECTION, lacks=_last_examined),
    "first-here": Place(section=THIS_INSPECTION),
    "basis": Place(section=THIS_INSPECTION, lacks=_basis),
    "examined-on": Place(section=THIS_INSPECTION),
    "reported-on": Place(section=THIS_INSPECTION),
    "installed-correctly": Place(section=RESULT),
    "safe-to-use": Place(section=RESULT),
    "recheck": Place(section=RESULT),
    "result": Place(section=FINDINGS),
    "defect-part": Place(section=DEFECTS),
    "defect-remedy": Place(section=DEFECTS, lacks=_remedy),
    "defect-by-date": Place(section=DEFECTS, lacks=_by_date),
    "owner-knows": Place(section=DEFECTS, lacks=_told),
    "tests": Place(section=TESTS),
    "scope": Place(section=LOOKED_AT),
    "next-due": Place(section=NEXT_DUE, lacks=_next),
    "examiner": Place(section=SIGNATURES, lacks=_examiner),
    "examiner-employer": Place(section=SIGNATURES, lacks=_employer),
    "signed-by": Place(section=SIGNATURES, lacks=_signed),
}


def applies(particular: Particular, visit: Visit) -> bool:
    """Whether this particular is asked of this report."""
    first = visit.body.occasion in FIRST_HERE
    return {
        Occasion.ALWAYS: True,
        Occasion.FIRST: first,
        Occasion.RECURRENT: not first,
        Occasion.DEFECTS: bool(visit.defects),
        Occasion.TESTS: bool(visit.tests),
        Occasion.POWERED: is_powered(visit.hoist),
    }[particular.when]


def asked(visit: Visit) -> tuple[Particular, ...]:
    """The particulars that the rulebook asks of this report."""
    return tuple(held for held in visit.opened.rulebook.particulars if applies(held, visit))


def lacks_of(particular: Particular, visit: Visit) -> list[Lack]:
    """What the records lack of one particular; all of it where this fieldlog does not know the particular."""
    place = PLACES.get(particular.field)
    if place is None:
        wrong = f"this fieldlog does not know what '{particular.field}' is: {particular.says}"
        return [_lack(particular.field, particular.id, wrong, "Write it in by hand.")]
    return place.lacks(visit, particular)


def lacking(visit: Visit) -> dict[str, Problem]:
    """Everything that the report has to say and the records lack, by its place in the report."""
    found: dict[str, Problem] = {}
    for particular in asked(visit):
        for lack in lacks_of(particular, visit):
            found.setdefault(lack.key, lack.problem)
    return found
