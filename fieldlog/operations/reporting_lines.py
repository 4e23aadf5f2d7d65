"""Every kind of record in words, as a line of the logbook stands in its report."""

from collections.abc import Iterable, Iterator, Sequence

from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Finding
from fieldlog.domain.history import DefectState
from fieldlog.domain.records import (
    Answer,
    AnswerKind,
    BookValue,
    ChainFitted,
    Defect,
    Entry,
    ExpertConditions,
    Hoist,
    HoursLogged,
    Inspection,
    LabelPrinted,
    LoadTest,
    Mending,
    Notice,
    Retired,
    ReturnToService,
    SetIdle,
    Signature,
    StruckOut,
    TakenIn,
    TakenOver,
    Unknown,
    Withdrawal,
)
from fieldlog.domain.report_content import Fact
from fieldlog.domain.rules import Rulebook
from fieldlog.operations.paper_units import (
    METRIC,
    PaperUnits,
    shop_chain,
    shop_length,
    shop_long_length,
    shop_mass,
)
from fieldlog.operations.reporting_defects import item_title
from fieldlog.operations.reporting_fleet import fleet_facts, told_words
from fieldlog.operations.reporting_measured import (
    diameter_words,
    hook_words,
    pitch_words,
    reading_words,
    seen_words,
    tools_words,
    unused_words,
)
from fieldlog.operations.reporting_words import VERDICT_WORDS, fact, present, recorded
from fieldlog.store.codec import plain
from fieldlog.units import format_mm

Notices = Sequence[tuple[Entry, Notice]]
ANSWERS = (AnswerKind.DEFECT, AnswerKind.NOT_SEEN, AnswerKind.OK, AnswerKind.NOT_APPLICABLE)


def line_facts(
    entry: Entry, rulebook: Rulebook, units: PaperUnits = METRIC, notices: Notices = ()
) -> tuple[Fact, ...]:
    """Everything that one line says; what it leaves empty is left out.

    Beside each defect stands who was told of it by `notices`, the logbook's own, and marked where nobody was.
    """
    return present(_facts(entry, rulebook, units, notices))


def _facts(  # noqa: PLR0911, PLR0912 (one kind, one return)
    entry: Entry, rulebook: Rulebook, units: PaperUnits, notices: Notices
) -> Iterable[Fact]:
    match entry.body:
        case Hoist() as body:
            return _hoist(body, units)
        case Inspection() as body:
            return (
                *_inspection(body, units),
                *_defects(entry, body, rulebook, notices),
                *_answers(body, rulebook),
            )
        case Withdrawal() as body:
            return (fact("Reason", body.reason), fact("Lock or tag", body.lock))
        case Mending() as body:
            return _mending(body)
        case ChainFitted() as body:
            return _chain(body, units)
        case LoadTest() as body:
            return _load_test(body, units)
        case ReturnToService() as body:
            return _return(body)
        case LabelPrinted() as body:
            return (fact("Label", _label(body)),)
        case StruckOut() as body:
            return (fact("Strikes out", body.line), fact("Why", body.why))
        case Signature() as body:
            return _signature(body)
        case HoursLogged() as body:
            return _hours(body)
        case SetIdle() as body:
            return _idle(body)
        case ExpertConditions() as body:
            return _conditions(body)
        case Notice() | Retired() | TakenIn() | TakenOver() as body:
            return fleet_facts(body, units)
        case Unknown() as body:
            return _unknown(body.name, body.data)
        case _ as other:
            return _unknown(other.kind, plain(other))


def _yes_no(answer: bool) -> str:
    return "yes" if answer else "no"


def _unknown(name: str, data: dict[str, object]) -> Iterator[Fact]:
    """A record of a later version: kept, and shown as it stands."""
    yield fact("Kind", f"{name}, which this fieldlog does not know")
    for key, value in data.items():
        yield fact(str(key), str(value))


