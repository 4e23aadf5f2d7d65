"""One job from tag to sticker without a terminal, each step said in one line and checked on the spot."""

import json
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from msgspec import Struct

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.label_content import DUE, TAG
from fieldlog.domain.records import DefectGrade, InspectionKind
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import FieldlogError, RefusedError
from fieldlog.operations.assessing import ReadingView, assess
from fieldlog.operations.drafting import DefectDraft, InspectionDraft, ReadingDraft, begin_inspection
from fieldlog.operations.finding import find_tag
from fieldlog.operations.hoist_page import HoistPage, hoist_page
from fieldlog.operations.inspecting import preview, seal_inspection
from fieldlog.operations.paper import content as label_content
from fieldlog.operations.paper import note_printed
from fieldlog.operations.registering import register_hoist
from fieldlog.operations.setting_up import set_up
from fieldlog.operations.shop import OpenHoist, Shop, new_uid, open_hoist, open_shop
from fieldlog.printing.labels import render
from fieldlog.printing.templates import load_template
from fieldlog.units import format_mm

from .hands import Found, Visit, answer_items
from .works import read_works

INSPECTOR = "Ada Fenn"
GENESIS = "0" * 64
TAG_SHEET, STICKER_ROLL = "a4-3x8-70x37", "roll-62"
TAG_FILE, STICKER_FILE = "tag.pdf", "sticker.pdf"
CALIPER = "caliper-0.05"
SLIP, MEANT = "252,3", "231,3"
"""A reading over one link too many, and the same over the eleven that were meant."""
READINGS = (MEANT, "231.15 mm", "9 7/64 in")
PLATE = {
    "maker": "Brackenhaul",
    "model": "Teal 10",
    "serial": "BH/T10/4471",
    "drive": "electric",
    "capacity": "1 t",
    "falls": "1",
    "lift": "6",
    "chain": "7x21",
    "grade": "T",
    "hook_throat": "34",
    "limit_switches": "yes",
    "container": "yes",
    "overload_device": "yes",
    "trolley": "no",
    "lifts_persons": "no",
    "group": "M5",
    "site": "filter house",
    "place": "new lifting beam",
    "service": "normal",
}
BENT_LATCH = DefectDraft(
    what="latch bent, does not reach the tip",
    where="lower hook",
    grade=DefectGrade.STOPS_NOW,
    remedy="new latch",
    told="shift leader of the filter house",
)


class WalkError(FieldlogError):
    """A step of the walk did not do what it must."""


class _Walk(Struct, frozen=True, kw_only=True):
    """The walk on its way: where its papers go, and who walks."""

    folder: Path
    shop: Shop
    visit: Visit
    tag: str = ""


def _must(holds: bool, what: str) -> None:
    if not holds:
        raise WalkError(f"the walk stopped, because this does not hold: {what}")


def _numbered(say: Callable[[str], None]) -> Callable[[str], None]:
    numbers: Iterator[int] = iter(range(1, 100))
    return lambda text: say(f"{next(numbers):>2}. {text}")


def walk(folder: Path, moment: datetime, say: Callable[[str], None]) -> int:
    """Do one whole job in a fresh shop in `folder`/store, leave its papers in `folder`; 0 when all went well.

    Each step goes through `say` as one numbered line. WalkError, or what an operation raises, names in one
    sentence the step that did not do what it must.
    """
    step = _numbered(say)
    visit = Visit(by=INSPECTOR, now=moment)
    shop = open_shop(folder / "store")
    _open_the_shop(shop, visit, step)
    tag = _register(shop, visit, step)
    walker = _Walk(folder=folder, shop=shop, visit=visit, tag=tag)
    _find(walker, step)
    _inspect_before_use(walker, step)
    _show_state(walker, step)
    _print(walker, TAG, TAG_SHEET, TAG_FILE, step)
    _print(walker, DUE, STICKER_ROLL, STICKER_FILE, step)
    _find_a_defect(walker, step)
    _refuse_sticker(walker, step)
    _hand_over_logbook(walker, step)
    return 0


