"""How commands print: lines for people, JSON for scripts. The facts are the same."""

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from fieldlog.domain.counting import counted
from fieldlog.domain.verdict import Summary
from fieldlog.operations.due import DueRow, days_words, is_only_overdue
from fieldlog.operations.hoist_page import HoistPage
from fieldlog.operations.shop import distrusted_says
from fieldlog.store.codec import plain
from fieldlog.units import format_mass, format_mm


def print_json(value: Any) -> None:
    """Any of our values as JSON; numbers with decimals are strings, so that none is rounded."""
    in_unicode = (sys.stdout.encoding or "").lower().startswith("utf")
    print(json.dumps(plain(value), ensure_ascii=not in_unicode, indent=2, allow_nan=False))


def print_text(pieces: Iterable[bytes]) -> None:
    """JSON text that stands already; in ASCII where the terminal's encoding has not all letters."""
    if (sys.stdout.encoding or "").lower().startswith("utf"):
        for piece in pieces:
            sys.stdout.write(piece.decode())
    else:
        print(json.dumps(json.loads(b"".join(pieces))))


def _where(site: str, place: str) -> str:
    return f"{site}, {place}" if place else site


def due_lines(rows: Sequence[DueRow], day: date) -> list[str]:
    """The due list for people."""
    if not rows:
        return ["no hoists"]
    lines = [
        f"{'' if row.due_on is None else row.due_on.isoformat():<10}  "
        f"{days_words(row.days) + ('!' if row.overdue else ''):<13} {row.kind:<17} {row.id:<12}"
        f"{_state(row):<15} {_where(row.site, row.place)}"
        for row in rows
    ]
    overdue = sum(row.overdue for row in rows)
    return [*lines, f"{counted(len(rows), 'hoist')}, {overdue} overdue on {day.isoformat()}"]


def _state(row: DueRow) -> str:
    return "! overdue" if is_only_overdue(row.fitness, overdue=row.overdue) else row.fitness


def damage_lines(broken: Mapping[str, str]) -> list[str]:
    """Logbooks that can not be trusted, by name and sentence, for people."""
    return [f"! {distrusted_says(name, problem)}" for name, problem in broken.items()]


def list_lines(found: Sequence[Summary]) -> list[str]:
    """Hoists by tag."""
    if not found:
        return ["no hoists"]
    return [
        f"{s.id:<12} {s.drive:<9} {format_mass(s.capacity_kg):>8}  "
        f"{format_mm(s.dn_mm)} x {format_mm(s.pn_mm):<5} {_where(s.site, s.place)}  {s.maker} {s.model}"
        for s in found
    ]


def _defect_lines(page: HoistPage) -> list[str]:
    return [
        f"  {s.defect.id} {s.defect.grade}: {s.defect.what}, seen {s.seen_on.isoformat()}"
        + (f", mended {s.mended_on.isoformat()}: {s.mended_by}" if s.mended_on else "")
        + "".join(
            f"\n    told to {n.whom} on {n.done_on.isoformat()}, {n.how}"
            for n in page.notices
            if s.defect.id in n.defects
        )
        for s in page.defects
    ]


def _draft_lines(page: HoistPage) -> list[str]:
    return [
        f"left open: {draft.fields.get('occasion', draft.kind)} by {draft.by},"
        f" saved {draft.saved.isoformat(sep=' ', timespec='minutes')}"
        for draft in page.drafts
    ]


def hoist_lines(page: HoistPage) -> list[str]:
    """One hoist for people."""
    hoist = page.hoist
    lines = [
        f"{hoist.id}  {hoist.maker} {hoist.model}, serial {hoist.serial}",
        f"{hoist.drive}, {format_mass(hoist.capacity_kg)}, {_where(hoist.site, hoist.place)}",
        f"state: {page.standing.fitness}",
        *(f"  {reason}" for reason in page.standing.reasons),
        *(
            f"due: {due.due_on.isoformat()} {due.inspection} ({due.rule}; {due.source})"
            for due in page.summary.dues
        ),
        f"chain: {page.chain_rule}",
    ]
    if page.summary.used_pct is not None:
        lines.append(f"wear: {format_mm(page.summary.used_pct)} % of the allowed growth used")
    defects = _defect_lines(page)
    if defects:
        lines += ["defects:", *defects]
    lines += _draft_lines(page)
    lines.append(f"logbook: {counted(len(page.timeline), 'line')}, head {page.head[:10]}")
    lines += [
        f"  {row.number:>4} {row.day.isoformat()} {row.says}{' (struck out)' if row.struck else ''}, {row.by}"
        for row in page.timeline
    ]
    if page.problem:
        lines.append(f"problem: {page.problem}")
    return lines
