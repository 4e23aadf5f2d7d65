"""Office records in words: told to whom, taken over from paper, taken in from another owner, retired."""

from collections.abc import Iterable, Iterator

from fieldlog.domain.history import DefectState
from fieldlog.domain.records import Entry, Notice, Retired, TakenIn, TakenOver
from fieldlog.domain.report_content import Fact
from fieldlog.operations.paper_units import METRIC, PaperUnits
from fieldlog.operations.reporting_measured import reading_words
from fieldlog.operations.reporting_words import fact


def fleet_facts(body: Notice | Retired | TakenIn | TakenOver, units: PaperUnits = METRIC) -> Iterator[Fact]:
    """What one of these records says; what it leaves empty is an empty fact."""
    match body:
        case Notice():
            yield fact("Defects", " ".join(body.defects))
            yield fact("Told", f"{body.whom}, {body.how}")
            yield fact("Remark", body.remark)
        case Retired():
            yield fact("Retired because", body.why)
            yield fact("Went to", body.went_to)
        case TakenIn():
            yield fact("From", body.from_shop)
            yield fact("Lines taken in", f"{body.lines}, up to {body.head}")
        case TakenOver():
            yield fact("Document", body.source)
            occasion = "" if body.occasion is None else body.occasion.value
            yield fact("Inspection on paper", occasion)
            yield fact("Reading on paper", "" if body.reading is None else reading_words(body.reading, units))
            yield fact("Remark", body.remark)


def told_words(state: DefectState, notices: Iterable[tuple[Entry, Notice]]) -> str:
    """Who was told of a defect, when and how, a line each; empty where nobody was.

    What was written at the inspection counts from the day on which the defect was seen.
    """
    defect = state.defect
    at_once = [f"{state.seen_on.isoformat()}: {defect.told}"] if defect.told else []
    later = [
        f"{body.done_on.isoformat()}: {body.whom}, {body.how}" + (f" ({body.remark})" if body.remark else "")
        for _, body in notices
        if defect.id in body.defects
    ]
    return "\n".join(at_once + later)
