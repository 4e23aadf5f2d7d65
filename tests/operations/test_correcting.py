"""A struck record counts no longer for state, trend and dues; both records stay to be seen."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from fieldlog.domain.records import (
    AnswerKind,
    DefectGrade,
    Entry,
    InspectionKind,
    Signature,
    StruckOut,
)
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import ConflictError, InputError, NotFoundError, RefusedError
from fieldlog.operations.correcting import begin_right_one, find_line, strike_and_redo, strike_out
from fieldlog.operations.drafting import DefectDraft, kept_drafts, read_inspection
from fieldlog.operations.due import due_list
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.inspecting import seal_inspection
from fieldlog.operations.shop import Shop, append, open_hoist
from fieldlog.store.logbooks import Logbooks
from tests.operations.builder import ADA, BEN, NOW, TODAY, body_of, inspect, ready_shop, register, with_ben

WHY = "measured on the hoist beside it"
BEFORE = TODAY - timedelta(days=400)
WORN = ("166.9", "167.0", "167.1")  # 2.1 of 2.475 mm allowed: 85 %, watch
CRACK = DefectDraft(what="hook cracked", grade=DefectGrade.STOPS_NOW, where="saddle")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return ready_shop(tmp_path)


@pytest.fixture
def tag(shop: Shop) -> str:
    tag = register(shop, day=BEFORE).id
    inspect(shop, tag, InspectionKind.FIRST_USE, day=BEFORE)
    return tag


@pytest.fixture
def strike(shop: Shop, tag: str) -> Callable[..., Entry]:
    def run(line: str, why: str = WHY, by: str = ADA) -> Entry:
        return strike_out(shop, tag, line, why, by=by, now=NOW, today=TODAY)

    return run


def state(shop: Shop, tag: str) -> tuple[Fitness, tuple[str, ...]]:
    page = hoist_page(shop, tag, TODAY)
    return page.standing.fitness, page.standing.reasons


def due_on(shop: Shop, tag: str) -> object:
    return [(due.inspection, due.due_on) for due in hoist_page(shop, tag, TODAY).summary.dues]


def test_state_trend_and_dues_are_as_if_the_struck_record_had_never_been(
    shop: Shop, tag: str, strike: Callable[..., Entry]
) -> None:
    def facts() -> object:
        chain = open_hoist(shop, tag).history.chain
        assert chain is not None
        used = hoist_page(shop, tag, TODAY).summary.used_pct
        return state(shop, tag), due_on(shop, tag), chain.wear, used

    before = facts()
    entry = inspect(shop, tag, InspectionKind.PERIODIC, readings=WORN)
    changed = facts()
    assert changed != before
    strike(entry.line)
    assert facts() == before


def test_the_due_list_follows_at_once(shop: Shop, tag: str, strike: Callable[..., Entry]) -> None:
    """Yearly in normal service (DOE-STD-1090-96, 8.2.2): 400 days after the only one it is overdue."""

    def overdue() -> bool:
        (row,) = due_list(shop, TODAY)
        return row.overdue

    assert overdue()
    entry = inspect(shop, tag, InspectionKind.PERIODIC)
    assert not overdue()
    strike(entry.line)
    assert overdue()


def test_both_stay_to_be_seen_with_the_reason(shop: Shop, tag: str, strike: Callable[..., Entry]) -> None:
    entry = inspect(shop, tag, InspectionKind.PERIODIC)
    struck = strike(entry.line)
    assert struck.body == StruckOut(line=entry.line, why=WHY)
    rows = {row.number: row for row in hoist_page(shop, tag, TODAY).timeline}
    assert rows[entry.number].struck == WHY
    assert WHY in rows[struck.number].says
    assert rows[entry.number].says.startswith("periodic")


def test_a_strike_may_be_struck_out_and_the_record_counts_again(
    shop: Shop, tag: str, strike: Callable[..., Entry]
) -> None:
    entry = inspect(shop, tag, InspectionKind.PERIODIC)
    counted = due_on(shop, tag)
    struck = strike(entry.line)
    assert due_on(shop, tag) != counted
    strike(struck.line, why="it was the right hoist after all")
    assert due_on(shop, tag) == counted


def test_what_may_not_be_struck_out_is_said(shop: Shop, tag: str, strike: Callable[..., Entry]) -> None:
    first, second = open_hoist(shop, tag).history.entries
    with pytest.raises(InputError, match="say why"):
        strike(second.line, why=" ")
    with pytest.raises(NotFoundError, match="holds no line ffffffffff"):
        strike("f" * 64)
    with pytest.raises(RefusedError, match="the only registration"):
        strike(first.line)
    strike(second.line)
    with pytest.raises(RefusedError, match=f"is struck out already: {WHY}"):
        strike(second.line)
    body = Signature(line=first.line, principal="Ada_Fenn", key="SHA256:x", signature="s")
    head = open_hoist(shop, tag).head
    signed = append(shop, tag, body, by=ADA, now=NOW, head=head)
    with pytest.raises(RefusedError, match="strike out the line that it signs"):
        strike(signed.line)


def test_only_who_may_seal_may_strike(shop: Shop, tag: str, strike: Callable[..., Entry]) -> None:
    with_ben(shop, may_seal=False)
    line = open_hoist(shop, tag).head
    with pytest.raises(RefusedError, match="may look but not seal"):
        strike(line, by=BEN)
    with pytest.raises(RefusedError, match="not among the shop's people"):
        strike(line, by="Nobody")


def test_a_strike_that_another_session_overtook_writes_nothing(
    shop: Shop, tag: str, strike: Callable[..., Entry], monkeypatch: pytest.MonkeyPatch
) -> None:
    line = open_hoist(shop, tag).head
    read = Logbooks.read

    def overtaken(self: Logbooks, name: str) -> object:
        book = read(self, name)
        if name != tag:
            return book
        monkeypatch.setattr(Logbooks, "read", read)
        inspect(shop, tag, InspectionKind.FREQUENT)
        return book

    monkeypatch.setattr(Logbooks, "read", overtaken)
    with pytest.raises(ConflictError):
        strike(line)
    assert all(not isinstance(entry.body, StruckOut) for entry in open_hoist(shop, tag).history.entries)


@pytest.mark.parametrize("typed", ["2", " 2 ", "{line}", "{short}"])
def test_a_line_is_named_by_number_or_hash(shop: Shop, tag: str, typed: str) -> None:
    entry = open_hoist(shop, tag).history.entries[1]
    assert find_line(shop, tag, typed.format(line=entry.line.upper(), short=entry.line[:8])) == entry


@pytest.mark.parametrize(
    ("typed", "error"),
    [("", InputError), ("x", InputError), ("-1", InputError), ("abcdef0", InputError), ("99", NotFoundError)],
)
def test_what_names_no_line_is_said(shop: Shop, tag: str, typed: str, error: type[Exception]) -> None:
    with pytest.raises(error, match="line"):
        find_line(shop, tag, typed)


def test_the_right_record_begins_with_all_that_the_struck_one_said(shop: Shop, tag: str) -> None:
    entry = inspect(
        shop,
        tag,
        InspectionKind.PERIODIC,
        answers={"hook": AnswerKind.DEFECT},
        defects={"hook": CRACK},
    )
    _, draft, content = strike_and_redo(shop, tag, entry.line, WHY, by=ADA, now=NOW, today=TODAY)
    assert kept_drafts(shop, about=tag) == [draft]
    assert read_inspection(draft) == content
    assert draft.head == open_hoist(shop, tag).head
    again = seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    old, new = body_of(entry), body_of(again)
    assert (new.answers, new.readings, new.diameters, new.hooks) == (
        old.answers,
        old.readings,
        old.diameters,
        old.hooks,
    )
    assert [(d.what, d.where, d.grade) for d in new.defects] == [
        (d.what, d.where, d.grade) for d in old.defects
    ]
    # no id comes twice in a logbook
    assert not {d.id for d in new.defects} & {d.id for d in old.defects}


def test_a_defect_that_follows_from_figures_is_not_doubled(shop: Shop, tag: str) -> None:
    """2.475 mm and more over 165 mm is discard (1.5 %: DOE-STD-1090-96, ch. 8)."""
    entry = inspect(shop, tag, InspectionKind.PERIODIC, readings=("167.6", "167.5", "167.4"))
    assert len(body_of(entry).defects) == 1
    _, draft, content = strike_and_redo(shop, tag, entry.line, WHY, by=ADA, now=NOW, today=TODAY)
    again = seal_inspection(shop, draft, content, by=ADA, now=NOW, today=TODAY)
    assert len(body_of(again).defects) == 1
    assert body_of(again).readings[0].value_mm == Decimal("167.6")


def test_only_an_inspection_is_done_again(shop: Shop, tag: str) -> None:
    first = open_hoist(shop, tag).history.entries[0]
    with pytest.raises(InputError, match="only an inspection can be done again"):
        strike_and_redo(shop, tag, first.line, WHY, by=ADA, now=NOW, today=TODAY)
    with pytest.raises(InputError, match="only an inspection can be done again"):
        begin_right_one(shop, tag, first.line, by=ADA, now=NOW, today=TODAY)
    assert len(open_hoist(shop, tag).history.entries) == 2
