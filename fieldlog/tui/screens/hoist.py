"""One hoist: may it be used and why, its chain, what is due, open defects, and its logbook."""

from collections.abc import Iterator
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.service_life import share_words
from fieldlog.operations.due import days_words
from fieldlog.operations.explaining import explain_due, explain_finding, explain_life
from fieldlog.operations.hoist_page import HoistPage as Facts
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.tui.marks import FITNESS_MARKS, FITNESS_TONES, VERDICT_MARKS, VERDICT_TONES
from fieldlog.tui.page import Page
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows
from fieldlog.units import format_mass, format_mm

LABEL = 11


def _row(key: str, label: str, text: str, tone: str = "plain") -> Row:
    return Row(key=key, cells=(label, text), tone=tone)


def _fitness_rows(facts: Facts) -> Iterator[Row]:
    tone = FITNESS_TONES[facts.standing.fitness]
    yield _row("fitness", "State", FITNESS_MARKS[facts.standing.fitness], tone)
    for place, reason in enumerate(facts.standing.reasons):
        yield _row(f"why-{place}", "", reason, tone)
    if facts.problem:
        yield _row("problem", "Logbook", facts.problem, "bad")


def _plate_rows(facts: Facts) -> Iterator[Row]:
    hoist = facts.hoist
    plate = f"{hoist.maker} {hoist.model}, serial {hoist.serial}"
    if hoist.year:
        plate += f", {hoist.year}"
    yield _row("plate", "Plate", plate)
    falls = f"{hoist.falls} fall{'s' if hoist.falls > 1 else ''}"
    lift = format_mm(hoist.lift_mm / 1000)
    yield _row("rating", "Rating", f"{hoist.drive}, {format_mass(hoist.capacity_kg)}, {falls}, lift {lift} m")
    where = f"{hoist.site}, {hoist.place}" if hoist.place else hoist.site
    yield _row("where", "Place", f"{where}   {hoist.service} service, rulebook {hoist.rulebook}")


def _chain_rows(facts: Facts) -> Iterator[Row]:
    size = facts.chain.size if facts.chain is not None else facts.hoist.chain
    words = f"{format_mm(size.dn_mm)} x {format_mm(size.pn_mm)} mm {size.grade}".strip()
    if facts.chain is not None and facts.chain.number > 1:
        words += f", chain no. {facts.chain.number} since {facts.chain.fitted_on.isoformat()}"
    yield _row("chain", "Chain", words)
    yield _row("chain-rule", "", facts.chain_rule)
    if facts.chain is not None and facts.chain.wear:
        last = facts.chain.wear[-1]
        bar = wear_bar(facts)
        yield _row(
            "wear",
            "Wear",
            f"{bar} grown {format_mm(last.growth_mm)} of {format_mm(last.allowed_mm)} mm on {last.day}",
        )
        if facts.trend_words:
            yield _row("trend", "", f"trend: {facts.trend_words}")
    if facts.life is not None:
        yield _row("life", "Life", f"used: {share_words(facts.life)}")
    for place, finding in enumerate(facts.findings):
        if finding.verdict is not Verdict.KEEP:
            text = f"{VERDICT_MARKS[finding.verdict]}: {finding.component}, {finding.why}"
            yield _row(f"finding-{place}", "", text, VERDICT_TONES[finding.verdict])


def wear_bar(facts: Facts, width: int = 20) -> str:
    """The used share of the allowed growth as a bar of plain characters."""
    used = facts.summary.used_pct
    if used is None:
        return ""
    filled = max(0, min(width, int(used * width / 100)))
    return f"[{'#' * filled}{'.' * (width - filled)}] {format_mm(used)} %"


def _due_rows(facts: Facts) -> Iterator[Row]:
    today_days = facts.row.days
    for due in facts.summary.dues:
        late = due.due_on == facts.row.due_on and facts.row.overdue
        days = days_words(today_days) if due.due_on == facts.row.due_on else ""
        text = f"{due.due_on.isoformat()} {due.inspection}  {days}  ({due.rule})"
        yield _row(f"due-{due.inspection.name}", "Due", text, "bad" if late else "plain")


def _defect_rows(facts: Facts) -> Iterator[Row]:
    for state in facts.defects:
        if state.mended_on is None:
            defect = state.defect
            text = f"{defect.id} {defect.grade}: {defect.what}, seen {state.seen_on.isoformat()}"
            yield _row(f"defect-{defect.id}", "Defect", text, "bad" if "stops" in defect.grade else "caution")


def _logbook_rows(facts: Facts) -> Iterator[Row]:
    count = len(facts.timeline)
    heading = f"Logbook, {count} line{'s' if count > 1 else ''}, head {facts.head[:10]}   Enter opens a line"
    yield Row(key="heading-log", cells=(heading,), tone="heading", selectable=False)
    for line in reversed(facts.timeline):
        struck = " (struck out)" if line.struck else ""
        yield _row(f"line-{line.number}", line.day.isoformat(), f"{line.says}{struck}   {line.by}")


