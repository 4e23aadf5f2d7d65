"""What an import would do, worked out before anything is written: what is new, what is here, all faults."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date

from msgspec import Struct, field
from msgspec.structs import replace

from fieldlog.domain.import_rows import ImportRow, ImportTable
from fieldlog.domain.records import Hoist, TakenOver
from fieldlog.domain.tag_id import parse_id
from fieldlog.domain.verdict import Summary
from fieldlog.errors import IncompleteError, InputError, Problem
from fieldlog.operations.entering import read_day_of_work
from fieldlog.operations.registering import hoist_from, registration_fields, registration_questions
from fieldlog.operations.shop import Shop, need_settings, summaries
from fieldlog.operations.taking_over import taken_over_from, taken_over_questions, taking_over_fields
from fieldlog.operations.telling import telling
from fieldlog.units import format_mass, format_mm, quoted

ASSUMED = (
    "limit_switches",
    "container",
    "overload_device",
    "trolley",
    "lifts_persons",
    "service",
    "rulebook",
)
_NO_ID = "SW-0000-0"  # stands in a planned hoist until it gets its number


class Planned(Struct, frozen=True, kw_only=True):
    """A row that can be taken. `id` is given or known here, else empty; `here`: nothing to register."""

    row: int
    hoist: Hoist
    taken_over: TakenOver | None = None
    id: str = ""
    here: bool = False


class ImportPlan(Struct, frozen=True, kw_only=True):
    """All rows of a table judged. Faults stop it; questions do unless they are confirmed; notes do not."""

    source: str
    planned: tuple[Planned, ...] = ()
    faults: tuple[Problem, ...] = ()
    questions: tuple[Problem, ...] = ()
    notes: tuple[Problem, ...] = ()

    @property
    def new(self) -> int:
        """How many hoists would be registered."""
        return sum(not each.here for each in self.planned)


class _Known(Struct):
    """Hoists by ID and by maker and serial, of the store and of the rows above."""

    names: frozenset[str]
    by_id: Mapping[str, Summary]
    by_serial: Mapping[tuple[str, str], Summary]
    rows_by_id: dict[str, int] = field(default_factory=dict)
    rows_by_serial: dict[tuple[str, str], int] = field(default_factory=dict)


def _key(maker: str, serial: str) -> tuple[str, str]:
    return " ".join(maker.split()).casefold(), " ".join(serial.split()).casefold()


def plan_import(
    shop: Shop, table: ImportTable, *, today: date, progress: Callable[[int, int], None] | None = None
) -> ImportPlan:
    """Judge every row; nothing is written. NotFoundError before the shop's first start."""
    held = need_settings(shop)
    here = summaries(shop)
    known = _Known(
        names=frozenset(shop.logbooks.hoist_names()),
        by_id=here,
        by_serial={_key(s.maker, s.serial): s for s in here.values()},
    )
    judge = _Judge(table, known, held.rulebook, today)
    planned = []
    for row in telling(table.rows, progress):
        found = judge.row(row)
        if found is not None:
            planned.append(found)
    assumed = [name for name in ASSUMED if name not in table.columns]
    notes = list(table.notes) + judge.notes
    if assumed:
        names = ", ".join(name.replace("_", " ") for name in assumed)
        told = f"no column for {names}: taken as usual for the drive."
        notes.append(Problem(place=table.source, wrong=told, todo="Add a column where that is not so."))
    faults = sorted([*table.faults, *judge.faults], key=lambda fault: _order(fault, table.source))
    return ImportPlan(
        source=table.source,
        planned=tuple(planned),
        faults=tuple(faults),
        questions=tuple(judge.questions),
        notes=tuple(notes),
    )


def _order(problem: Problem, source: str) -> tuple[int, str]:
    number = problem.place.removeprefix(f"{source}:").partition(":")[0]
    return (int(number) if number.isdecimal() else 0), problem.place


