"""An inspection is sealed once, whole and under the right name; nothing typed is lost on the way."""

import json
from datetime import date
from decimal import Decimal
from hashlib import sha256
from pathlib import Path

import pytest
from msgspec.structs import replace

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.functions import item_of
from fieldlog.domain.records import AnswerKind, Basis, InspectionKind
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import IncompleteError
from fieldlog.operations.drafting import AnswerDraft, DefectDraft, kept_drafts
from fieldlog.operations.due import due_list
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.inspecting import (
    LEAST_PLACES,
    preview,
    seal_inspection,
)
from fieldlog.operations.shop import Shop, open_shop
from tests.operations.builder import (
    ADA,
    CALIPER,
    NOW,
    RULE,
    TODAY,
    begin,
    body_of,
    fill,
    inspect,
    ready_shop,
    register,
    verdicts,
    with_instrument,
)

FIRST = InspectionKind.FIRST_USE
ELONGATION = "load chain elongation"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


def refused(shop: Shop, **changes: object) -> list[str]:
    """What stands in the way of a whole inspection after `changes` to its draft; nothing is sealed."""
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    for name, value in changes.items():
        setattr(content, name, value)
    with pytest.raises(IncompleteError) as error:
        seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    assert len(shop.logbooks.read(opened.hoist.id).entries) == 1
    assert [kept.uid for kept in kept_drafts(shop)] == [draft.uid]
    return [str(problem) for problem in error.value.problems]


def test_it_becomes_one_line_that_hangs_on_the_line_before(shop: Shop) -> None:
    hoist = register(shop)
    entry = inspect(shop, hoist.id)
    lines = (shop.root / "logbooks" / f"{hoist.id}.jsonl").read_bytes().splitlines(keepends=True)
    # SHA-256 over the exact bytes of the line before (FIPS 180-4, as hashlib has it)
    assert [json.loads(line)["prev"] for line in lines] == ["0" * 64, sha256(lines[0]).hexdigest()]
    assert entry.line == sha256(lines[1]).hexdigest()
    assert (entry.number, entry.by, entry.at) == (2, ADA, NOW)
    assert kept_drafts(shop) == []


def test_the_record_holds_what_was_typed_and_under_which_rules(shop: Shop) -> None:
    hoist = register(shop)
    with_instrument(shop, "C1")
    opened, draft, content = begin(shop, hoist.id, FIRST)
    fill(shop, opened, content, readings=("6 17/32 in", "165,9", "166.1 mm"))
    content.remark = "  came in clean  "
    content.diameter_instrument = " C1 "
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert (body.occasion, body.done_on, body.rulebook, body.edition) == (
        FIRST,
        TODAY,
        "general",
        opened.rulebook.edition,
    )
    assert [reading.typed for reading in body.readings] == ["6 17/32 in", "165,9", "166.1 mm"]
    # 6 17/32 in is 165.89375 mm: 1 in = 25.4 mm (international yard and pound agreement, 1959)
    assert [reading.value_mm for reading in body.readings] == [
        Decimal("165.89375"),
        Decimal("165.9"),
        Decimal("166.1"),
    ]
    assert {reading.instrument for reading in body.readings} == {CALIPER}
    assert [(d.d1_mm, d.d2_mm, d.instrument) for d in body.diameters] == [(Decimal("4.9"), Decimal(5), "C1")]
    assert [hook.throat_mm for hook in body.hooks] == [Decimal("30.5")]
    assert len([finding for finding in body.findings if not item_of(finding)]) == 5
    assert body.remark == "came in clean"
    assert all(finding.source and finding.edition == body.edition for finding in body.findings)


def test_after_it_the_hoist_is_in_service_and_due_again(shop: Shop) -> None:
    """A month and a year after 2026-11-25, to the day (calendar rule, as dateutil counts)."""
    hoist = register(shop)
    assert hoist_page(shop, hoist.id, TODAY).standing.fitness is Fitness.OUT_OF_SERVICE
    inspect(shop, hoist.id)
    page = hoist_page(shop, hoist.id, TODAY)
    assert page.standing.fitness is Fitness.IN_SERVICE
    assert {due.inspection: due.due_on for due in page.summary.dues} == {
        InspectionKind.FREQUENT: date(2026, 12, 25),
        InspectionKind.PERIODIC: date(2027, 11, 25),
    }


