"""Defects in reports: what each is, what it means for use, its remedy, and the notice to the owner."""

from collections.abc import Iterator, Sequence

from fieldlog.domain.criteria import Verdict, governing
from fieldlog.domain.history import NOT_TRUSTED, DefectState, History
from fieldlog.domain.records import AnswerKind, DefectGrade, Mending
from fieldlog.domain.report_content import Column, Table, Words
from fieldlog.domain.rules import Rulebook
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import Problem
from fieldlog.operations.reporting_fleet import told_words
from fieldlog.operations.reporting_particulars import UK_BASIS
from fieldlog.operations.reporting_visit import Told, Visit
from fieldlog.operations.reporting_words import recorded, said, strong

COLUMNS = (
    Column(title="No.", share=6),
    Column(title="Part and defect", share=32),
    Column(title="Means for use", share=22),
    Column(title="Remedy", share=22),
    Column(title="Told: whom, when, how", share=18),
)
STOPS = (DefectGrade.STOPS_NOW, DefectGrade.STOPS_FROM)


def item_title(item: str, rulebook: Rulebook) -> str:
    """What a checklist item is called; one that this edition does not know keeps its id."""
    return next((held.title for held in rulebook.items if held.id == item), item)


def is_uk(rulebook: Rulebook) -> bool:
    """Whether the rulebook asks for the particulars of LOLER Schedule 1."""
    return any(particular.id == UK_BASIS for particular in rulebook.particulars)


def part_words(state: DefectState, rulebook: Rulebook) -> str:
    """The part, what is wrong with it and where, and since when that is known."""
    defect = state.defect
    where = f" ({defect.where})" if defect.where else ""
    seen = f"Seen {state.seen_on.isoformat()}, line {state.entry}."
    return f"{item_title(defect.item, rulebook)}: {defect.what}{where}. {seen}"


def meaning(state: DefectState) -> str:
    """What a defect does to the use of the hoist, and whether it may injure."""
    defect = state.defect
    words: str = defect.grade.value
    if defect.grade is DefectGrade.STOPS_FROM and defect.stops_on is not None:
        words = f"could become a danger: stops use from {defect.stops_on.isoformat()}"
    if defect.serious:
        words += "; existing or imminent risk of serious injury"
    return words


def checked_by(history: History, defect_id: str) -> str:
    """Who checked the work that mended a defect, or an empty text."""
    held = [entry.body for entry in history.entries if entry.line not in history.struck]
    names = [body.checked_by for body in held if isinstance(body, Mending) and defect_id in body.defects]
    return names[-1] if names else ""


def remedy_words(state: DefectState, history: History) -> str:
    """The remedy that is needed, and how it was mended where it was; empty where nothing is recorded."""
    needed = f"Needs: {state.defect.remedy}." if state.defect.remedy else ""
    if state.mended_on is None:
        return needed
    checked = checked_by(history, state.defect.id)
    mended = f"Mended {state.mended_on.isoformat()}: {state.mended_by}"
    return f"{needed} {mended}{f', checked by {checked}' if checked else ''}.".strip()


def defect_table(
    states: Sequence[DefectState],
    history: History,
    rulebook: Rulebook,
    lacks: dict[str, Problem],
    notices: Sequence[Told],
) -> Table:
    """The defects, those that stop use first; what is lacking is marked, and where nobody was told."""
    order = sorted(states, key=lambda state: (state.mended_on is not None, state.defect.grade not in STOPS))
    return Table(
        columns=COLUMNS, rows=tuple(_row(state, history, rulebook, lacks, notices) for state in order)
    )


def _row(
    state: DefectState,
    history: History,
    rulebook: Rulebook,
    lacks: dict[str, Problem],
    notices: Sequence[Told],
) -> tuple[Words, ...]:
    defect = state.defect
    means = meaning(state)
    if f"{defect.id}-by" in lacks:
        means += "; by when it could become a danger: not recorded"
    is_open = state.mended_on is None
    return (
        strong(defect.id),
        said(part_words(state, rulebook)),
        Words(
            text=means if is_open else f"{means} (mended)",
            strong=is_open and defect.grade in STOPS,
            missing=f"{defect.id}-by" in lacks,
        ),
        _or_missing(remedy_words(state, history), f"{defect.id}-remedy", lacks),
        recorded(told_words(state, notices)),
    )


def _or_missing(text: str, key: str, lacks: dict[str, Problem]) -> Words:
    return recorded("") if key in lacks else said(text or "-")


def rechecks(visit: Visit) -> tuple[str, ...]:
    """What must be looked at or measured again, and by when."""
    return tuple(_rechecks(visit)) or ("Nothing has to be looked at again before the next inspection.",)


def _rechecks(visit: Visit) -> Iterator[str]:
    for found in governing(visit.body.findings).values():
        if found.verdict is Verdict.UNDECIDED:
            yield f"Measure again: {found.component}, {found.why}."
    for answer in visit.body.answers:
        if answer.answer is AnswerKind.NOT_SEEN:
            yield f"Still to be looked at: {item_title(answer.item, visit.opened.rulebook)}."
    for state in visit.defects:
        if state.mended_on is None:
            yield _recheck(state)
    if visit.opened.history.load_path_opened:
        yield "Load test before return to service: parts of the load path were changed."
    if any(reason.startswith(NOT_TRUSTED) for reason in visit.standing.reasons):
        yield "It stays out of service until its logbook is put right; no return to service lifts that."
    elif visit.standing.fitness is Fitness.OUT_OF_SERVICE:
        yield "It stays out of service until its return to service is sealed."


def _recheck(state: DefectState) -> str:
    defect = state.defect
    if defect.grade is DefectGrade.STOPS_NOW:
        return f"{defect.id}: check it after the repair, before the hoist is used again."
    if defect.grade is DefectGrade.STOPS_FROM and defect.stops_on is not None:
        return f"{defect.id}: mend and check it before {defect.stops_on.isoformat()}."
    return f"{defect.id}: look at it again at the next inspection."