class _Judge:
    """Judges the rows of one table, one after the other."""

    def __init__(self, table: ImportTable, known: _Known, rulebook: str, today: date) -> None:
        self.table = table
        self.known = known
        self.rulebook = rulebook
        self.today = today
        self.faults: list[Problem] = []
        self.questions: list[Problem] = []
        self.notes: list[Problem] = []
        forms = (*registration_fields(rulebook=rulebook, today=today), *taking_over_fields(today, ""))
        self.names = {form.label: form.name for form in forms}

    def row(self, row: ImportRow) -> Planned | None:
        """What this row becomes, or None where it has faults, which are kept."""
        before = len(self.faults)
        texts = {name: cell.text for name, cell in row.cells.items() if cell.text}
        day = self._registered_on(row, texts)
        hoist = self._hoist(row, texts, day)
        body, problems = taken_over_from(texts, today=self.today, document=self.table.source[:80])
        self._fault_all(row, problems)
        given = self._given_id(row, texts)
        if hoist is None or any(cell.faulty for cell in row.cells.values()) or len(self.faults) > before:
            return None
        self._ask(row, texts, hoist, body)
        return self._placed(row, hoist, body, given)

    def _fault(self, row: ImportRow, name: str, wrong: str, todo: str = "") -> None:
        cell = row.cells.get(name)
        if cell is not None and cell.faulty:
            return  # told already, and what is missing is missing because of it
        if cell is None and name in self.known_missing():
            return
        place = cell.place if cell is not None else f"{self.table.source}:{row.number}"
        self.faults.append(
            Problem(place=place, wrong=wrong if wrong.endswith(".") else f"{wrong}.", todo=todo)
        )

    def known_missing(self) -> frozenset[str]:
        """Needed fields that no column brings; the table's own faults tell them once."""
        return frozenset(self.names.values()) - self.table.columns

    def _fault_all(self, row: ImportRow, problems: tuple[Problem, ...]) -> None:
        for problem in problems:
            name = self.names.get(problem.place, "")
            cell = row.cells.get(name)
            missing = cell is None or not cell.text
            todo = "Fill the cell in." if missing and problem.wrong.endswith("is missing") else problem.todo
            self._fault(row, name, problem.wrong, todo)

    def _registered_on(self, row: ImportRow, texts: Mapping[str, str]) -> date:
        if "registered_on" not in texts:
            return self.today
        try:
            return read_day_of_work("the day of registration", self.today)(texts["registered_on"])
        except InputError as fault:
            self._fault(row, "registered_on", str(fault))
            return self.today

    def _hoist(self, row: ImportRow, texts: Mapping[str, str], day: date) -> Hoist | None:
        try:
            hoist = hoist_from(texts, _NO_ID, rulebook=self.rulebook, today=self.today)
        except IncompleteError as fault:
            self._fault_all(row, fault.problems)
            return None
        return replace(hoist, registered_on=day)

    def _given_id(self, row: ImportRow, texts: Mapping[str, str]) -> str:
        if "id" not in texts:
            return ""
        try:
            return parse_id(texts["id"])
        except InputError as fault:
            self._fault(row, "id", str(fault), "Leave the cell empty to be given a tag.")
            return ""

    def _ask(self, row: ImportRow, texts: Mapping[str, str], hoist: Hoist, body: TakenOver | None) -> None:
        asked: dict[str, tuple[str, ...]] = {}
        if "book_length" in texts or "book_discard" in texts:
            asked["book_length"] = registration_questions(texts, rulebook=self.rulebook, today=self.today)
        if body is not None:
            asked["last_reading"] = taken_over_questions(body, hoist)
        for name, questions in asked.items():
            cell = row.cells.get(name)
            place = cell.place if cell is not None else f"{self.table.source}:{row.number}"
            self.questions += [
                Problem(place=place, wrong=f"{question}.", todo="Correct it, or import with --confirm.")
                for question in questions
            ]

    def _placed(self, row: ImportRow, hoist: Hoist, body: TakenOver | None, given: str) -> Planned | None:
        key = _key(hoist.maker, hoist.serial)
        if self._twice(row, given, key):
            return None
        same = self.known.by_serial.get(key)
        held = self.known.by_id.get(given) if given else None
        if given and held is None and given in self.known.names:
            self._fault(
                row, "id", f"the logbook of {given} is here but can not be read", "Run fieldlog verify."
            )
            return None
        if held is not None and _key(held.maker, held.serial) != key:
            wrong = f"{given} is another hoist here: {held.maker} {held.model}, serial {quoted(held.serial)}"
            self._fault(row, "id", wrong, "Leave the cell empty to be given another tag.")
            return None
        if given and same is not None and same.id != given:
            wrong = f"serial {quoted(hoist.serial)} of {hoist.maker} is {same.id} here, not {given}"
            self._fault(row, "id", wrong, "Write that tag, or leave the cell empty.")
            return None
        found = held or same
        if found is None:
            return Planned(row=row.number, hoist=hoist, taken_over=body, id=given)
        self.notes += list(self._differences(row, hoist, found))
        return Planned(row=row.number, hoist=hoist, taken_over=body, id=found.id, here=True)

    def _twice(self, row: ImportRow, given: str, key: tuple[str, str]) -> bool:
        """Whether a row above is the same hoist already."""
        above = self.known.rows_by_serial.setdefault(key, row.number)
        if above != row.number:
            self._fault(
                row, "serial", f"maker and serial number are those of row {above}", "Take one of them out."
            )
            return True
        above = self.known.rows_by_id.setdefault(given, row.number) if given else row.number
        if above != row.number:
            self._fault(row, "id", f"{given} is given to row {above} already", "Give each hoist its own tag.")
        return above != row.number

    def _differences(self, row: ImportRow, hoist: Hoist, held: Summary) -> Iterator[Problem]:
        pairs = {
            "model": (hoist.model, held.model),
            "capacity": (format_mass(hoist.capacity_kg), format_mass(held.capacity_kg)),
            "drive": (hoist.drive.value, held.drive.value),
            "chain": (_size(hoist.chain.dn_mm, hoist.chain.pn_mm), _size(held.dn_mm, held.pn_mm)),
            "site": (hoist.site, held.site),
            "place": (hoist.place, held.place),
        }
        for name, (file, here) in pairs.items():
            if file != here and name in row.cells and row.cells[name].text:
                wrong = f"{held.id} is here already with {name} {quoted(here)}, not {quoted(file)}."
                yield Problem(
                    place=row.cells[name].place, wrong=wrong, todo="An import changes nothing that is here."
                )


def _size(dn: object, pn: object) -> str:
    return f"{format_mm(dn)}x{format_mm(pn)}"  # type: ignore[arg-type]
