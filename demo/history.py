"""Four years at the invented Saltmarsh Water Works, written through the same operations as the screens use.

The same seed and the same moment give the same facts; only the identities of records, and so the hashes
of their lines, are new each time.
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from msgspec.structs import replace

from fieldlog.domain.records import InspectionKind, Instrument, Person, Site
from fieldlog.operations.setting_up import add_instrument, add_person, add_site, set_up
from fieldlog.operations.shop import Shop, open_shop
from fieldlog.store.drafts import Drafts
from fieldlog.store.files import FileCalls
from fieldlog.store.logbooks import Logbooks

from .diary import Floor, Step, in_order, working_day
from .hands import NOTHING, Found, Visit, inspect, print_sticker, register
from .stories import story_of
from .wear import measure
from .works import Machine, Technician, Tool, Works, read_works

TECHNICIAN = "Ada Fenn"
SEED = "Saltmarsh"
YEARLY, HALF_YEARLY = 358, 178
"""Days between thorough inspections: a week before the year, or half of it in heavy service, is over."""
BETWEEN = 90
"""Days between the checks that are written here; monthly ones between them are in the operators' book."""
NOT_JUST_BEFORE = 20
MONTHLY_ELSEWHERE = "the monthly checks between stand in the operators' book"


class _Unsynced(FileCalls):
    """An invented record can be written again, so nothing waits for the disk."""

    def fsync(self, fd: int) -> None:
        """Nothing."""


def _open(root: Path) -> Shop:
    calls = _Unsynced()
    drafts = Drafts(root / "drafts", files=calls)
    return replace(open_shop(root), logbooks=Logbooks(root, files=calls), drafts=drafts)


def _person(technician: Technician, last_day: date) -> Person:
    until = working_day(last_day, technician.left) if technician.left else None
    return Person(
        name=technician.name,
        login=technician.login,
        qualification=technician.qualification,
        employer=read_works().shop,
        until=until,
    )


def _shop_steps(works: Works, last_day: date) -> list[Step]:
    """People, sites and tools with their calibrations."""

    def site(name: str) -> Callable[[Floor, Visit], object]:
        record = Site(name=name, address=works.address, rulebook=works.rulebook)
        return lambda floor, visit: add_site(floor.shop, record, by=visit.by, now=visit.now)

    def person(record: Person) -> Callable[[Floor, Visit], object]:
        return lambda floor, visit: add_person(floor.shop, record, by=visit.by, now=visit.now)

    def tool(held: Tool) -> Callable[[Floor, Visit], object]:
        def calibrated(floor: Floor, visit: Visit) -> None:
            record = Instrument(
                name=held.name,
                type=held.type,
                calibrated_on=visit.day,
                interval_months=held.interval_months,
                certificate=f"works laboratory, {visit.day.isoformat()}",
            )
            add_instrument(floor.shop, record, by=visit.by, now=visit.now)

        return calibrated

    first, *others = works.people
    steps = [Step(days_ago=works.first_day, by=first.name, do=site(name)) for name in works.sites]
    steps += [Step(days_ago=p.since, by=first.name, do=person(_person(p, last_day))) for p in others]
    return steps + [
        Step(days_ago=days_ago, by=first.name, do=tool(held))
        for held in works.tools
        for days_ago in held.calibrations
    ]


def nameplate(machine: Machine, taken_on: date) -> dict[str, str]:
    """What is typed when the hoist is registered."""
    powered = "no" if machine.drive == "hand" else "yes"
    return {
        "maker": machine.maker,
        "model": machine.model,
        "serial": machine.serial,
        "year": str(taken_on.year - machine.age),
        "drive": machine.drive,
        "capacity": str(machine.capacity_kg),
        "falls": str(machine.falls),
        "lift": f"{machine.lift_m * 1000} mm",
        "chain": machine.chain,
        "grade": machine.grade,
        "hook_throat": str(machine.throat_mm),
        "limit_switches": powered,
        "container": powered,
        "overload_device": powered,
        "trolley": "yes" if machine.trolley else "no",
        "lifts_persons": "no",
        "group": machine.group,
        "site": machine.site,
        "place": machine.place,
        "service": machine.service,
        "rulebook": machine.rulebook,
        **machine.book,
    }


def _checks(begin: int, end: int) -> list[int]:
    """Days ago of the checks between two visits, none of them shortly before the second."""
    return [days for days in range(begin - BETWEEN, end, -BETWEEN) if days - end >= NOT_JUST_BEFORE]