def test_the_preview_shows_what_sealing_then_does(shop: Shop) -> None:
    hoist = register(shop)
    opened, draft, content = begin(shop, hoist.id, FIRST)
    fill(shop, opened, content, defects={"lower-guide": DefectDraft(what="edge broken")})
    ready = preview(shop, opened, content, today=TODAY)
    assert ready.body is not None
    assert ready.after is not None
    assert ready.standing is not None
    assert ready.standing.fitness is Fitness.OUT_OF_SERVICE
    assert len(shop.logbooks.read(hoist.id).entries) == 1
    entry = seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    page = hoist_page(shop, hoist.id, TODAY)
    assert entry.body == ready.body
    assert page.standing == ready.standing
    assert page.summary == replace(ready.after, head=entry.line)


@pytest.mark.parametrize("readings", [("165.4", "", ""), ("165.4", "165.6", "")])
def test_fewer_than_three_places_are_refused(shop: Shop, readings: tuple[str, ...]) -> None:
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content, readings=readings)
    (problem,) = preview(shop, opened, content, today=TODAY).problems
    taken = sum(map(bool, readings))
    assert problem.wrong == f"{taken} of at least {LEAST_PLACES} different places measured."
    assert "usual working height" in problem.todo


def test_one_place_measured_three_times_is_one_place(shop: Shop) -> None:
    opened, _, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    for reading in content.readings:
        reading.place = "hook end"
    (problem,) = preview(shop, opened, content, today=TODAY).problems
    assert problem.wrong.startswith("1 of at least 3 different places")


def test_not_measured_at_all_is_not_seen_and_never_a_pass(shop: Shop) -> None:
    hoist = register(shop)
    unseen = {"chain-elongation": AnswerKind.NOT_SEEN, "upper-guide": AnswerKind.NOT_SEEN}
    opened, draft, content = begin(shop, hoist.id, FIRST)
    fill(shop, opened, content, readings=("", "", ""), answers=unseen)
    ready = preview(shop, opened, content, today=TODAY)
    assert set(ready.not_seen) == {"Elongation over n links", "Upper guide: cracks at the top"}
    seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    page = hoist_page(shop, hoist.id, TODAY)
    assert page.standing.fitness is Fitness.LIMITED
    assert any("not seen: Upper guide" in reason for reason in page.standing.reasons)
    assert any("not seen" in why for why in page.summary.sticker_refusals)


def test_an_undecided_reading_limits_the_hoist(shop: Shop) -> None:
    """167.1 mm by a steel rule of class II: 2.1 + 0.4749 mm reaches 2.475 mm (UK SI 2016/1153, DOE ch. 8)."""
    hoist = register(shop)
    body = body_of(inspect(shop, hoist.id, readings=("165.4", "167.1", "165.9"), instrument=RULE))
    assert verdicts(body, ELONGATION) == [Verdict.KEEP, Verdict.UNDECIDED, Verdict.KEEP]
    standing = hoist_page(shop, hoist.id, TODAY).standing
    assert standing.fitness is Fitness.LIMITED
    assert any("measure again with a finer tool" in reason for reason in standing.reasons)


def test_a_discard_verdict_takes_the_hoist_out_of_service(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=("165.4", "167.475", "165.9"))
    standing = hoist_page(shop, hoist.id, TODAY).standing
    assert standing.fitness is Fitness.OUT_OF_SERVICE
    assert any("grown 2.475 of 2.475 mm allowed" in reason for reason in standing.reasons)


def test_the_instrument_is_needed_for_figures(shop: Shop) -> None:
    said = refused(shop, instrument="")
    assert len([text for text in said if "choose the instrument first" in text]) == 3


def test_a_tool_out_of_calibration_is_taken_and_flagged_in_the_record(shop: Shop) -> None:
    with_instrument(shop, "C1", calibrated_on=date(2024, 5, 1), interval_months=12)
    with_instrument(shop, "C2", passed=False, calibrated_on=date(2026, 5, 1))
    hoist = register(shop)
    for name, state in (
        ("C1", "out of calibration since 2025-05-01"),
        ("C2", "failed calibration on 2026-05-01"),
    ):
        body = body_of(inspect(shop, hoist.id, instrument=name))
        assert {(r.instrument, r.instrument_state) for r in body.readings} == {(name, state)}


