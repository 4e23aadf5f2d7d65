"""What is told with the invented fleet, story by story.

Stories that are told by wear, tools or late visits alone stand in fleet/*.toml and need nothing here:
near-limit (a chain at nine tenths of its allowed growth), tool-lapsed (read with a caliper out of
calibration), undecided (read with a steel rule near the limit), hook-opened, overdue, late-check.
"""

from collections.abc import Callable, Mapping
from datetime import date, timedelta

from msgspec import Struct, field

from fieldlog.domain.records import DefectGrade, InspectionKind
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.servicing import fit_chain, mend, record_load_test, return_to_service, withdraw

from .diary import Floor, Step
from .hands import Found, Visit, leave_open, print_sticker
from .wear import fitted_length_mm
from .works import Machine

ADA, JORY, WENNA = "Ada Fenn", "Jory Marlpit", "Wenna Tidesley"
LOAD_TEST_SHARE = {"electric": 125, "air": 125, "hand": 150}
"""Test load in percent of the capacity. Source: 2006/42/EC, annex I, 4.1.2.3."""


class Story(Struct, frozen=True, kw_only=True):
    """What inspections find, by their days ago, and what is done besides them.

    `after_repair` is the day (days ago) and the inspector of the inspection after a repair.
    """

    found: Mapping[int, Found] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    after_repair: tuple[int, str] | None = None


def _service(
    act: Callable[..., object], key: str, texts: Mapping[str, str]
) -> Callable[[Floor, Visit], object]:
    """One service form, filled in and sealed."""

    def do(floor: Floor, visit: Visit) -> object:
        return act(floor.shop, floor.tags[key], texts, by=visit.by, now=visit.now, today=visit.day)

    return do


def _load_test(machine: Machine, remark: str) -> Callable[[Floor, Visit], object]:
    required = machine.capacity_kg * LOAD_TEST_SHARE[machine.drive] // 100
    texts = {
        "required": f"{required} kg",
        # The weights of the works come in steps of 20 kg; up to 5 % under is within the tolerance.
        "reached": f"{required - required % 20} kg",
        "passed": "yes",
        "remark": remark,
    }
    return _service(record_load_test, machine.key, texts)


def _sticker(key: str) -> Callable[[Floor, Visit], object]:
    """Back in service, it gets a due sticker again."""
    return lambda floor, visit: print_sticker(floor.shop, floor.tags[key], visit, sheet=floor.sheet)


def broken_guide(machine: Machine, _day: date) -> Story:
    """The yearly inspection finds the upper guide cracked before it breaks; mended, tested, returned."""
    seen = DefectDraft(
        what="upper chain guide cracked at the top",
        where="where it presses the chain into the pockets",
        grade=DefectGrade.STOPS_NOW,
        remedy="new pocket wheel and both guides",
        serious=True,
        told=f"shift leader of the {machine.site}, by word and on paper",
    )
    mended = {
        "work": "new pocket wheel, upper and lower guide",
        "checked_by": ADA,
        "load_path": "yes",
    }
    back = {"guards": "yes", "locks": WENNA, "remark": "chain kept: well within its allowed growth"}
    lock = {"reason": "upper chain guide cracked", "lock": "lock 9, red tag 31"}
    key, seen_ago = machine.key, machine.periodic
    return Story(
        found={seen_ago: Found(defects={"upper-guide": seen})},
        steps=(
            Step(days_ago=seen_ago, by=WENNA, do=_service(withdraw, key, lock)),
            Step(days_ago=seen_ago - 4, by=WENNA, do=_service(mend, key, mended)),
            Step(days_ago=seen_ago - 5, by=ADA, do=_load_test(machine, "held ten minutes, no drift")),
            Step(days_ago=seen_ago - 7, by=ADA, do=_service(return_to_service, key, back)),
            Step(days_ago=seen_ago - 7, by=ADA, do=_sticker(key)),
        ),
        after_repair=(seen_ago - 6, ADA),
    )


def chain_set(machine: Machine, _day: date) -> Story:
    """A check finds the chain grown past its limit; a new set goes in, is tested, and starts a new life."""
    changed = machine.chain_changed
    fitted = {
        "certificate": "BH-K 5x15 0418",
        "length": f"{(machine.falls * machine.lift_m + 1) * 1000} mm",
        "set": "yes",
        "baseline": f"{fitted_length_mm(machine)}",
    }
    back = {"guards": "yes", "locks": "", "remark": "new chain, pocket wheel and both guides"}
    return Story(
        steps=(
            Step(days_ago=changed, by=WENNA, do=_service(fit_chain, machine.key, fitted)),
            Step(days_ago=changed - 1, by=WENNA, do=_load_test(machine, "")),
            Step(days_ago=changed - 4, by=ADA, do=_service(return_to_service, machine.key, back)),
            Step(days_ago=changed - 4, by=ADA, do=_sticker(machine.key)),
        ),
        after_repair=(changed - 2, ADA),
    )


def withdrawn(machine: Machine, _day: date) -> Story:
    """The operator reports a smell and a slow brake in the chlorine store; taken out, locked and tagged."""
    texts = {
        "reason": "air motor blackened by chlorine, brake runs on; waits for the maker's fitter",
        "lock": "lock 14, red tag 37",
    }
    return Story(steps=(Step(days_ago=11, by=JORY, do=_service(withdraw, machine.key, texts)),))


def dated_defect(machine: Machine, day: date) -> Story:
    """A strain relief that may be used until next week: then the hoist closes by itself."""
    slipping = DefectDraft(
        what="strain relief slips, the cable begins to carry the pendant",
        where="at the top",
        grade=DefectGrade.STOPS_FROM,
        stops_on=(day + timedelta(days=9)).isoformat(),
        remedy="new relief rope and clamp, ordered",
        told=f"shift leader of the {machine.site}",
    )
    return Story(found={machine.frequent: Found(defects={"pendant-cable": slipping})})


def papers_away(machine: Machine, _day: date) -> Story:
    """The maker's book could not be looked into: an item not seen, which does not affect safety."""
    away = Found(not_seen={"papers": "book and certificates are with the insurer"})
    return Story(found={machine.periodic: away})


def left_open(machine: Machine, _day: date) -> Story:
    """Another technician began the monthly check this morning and was called away."""

    def begin(floor: Floor, visit: Visit) -> object:
        tag = floor.tags[machine.key]
        return leave_open(floor.shop, tag, InspectionKind.FREQUENT, visit, items=14)

    return Story(steps=(Step(days_ago=0, by=JORY, do=begin),))


STORIES: Mapping[str, Callable[[Machine, date], Story]] = {
    "broken-guide": broken_guide,
    "chain-set": chain_set,
    "withdrawn": withdrawn,
    "dated-defect": dated_defect,
    "papers-away": papers_away,
    "left-open": left_open,
}


def story_of(machine: Machine, day: date) -> Story:
    """The story told with this hoist, in a history that ends on `day`; most hoists have none."""
    tell = STORIES.get(machine.story)
    return Story() if tell is None else tell(machine, day)