def visits(machine: Machine) -> list[tuple[int, InspectionKind]]:
    """Days ago and kind of every inspection that the rhythm of the works asks for, the earliest first.

    Each hoist was looked at as a whole when it was taken on, and again within the year, so that the work
    spreads over the calendar.
    """
    heavy = machine.service == "heavy" and machine.rulebook != "uk"
    apart = HALF_YEARLY if heavy else YEARLY
    later = list(range(machine.periodic, machine.taken - BETWEEN, apart))[::-1]
    whole = [machine.taken, *later]
    last = machine.frequent if machine.frequent < whole[-1] else 0
    first = InspectionKind.FIRST_USE if machine.bought else InspectionKind.PERIODIC
    found = [(days, first if days == machine.taken else InspectionKind.PERIODIC) for days in whole]
    for begin, end in zip(whole, [*whole[1:], last], strict=True):
        found += [(days, InspectionKind.FREQUENT) for days in _checks(begin, end)]
    if machine.frequent < whole[-1]:
        found.append((machine.frequent, InspectionKind.FREQUENT))
    return sorted(found, key=lambda visit: -visit[0])


def _who(works: Works, days_ago: int, rng: Random) -> Technician:
    present = [p for p in works.people if p.left < days_ago < p.since]
    return rng.choice(present or works.people[:1])


def _inspection_step(
    works: Works,
    machine: Machine,
    days_ago: int,
    kind: InspectionKind,
    rng: Random,
    *,
    found: Found,
    by: str = "",
) -> Step:
    named = {p.name: p for p in works.people}
    who = named[by] if by else _who(works, days_ago, rng)
    whole = kind is not InspectionKind.FREQUENT
    is_last = days_ago == min(machine.frequent, machine.periodic)
    name = machine.last_tool if machine.last_tool and is_last else machine.tool
    tool = next(held for held in works.tools if held.name == name)
    figures = measure(machine, days_ago, tool, rng, comma=who.comma, whole=whole)

    def do(floor: Floor, visit: Visit) -> None:
        tag = floor.tags[machine.key]
        inspect(floor.shop, tag, kind, figures, visit, found=found)
        if whole:
            print_sticker(floor.shop, tag, visit, sheet=floor.sheet)

    return Step(days_ago=days_ago, by=who.name, do=do)


def _hoist_steps(works: Works, machine: Machine, last_day: date) -> list[Step]:
    """Registration, the rhythm of inspections, and what its story adds."""
    rng = Random(f"{SEED} {machine.key}")
    story = story_of(machine, last_day)
    plate = nameplate(machine, working_day(last_day, machine.taken))

    def take_on(floor: Floor, visit: Visit) -> None:
        floor.tags[machine.key] = register(floor.shop, plate, visit, sheet=floor.sheet)

    steps = [Step(days_ago=machine.taken, by=TECHNICIAN, do=take_on)]
    for days_ago, kind in visits(machine):
        usual = Found(remark=MONTHLY_ELSEWHERE) if kind is InspectionKind.FREQUENT else NOTHING
        found = story.found.get(days_ago, usual)
        steps.append(_inspection_step(works, machine, days_ago, kind, rng, found=found))
    steps += story.steps
    if story.after_repair:
        days_ago, by = story.after_repair
        kind = InspectionKind.AFTER_REPAIR
        steps.append(_inspection_step(works, machine, days_ago, kind, rng, found=NOTHING, by=by))
    return steps


def write_history(
    root: Path,
    moment: datetime,
    progress: Callable[[int, int], None] | None = None,
    *,
    fleet: Sequence[Machine] | None = None,
) -> dict[str, str]:
    """Write the history of the works into the store at `root`, ending at `moment` (with its UTC offset).

    `progress` is told (done, all) after each step; `fleet` may name some of the machines only. Gives back
    the tag IDs by the machines' keys. Raises what the operations raise, as for a store that is not empty.
    """
    works = read_works()
    last_day = moment.date()
    steps = _shop_steps(works, last_day)
    for machine in works.fleet if fleet is None else fleet:
        steps += _hoist_steps(works, machine, last_day)
    timed = in_order(steps, moment)
    floor = Floor(shop=_open(root), sheet=works.label_sheet)
    first = works.people[0]
    opening = {
        "shop": works.shop,
        "prefix": works.prefix,
        "rulebook": works.rulebook,
        "person": first.name,
        "qualification": first.qualification,
    }
    set_up(floor.shop, opening, login=first.login, now=timed[0][0] - timedelta(minutes=10))
    for done, (now, step) in enumerate(timed, start=1):
        step.do(floor, Visit(by=step.by, now=now))
        if progress is not None:
            progress(done, len(timed))
    return floor.tags
