"""Who made an inspection, and the seal of its record: what makes a report one that can be checked."""

from collections.abc import Mapping

from fieldlog.domain.records import Signature
from fieldlog.domain.report_content import Block, Fact, Facts, SignatureLine, Signatures
from fieldlog.errors import Problem
from fieldlog.operations.reporting_particulars import asked, employer_address
from fieldlog.operations.reporting_visit import Visit
from fieldlog.operations.reporting_words import UNSIGNED, fact, moment, present, recorded, short, small

HOW_TO_CHECK = (
    "Each line of the logbook names the SHA-256 of the line before it, so that this hash, kept on paper,"
    " shows any later change to this line or to one before it."
)


def seal_blocks(visit: Visit, lacks: Mapping[str, Problem]) -> tuple[Block, ...]:
    """Examiner, seal, and the lines to sign on."""
    return (
        Facts(rows=_examiner(visit, lacks)),
        Signatures(lines=_lines(visit)),
        Facts(rows=_seal(visit)),
        small(HOW_TO_CHECK),
    )


def _given(label: str, text: str, key: str, lacks: Mapping[str, Problem]) -> Fact | None:
    if text:
        return fact(label, text)
    return Fact(label=label, words=recorded("")) if key in lacks else None


def _examiner(visit: Visit, lacks: Mapping[str, Problem]) -> tuple[Fact, ...]:
    person = visit.person
    alone = person is not None and person.self_employed
    return present(
        (
            fact("Examined and reported by", visit.entry.by),
            _given("Qualification", "" if person is None else person.qualification, "qualification", lacks),
            _given("Address", "" if person is None else person.address, "examiner-address", lacks),
            fact("Employer", "self-employed")
            if alone
            else _given("Employer", "" if person is None else person.employer, "employer", lacks),
            None
            if alone
            else _given("Employer's address", employer_address(visit), "employer-address", lacks),
        )
    )


def _lines(visit: Visit) -> tuple[SignatureLine, ...]:
    examiner = SignatureLine(
        role="Signed by the examiner", name=visit.entry.by, says="I made this inspection and this report."
    )
    if not any(particular.field == "owner-knows" for particular in asked(visit)):
        return (examiner,)
    owner = "" if visit.site is None else visit.site.owner
    return (
        examiner,
        SignatureLine(
            role="For the owner", name=owner, says="I know the result and the defects, and have them mended."
        ),
    )


def signature_words(signature: Signature | None) -> str:
    """Who signed the line with which key, or that nobody did. Checking it is not a report's work."""
    if signature is None:
        return UNSIGNED
    return f"signed by {signature.principal} with key {signature.key}; 'fieldlog verify' checks it"


def _seal(visit: Visit) -> tuple[Fact, ...]:
    entry, last = visit.entry, visit.read_to
    return (
        fact("Sealed", f"{moment(entry.at)} by {entry.by}"),
        fact("Signature", signature_words(visit.signature)),
        fact("Line of the logbook", f"{visit.hoist.id}, line {entry.number}"),
        fact("SHA-256 of that line", entry.line),
        fact("Logbook read to", f"line {last.number}, head {short(last.line)}"),
    )