def _open_the_shop(shop: Shop, visit: Visit, step: Callable[[str], None]) -> None:
    works = read_works()
    texts = {"shop": works.shop, "prefix": works.prefix, "rulebook": works.rulebook, "person": visit.by}
    held = set_up(shop, texts, login="demo", now=visit.now)
    step(f"{held.shop} opens its store in {shop.root}, rulebook {held.rulebook}, {visit.by} at the keys.")


def _register(shop: Shop, visit: Visit, step: Callable[[str], None]) -> str:
    texts = {**PLATE, "year": str(visit.day.year)}
    hoist = register_hoist(shop, texts, by=visit.by, now=visit.now, today=visit.day, uid=new_uid())
    page = hoist_page(shop, hoist.id, visit.day)
    _must(page.standing.fitness is Fitness.OUT_OF_SERVICE, "a hoist never inspected may not be used")
    step(
        f"A new hoist is registered: {hoist.maker} {hoist.model}, 7 x 21 chain. It gets the tag {hoist.id}"
        " and may not be used before its first inspection."
    )
    return hoist.id


def _find(walker: _Walk, step: Callable[[str], None]) -> None:
    known = walker.shop.logbooks.hoist_names()
    mistyped = walker.tag[:-1] + ("A" if walker.tag[-1] != "A" else "B")
    missed = find_tag(mistyped, known)
    _must(not missed.id and walker.tag in missed.near, "a mistyped tag opens nothing and offers the near one")
    step(f"{mistyped} is typed: {missed.sentence}; near: {', '.join(missed.near)}.")
    quick = walker.tag.lower().replace("-", "")
    _must(find_tag(quick, known).id == walker.tag, "the tag is found however it is typed")
    _must(find_tag(f"FL:{walker.tag}", known).id == walker.tag, "the scanned code finds the hoist")
    step(f"{quick} is typed, or the code scanned: {walker.tag} opens.")


def _view(walker: _Walk, opened: OpenHoist, content: InspectionDraft, reading: ReadingDraft) -> ReadingView:
    views = assess(walker.shop, opened, content, today=walker.visit.day).readings
    return next(view for view in views if view.place == reading.place)


def _verdict_words(text: str, view: ReadingView) -> str:
    verdict = view.verdict
    if verdict is None or verdict.growth_mm is None or verdict.used_pct is None:
        raise WalkError(f"the walk stopped: no verdict on {text}: {view.problem}")
    return (
        f"{text} at {view.place}: grown {format_mm(verdict.growth_mm)} of"
        f" {format_mm(verdict.allowance.growth_mm)} mm allowed, {verdict.used_pct:.0f} % used:"
        f" {verdict.finding.verdict}."
    )


def _type_readings(
    walker: _Walk, opened: OpenHoist, content: InspectionDraft, step: Callable[[str], None]
) -> None:
    first, *others = content.readings
    first.text = SLIP
    slipped = _view(walker, opened, content, first)
    _must(bool(slipped.questions), "a reading over a link too many is questioned")
    refused = preview(walker.shop, opened, content, today=walker.visit.day)
    _must(refused.body is None, "nothing is sealed while a question stands")
    step(f"{SLIP} is typed at {first.place}, and questioned: {' '.join(slipped.questions)}")
    first.text = READINGS[0]
    step(f"Corrected: {_verdict_words(first.text, _view(walker, opened, content, first))}")
    for reading, text in zip(others, READINGS[1:], strict=True):
        reading.text = text
        view = _view(walker, opened, content, reading)
        _must(view.verdict is not None and view.verdict.finding.verdict is Verdict.KEEP, f"{text} is kept")
        step(_verdict_words(text, view))