def _hoist(body: Hoist, units: PaperUnits) -> Iterator[Fact]:
    yield fact("Hoist", f"{body.maker} {body.model}, serial {body.serial}")
    yield fact("Year made", "" if body.year is None else str(body.year))
    capacity = f"{shop_mass(body.capacity_kg, units)}, {counted(body.falls, 'fall')}"
    yield fact("Drive, capacity", f"{body.drive}, {capacity}")
    yield fact("Lift", shop_long_length(body.lift_mm, units))
    yield fact("Load chain", shop_chain(body.chain, units))
    yield fact("Maker's book", "" if body.book is None else _book(body.book, units))
    yield fact("Hook throat as new", shop_length(body.hook_throat_mm, units))
    has = {
        "limit switches": body.limit_switches,
        "container": body.container,
        "overload device": body.overload_device,
        "trolley": body.trolley,
        "lifts persons": body.lifts_persons,
    }
    yield fact("Has", ", ".join(name for name, there in has.items() if there) or "none of the extras")
    yield fact("Hangs at", f"{body.site}, {body.place}" if body.place else body.site)
    yield fact("Service, group", f"{body.service}, {body.group}" if body.group else body.service)
    yield fact("Rulebook", body.rulebook)


def _book(book: BookValue, units: PaperUnits) -> str:
    lengths = [
        f"as new {shop_length(book.length_mm, units)}" if book.length_mm is not None else "",
        f"discard at {shop_length(book.discard_mm, units)}" if book.discard_mm is not None else "",
    ]
    told = ", ".join(filter(None, lengths))
    return f"{book.links} links {book.basis}: {told} ({book.document})"


def _inspection(body: Inspection, units: PaperUnits) -> Iterator[Fact]:
    yield fact("Kind and occasion", body.occasion)
    yield fact("Judged by", f"rulebook {body.rulebook}, edition {body.edition}")
    yield fact("Chain readings", _below(reading_words(held, units) for held in body.readings))
    yield fact("Measured with", _below(tools_words(body.readings)))
    yield fact("Diameters", _below(diameter_words(held, units) for held in body.diameters))
    yield fact("Single links", _below(pitch_words(held, units) for held in body.pitches))
    yield fact("Unused links", "" if body.unused is None else unused_words(body.unused, units))
    yield fact("Hooks", _below(hook_words(held, units) for held in body.hooks))
    yield fact("Read on the hoist", seen_words(body, units))
    yield fact("Findings", _below(map(_finding, body.findings)))
    yield fact("By rule", _below(f"{found.criterion}: {found.source}" for found in body.findings))


def _defects(entry: Entry, body: Inspection, rulebook: Rulebook, notices: Notices) -> Iterator[Fact]:
    """Each defect that the line reports, and who was told of it."""
    for held in body.defects:
        yield fact(f"Defect {held.id}", _defect(held, rulebook))
        state = DefectState(defect=held, seen_on=body.done_on, entry=entry.number)
        yield Fact(label=f"{held.id} told", words=recorded(told_words(state, notices)))


def _answers(body: Inspection, rulebook: Rulebook) -> Iterator[Fact]:
    for kind in ANSWERS:
        given = [answer for answer in body.answers if answer.answer is kind]
        yield fact(f"{kind.capitalize()}, {len(given)}", _by_section(given, rulebook))
    yield fact("Remark", body.remark)


def _below(lines: Iterable[str]) -> str:
    """The lines below each other, each once."""
    return "\n".join(dict.fromkeys(lines))


def _by_section(given: Iterable[Answer], rulebook: Rulebook) -> str:
    """The items answered alike, a line for each section of the checklist."""
    sections = {item.id: rulebook.sections.get(item.section, item.section) for item in rulebook.items}
    grouped: dict[str, list[str]] = {}
    for answer in given:
        words = item_title(answer.item, rulebook) + (f" ({answer.note})" if answer.note else "")
        grouped.setdefault(sections.get(answer.item, "Another edition"), []).append(words)
    return "\n".join(f"{title} ({len(items)}): {'; '.join(items)}" for title, items in grouped.items())