def test_a_bare_type_is_flagged_as_no_tool_of_the_shop(shop: Shop) -> None:
    body = body_of(inspect(shop, register(shop).id))
    assert {reading.instrument_state for reading in body.readings} == {"not in the tool register"}


@pytest.mark.parametrize(("touch", "verdict"), [(False, Verdict.KEEP), (True, Verdict.DISCARD)])
def test_a_gauge_seals_no_figure_and_no_instrument(shop: Shop, touch: bool, verdict: Verdict) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    content.basis = Basis.GAUGE
    for reading in content.readings:
        reading.touch = touch
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert verdicts(body, ELONGATION) == [verdict] * 3
    assert {(r.both_ends_touch, r.value_mm, r.instrument, r.instrument_state) for r in body.readings} == {
        (touch, None, "", "")
    }


def test_questions_are_confirmed_or_corrected_and_stand_in_the_record(shop: Shop) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content, readings=("164.9", "165.6", "165.8"))
    (problem,) = preview(shop, opened, content, today=TODAY).problems
    assert "shorter than new (165 mm)" in problem.wrong
    assert problem.todo == "Confirm it or correct it."
    content.readings[0].confirmed.append(problem.wrong)
    content.readings[1].confirmed.append("a question about a figure that was corrected since")
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert [reading.questions_confirmed for reading in body.readings] == [(problem.wrong,), (), ()]


def test_questions_about_the_whole_are_confirmed_and_stand_in_the_record(shop: Shop) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content, readings=("165.4", "165.4", "165.4"))
    content.d2, content.remark = "5.6", "came in clean"
    asked = preview(shop, opened, content, today=TODAY)
    assert [problem.wrong for problem in asked.problems] == list(asked.questions)
    alike, thick = asked.questions
    content.confirmed.append(alike)
    assert preview(shop, opened, content, today=TODAY).questions == (thick,)
    content.confirmed.append(thick)
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert {reading.questions_confirmed for reading in body.readings} == {(alike,)}
    assert body.remark == f"came in clean\nConfirmed: {thick}"


@pytest.mark.parametrize(
    ("done_on", "said"),
    [("2026-11-26", "lies in the future"), ("25.11.2026", "could be more than one day"), ("", "is empty")],
)
def test_a_day_that_can_not_be_is_refused(shop: Shop, done_on: str, said: str) -> None:
    (problem,) = refused(shop, done_on=done_on)
    assert said in problem


def test_a_day_before_the_last_sealed_inspection_is_asked_about_once(shop: Shop) -> None:
    hoist = register(shop, day=date(2026, 11, 1))
    inspect(shop, hoist.id, day=date(2026, 11, 20))
    opened, draft, content = begin(shop, hoist.id)
    fill(shop, opened, content)
    content.done_on = "2026-11-19"
    asked = preview(shop, opened, content, today=TODAY)
    (question,) = asked.questions
    assert "lies before the inspection sealed for 2026-11-20" in question
    content.confirmed.append(question)
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    assert body.done_on == date(2026, 11, 19)
    assert question in body.remark


def test_the_history_is_the_same_after_the_register_is_deleted(shop: Shop) -> None:
    hoist = register(shop)
    inspect(shop, hoist.id, readings=("165.4", "167.1", "165.9"))
    before = due_list(shop, TODAY)
    (shop.root / "register.json").unlink()
    after = due_list(open_shop(shop.root), TODAY)
    assert after == before
    assert after[0].used_pct == Decimal("84.8")  # 2.1 of 2.475 mm


def test_an_answer_may_carry_a_note_of_its_own(shop: Shop) -> None:
    opened, draft, content = begin(shop, register(shop).id)
    fill(shop, opened, content)
    content.answers["labels"] = AnswerDraft(answer=AnswerKind.NOT_APPLICABLE, note="new paint, labels come")
    body = body_of(seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY))
    answer = next(answer for answer in body.answers if answer.item == "labels")
    assert (answer.answer, answer.note) == (AnswerKind.NOT_APPLICABLE, "new paint, labels come")
