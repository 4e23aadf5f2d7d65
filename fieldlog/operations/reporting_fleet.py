"""Office records in words: told to whom, taken over from paper, taken in from another owner, retired."""

from collections.abc import Iterator

from fieldlog.domain.records import Notice, Retired, TakenIn, TakenOver
from fieldlog.domain.report_content import Fact
from fieldlog.operations.reporting_measured import reading_words
from fieldlog.operations.reporting_words import fact


def fleet_facts(body: Notice | Retired | TakenIn | TakenOver) -> Iterator[Fact]:
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
            yield fact("Reading on paper", "" if body.reading is None else reading_words(body.reading))
            yield fact("Remark", body.remark)