def _finding(found: Finding) -> str:
    verdict = VERDICT_WORDS[found.verdict]
    return f"{verdict}: {found.component}, {found.why}"


def _defect(held: Defect, rulebook: Rulebook) -> str:
    where = f" ({held.where})" if held.where else ""
    parts = [
        f"{item_title(held.item, rulebook)}: {held.what}{where}",
        f"{held.grade} {held.stops_on.isoformat()}" if held.stops_on is not None else held.grade,
        f"remedy: {held.remedy}" if held.remedy else "",
        "risk of serious injury" if held.serious else "",
    ]
    return "; ".join(filter(None, parts))


def _mending(body: Mending) -> Iterator[Fact]:
    yield fact("Mended", ", ".join(body.defects))
    yield fact("Part or work", body.work)
    yield fact("Checked by", body.checked_by)
    yield fact("Load path opened", _yes_no(body.load_path))


def _chain(body: ChainFitted, units: PaperUnits) -> Iterator[Fact]:
    yield fact("Chain fitted", shop_chain(body.chain, units))
    yield fact("Length", shop_long_length(body.length_mm, units))
    yield fact("Certificate", body.certificate)
    yield fact("Wheel and guides too", _yes_no(body.wheel_and_guides_too))
    yield fact("Why only a part", body.why_part_only)
    yield fact("Why another size", body.why_other_size)
    length = shop_length(body.baseline_mm, units)
    over = f"over {body.baseline_links} links {body.baseline_basis}"
    yield fact("Baseline", f"{length} {over}" if length else "")
    yield fact("Mends", ", ".join(body.defects_mended))


def _label(body: LabelPrinted) -> str:
    copies = f", {body.copies} copies" if body.copies > 1 else ""
    return f"{body.label}: {body.says}, on {body.template}{copies}, printed from head {body.head}"


def _load_test(body: LoadTest, units: PaperUnits) -> Iterator[Fact]:
    loads = f"required {shop_mass(body.required_kg, units)}, reached {shop_mass(body.reached_kg, units)}"
    yield fact("Load test", f"{loads}: {'passed' if body.passed else 'NOT PASSED'}")
    yield fact("Findings", _below(map(_finding, body.findings)))
    yield fact("Remark", body.remark)


def _return(body: ReturnToService) -> Iterator[Fact]:
    yield fact("Guards on, tools out", _yes_no(body.guards_on_tools_out))
    yield fact("Locks put on by", body.locks_put_on_by)
    yield fact("Locks removed by", body.locks_removed_by)
    yield fact("Removal let by", body.locks_authorised_by)
    yield fact("Test", body.test)
    yield fact("Remark", body.remark)


def _signature(body: Signature) -> Iterator[Fact]:
    yield fact("Signs line", body.line)
    yield fact("As", body.principal)
    yield fact("With key", body.key)
    yield fact("Signature", body.signature)


def _hours(body: HoursLogged) -> Iterator[Fact]:
    since = f" since {body.since.isoformat()}" if body.since is not None else ""
    what = "the counter reads" if body.total else "run"
    yield fact("Running hours", f"{what} {format_mm(body.hours)} h{since}")
    yield fact("New counter", "yes" if body.new_counter else "")
    yield fact("Load spectrum", body.spectrum if body.km is None else f"km {format_mm(body.km)}")
    yield fact("How it is known", body.factor)
    yield fact("Remark", body.remark)


def _idle(body: SetIdle) -> Iterator[Fact]:
    until = f" until {body.until_on.isoformat()}" if body.until_on is not None else ""
    yield fact("Out of use", f"from {body.from_on.isoformat()}{until}")
    yield fact("Why", body.why)


def _conditions(body: ExpertConditions) -> Iterator[Fact]:
    yield fact("Set by", body.by_whom)
    yield fact("Conditions", body.conditions)
    yield fact("Until", "" if body.until is None else body.until.isoformat())
    yield fact("Document", body.document)