def fact_rows(facts: Facts) -> list[Row]:
    """The page as rows, from what matters most downwards."""
    rows: list[Row] = []
    for part in (_fitness_rows, _due_rows, _defect_rows, _chain_rows, _plate_rows, _logbook_rows):
        rows.extend(part(facts))
    return rows


class HoistPage(Page):
    """A hoist's page and the work that can be done on it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("i", "inspect", "Inspect", id="hoist.inspect"),
        Binding("p", "print", "Print", id="hoist.print"),
        Binding("w", "withdraw", "Withdraw", id="hoist.withdraw"),
        Binding("m", "mend", "Mend", id="hoist.mend"),
        Binding("c", "chain", "Chain", id="hoist.chain"),
        Binding("t", "test", "Test", id="hoist.test"),
        Binding("u", "return", "Return", id="hoist.return"),
        Binding("h", "hours", "Running hours", show=False, id="hoist.hours"),
        Binding("l", "idle", "Lay out of use", show=False, id="hoist.idle"),
        Binding("x", "expert", "Expert's conditions", show=False, id="hoist.expert"),
    ]
    first_focus = "#facts"

    def __init__(self, hoist_id: str, greeting: str = "") -> None:
        super().__init__()
        self.hoist_id = hoist_id
        self.greeting = greeting

    def body(self) -> ComposeResult:
        """All facts as one list that can be walked through."""
        columns = (Column(title="", width=LABEL), Column(title=""))
        yield LineTable(columns, id="facts", title=False)

    def heading(self) -> str:
        """The tag and the day."""
        return f"{self.hoist_id}   {self.today().isoformat()}   {self.fieldlog.by}"

    def on_mount(self) -> None:
        """Read the logbook."""
        super().on_mount()
        self.show_facts()
        if self.greeting:
            self.say(self.greeting)

    def on_screen_resume(self) -> None:
        """Coming back, the page shows what was sealed meanwhile."""
        if self.is_mounted and self.query(LineTable):
            self.show_facts()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        if self.query(LineTable):
            self.show_facts()

    def show_facts(self) -> None:
        """Read the hoist again and show it."""
        facts = hoist_page(self.shop, self.hoist_id, self.today())
        self.query_one(LineTable).set_rows(wrap_rows(fact_rows(facts), self.app.size.width, LABEL))
        self.set_heading(f"{self.heading()}   {FITNESS_MARKS[facts.standing.fitness]}")
        left = [f"{draft.kind} of {draft.begun.date().isoformat()} by {draft.by}" for draft in facts.drafts]
        if left:
            self.say(f"Left open: {'; '.join(left)}. i takes it up again.")

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open a sealed line whole; explain a due date, a verdict or the used life."""
        if event.key.startswith("line-"):
            self.fieldlog.show_line(self.hoist_id, int(event.key.removeprefix("line-")))
            return
        lines = self._explained(event.key)
        if lines:
            self.fieldlog.explain(self.hoist_id, lines)

    def _explained(self, key: str) -> list[str]:
        facts = hoist_page(self.shop, self.hoist_id, self.today())
        if key.startswith("due-"):
            due = next(due for due in facts.summary.dues if f"due-{due.inspection.name}" == key)
            return explain_due(due)
        if key == "life" and facts.life is not None:
            return explain_life(facts.life)
        if key.startswith("finding-"):
            return explain_finding(facts.findings[int(key.removeprefix("finding-"))])
        if key in ("wear", "chain", "chain-rule"):
            chain = [finding for finding in facts.findings if finding.component == ELONGATION]
            return explain_finding(chain[0]) if chain else []
        return []

    def action_inspect(self) -> None:
        """Begin an inspection, or take up one that was left open."""
        self.fieldlog.begin_inspection(self.hoist_id)

    def action_print(self) -> None:
        """Print the tag or the due sticker."""
        self.fieldlog.print_for(self.hoist_id)

    def action_withdraw(self) -> None:
        """Take the hoist out of service."""
        self.fieldlog.service(self.hoist_id, "withdraw")

    def action_mend(self) -> None:
        """Record defects as mended."""
        self.fieldlog.service(self.hoist_id, "mend")

    def action_chain(self) -> None:
        """Record a new chain set."""
        self.fieldlog.service(self.hoist_id, "chain")

    def action_test(self) -> None:
        """Record a load test."""
        self.fieldlog.service(self.hoist_id, "test")

    def action_hours(self) -> None:
        """Log running hours."""
        self.fieldlog.service(self.hoist_id, "hours")

    def action_idle(self) -> None:
        """Record that the hoist is not used."""
        self.fieldlog.service(self.hoist_id, "idle")

    def action_expert(self) -> None:
        """Record an expert's conditions past the design life."""
        self.fieldlog.service(self.hoist_id, "expert")

    def action_return(self) -> None:
        """Return the hoist to service."""
        self.fieldlog.service(self.hoist_id, "return")