def _inspect_before_use(walker: _Walk, step: Callable[[str], None]) -> None:
    shop, visit = walker.shop, walker.visit
    opened = open_hoist(shop, walker.tag)
    kind = InspectionKind.FIRST_USE
    draft, content = begin_inspection(shop, opened, kind, by=visit.by, now=visit.now, today=visit.day)
    content.instrument = CALIPER
    _type_readings(walker, opened, content, step)
    content.d1, content.d2, content.hook.throat = "7", "6,95", "34.1"
    answer_items(opened, content)
    ready = preview(shop, opened, content, today=visit.day)
    _must(ready.body is not None, "; ".join(map(str, ready.problems)))
    entry = seal_inspection(shop, draft, content, by=visit.by, now=visit.now, today=visit.day)
    _must(open_hoist(shop, walker.tag).head == entry.line, "the logbook ends with the sealed line")
    step(f"All items are answered; {visit.by} seals it: line {entry.number}, hash {entry.line[:10]}.")


def _page(walker: _Walk) -> HoistPage:
    return hoist_page(walker.shop, walker.tag, walker.visit.day)


def _show_state(walker: _Walk, step: Callable[[str], None]) -> None:
    page = _page(walker)
    _must(page.standing.fitness is Fitness.IN_SERVICE, "the hoist is in service after its first inspection")
    dues = [f"{due.inspection} {due.due_on.isoformat()}" for due in page.summary.dues]
    _must(bool(dues), "the next inspections have a date")
    step(f"{walker.tag} is {page.standing.fitness}; next: {', '.join(dues)}.")


def _print(walker: _Walk, kind: str, sheet: str, file: str, step: Callable[[str], None]) -> None:
    visit = walker.visit
    label = label_content(walker.shop, walker.tag, kind, today=visit.day)
    title = f"{kind} {walker.tag}"
    template = load_template(sheet)
    printed = render([label], template, title=title, author=visit.by)
    path = walker.folder / file
    path.write_bytes(printed.pdf)
    _must(path.read_bytes().startswith(b"%PDF-"), f"{path} is a PDF")
    note_printed(walker.shop, label, template.name, by=visit.by, now=visit.now, today=visit.day)
    says = f"due {label.texts['due']}" if kind == DUE else label.texts["id"]
    step(f"{path}: the {kind} {'sticker' if kind == DUE else 'label'} ({says}) on {template.title}.")


def _find_a_defect(walker: _Walk, step: Callable[[str], None]) -> None:
    shop, visit = walker.shop, walker.visit
    opened = open_hoist(shop, walker.tag)
    kind = InspectionKind.FREQUENT
    draft, content = begin_inspection(shop, opened, kind, by=visit.by, now=visit.now, today=visit.day)
    for reading, text in zip(content.readings, READINGS, strict=True):
        reading.text = text
    answer_items(opened, content, Found(defects={"hook-latch": BENT_LATCH}))
    seal_inspection(shop, draft, content, by=visit.by, now=visit.now, today=visit.day)
    page = _page(walker)
    _must(page.standing.fitness is Fitness.OUT_OF_SERVICE, "a stopping defect takes the hoist out of service")
    why = page.standing.reasons[0]
    step(f"A frequent check finds a defect: {walker.tag} is {page.standing.fitness} ({why}).")


def _refuse_sticker(walker: _Walk, step: Callable[[str], None]) -> None:
    try:
        label_content(walker.shop, walker.tag, DUE, today=walker.visit.day)
    except RefusedError as refusal:
        step(f"A due sticker is refused: {refusal}.")
        return
    raise WalkError("the walk stopped: a due sticker was given in spite of a stopping defect")


def _hand_over_logbook(walker: _Walk, step: Callable[[str], None]) -> None:
    """Copy the logbook and check its chain from the copy's bytes alone."""
    name = f"{walker.tag}.jsonl"
    copy = walker.folder / name
    shutil.copyfile(walker.shop.root / "logbooks" / name, copy)
    lines = copy.read_bytes().splitlines(keepends=True)
    before = GENESIS
    for line in lines:
        _must(json.loads(line)["prev"] == before, f"each line of {copy} names the SHA-256 of the one before")
        before = sha256(line).hexdigest()
    _must(before == _page(walker).head, "the last line is the head of the logbook")
    step(f"{copy}: the sealed logbook, {len(lines)} lines, chain checked with SHA-256, head {before[:10]}.")
