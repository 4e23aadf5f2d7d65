"""One hoist: may it be used and why, its chain, what is due, open defects, and its logbook."""

from collections.abc import Iterator
from datetime import date
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from fieldlog.domain.chain import ELONGATION
from fieldlog.domain.counting import counted
from fieldlog.domain.criteria import Verdict
from fieldlog.domain.service_life import share_words
from fieldlog.errors import FieldlogError
from fieldlog.operations.draft_words import DEEDS, left_words
from fieldlog.operations.drafting import INSPECTION
from fieldlog.operations.due import days_words, is_only_overdue
from fieldlog.operations.explaining import explain_due, explain_finding, explain_life
from fieldlog.operations.hoist_page import HoistPage as Facts
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.tui.commands import COMMANDS, Command, bindings
from fieldlog.tui.marks import (
    FITNESS_MARKS,
    FITNESS_TONES,
    OVERDUE,
    VERDICT_MARKS,
    VERDICT_TONES,
)
from fieldlog.tui.watching import WatchesHoist
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows
from fieldlog.units import format_mass, format_mm

LABEL = 11


def _row(key: str, label: str, text: str, tone: str = "plain") -> Row:
    return Row(key=key, cells=(label, text), tone=tone)


def state_words(facts: Facts) -> tuple[str, str]:
    """May it be used, in mark and word, and the tone; an overdue inspection is never shown as all well."""
    fitness = facts.standing.fitness
    if is_only_overdue(fitness, overdue=facts.row.overdue):
        return OVERDUE, "bad"
    return FITNESS_MARKS[fitness], FITNESS_TONES[fitness]


def _fitness_rows(facts: Facts) -> Iterator[Row]:
    words, tone = state_words(facts)
    yield _row("fitness", "State", words, tone)
    if words == OVERDUE:
        yield _row("overdue", "", "nothing else is against its use; inspect it before it is used again", tone)
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
    falls = counted(hoist.falls, "fall")
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
    row = facts.row
    if row.due_on is None or row.days is None:
        return
    for due in sorted(facts.summary.dues, key=lambda due: due.due_on):
        late = row.overdue and due.due_on == row.due_on
        days = days_words(row.days + (due.due_on - row.due_on).days)
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
    heading = f"Logbook, {counted(count, 'line')}, head {facts.head[:10]}   Enter opens a line"
    yield Row(key="heading-log", cells=(heading,), tone="heading", selectable=False)
    for line in reversed(facts.timeline):
        struck = " (struck out)" if line.struck else ""
        yield _row(f"line-{line.number}", line.day.isoformat(), f"{line.says}{struck}   {line.by}")


def _defect_of(key: str) -> str:
    """The defect that a row is of; empty for every other row."""
    return key.removeprefix("defect-") if key.startswith("defect-") else ""


def fact_rows(facts: Facts) -> list[Row]:
    """The page as rows, from what matters most downwards."""
    rows: list[Row] = []
    for part in (_fitness_rows, _due_rows, _defect_rows, _chain_rows, _plate_rows, _logbook_rows):
        rows.extend(part(facts))
    return rows


class HoistPage(WatchesHoist):
    """A hoist's page and the work that can be done on it."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("hoist")]
    first_focus = "#facts"

    def __init__(self, hoist_id: str, greeting: str = "") -> None:
        super().__init__()
        self.hoist_id = hoist_id
        self.greeting = greeting
        self.of_day: date | None = None

    def body(self) -> ComposeResult:
        """All facts as one list that can be walked through."""
        columns = (Column(title="", width=LABEL), Column(title=""))
        yield LineTable(columns, id="facts", title=False)

    def heading(self) -> str:
        """The tag and the day."""
        return f"{self.hoist_id}   {self.today().isoformat()}   {self.fieldlog.by}"

    def on_mount(self) -> None:
        """Say what led here."""
        super().on_mount()
        if self.greeting:
            self.say(self.greeting)

    def is_of_another_day(self) -> bool:
        """Days are counted from today."""
        return self.today() != self.of_day

    def show_changes(self) -> None:
        """Another session's line shows within seconds; cursor and message stay."""
        self._show_facts()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        if self.query(LineTable):
            self.show_rows()

    def show_rows(self) -> None:
        """Read the hoist again, show it, and say what was left open."""
        facts = self._show_facts()
        left = "" if facts is None else left_words(facts.drafts, self._keys())
        if left:
            self.say(left)

    def _show_facts(self) -> Facts | None:
        """Of a hoist that can not be read nothing that stood here is left."""
        self.of_day = self.today()
        try:
            facts = hoist_page(self.shop, self.hoist_id, self.of_day)
        except FieldlogError as error:
            self._show_unread(str(error))
            return None
        self.query_one(LineTable).set_rows(wrap_rows(fact_rows(facts), self.app.size.width, LABEL))
        self.set_heading(f"{self.heading()}   {state_words(facts)[0]}")
        return facts

    def _show_unread(self, why: str) -> None:
        rows = [_row("unread", "Logbook", why, "bad")]
        self.query_one(LineTable).set_rows(wrap_rows(rows, self.app.size.width, LABEL))
        self.set_heading(f"{self.heading()}   X NOT KNOWN")

    def _key(self, command: Command) -> str:
        return self.fieldlog.preferences.keys.get(command.id, command.keys)

    def _keys(self) -> dict[str, str]:
        """Which key takes up a draft of which kind."""
        keys = {command.action: self._key(command) for command in COMMANDS["hoist"]}
        return {INSPECTION: keys["inspect"], **{deed: keys[f"service('{deed}')"] for deed in DEEDS}}

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Open a sealed line whole; explain a due date, a verdict or the used life."""
        if event.key.startswith("line-"):
            self.fieldlog.show_line(self.hoist_id, int(event.key.removeprefix("line-")))
            return
        lines = self._explained(event.key)
        if _defect_of(event.key):
            self._say_what_a_defect_needs(_defect_of(event.key))
        if lines:
            self.fieldlog.explain(self.hoist_id, lines)

    def _say_what_a_defect_needs(self, defect: str) -> None:
        keys = {command.action: self._key(command) for command in COMMANDS["hoist"]}
        report, notice, mend = (keys[action] for action in ("report", "service('notice')", "service('mend')"))
        told = f"{report} prints the notice to its owner, {notice} records who was told, {mend} mends it."
        self.say(f"{defect}: {told}")

    def _explained(self, key: str) -> list[str]:
        facts = hoist_page(self.shop, self.hoist_id, self.today())
        if key.startswith("due-"):
            dues = [due for due in facts.summary.dues if f"due-{due.inspection.name}" == key]
            return explain_due(dues[0]) if dues else []
        if key == "life" and facts.life is not None:
            return explain_life(facts.life)
        if key.startswith("finding-"):
            place = int(key.removeprefix("finding-"))
            return explain_finding(facts.findings[place]) if place < len(facts.findings) else []
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

    def action_report(self) -> None:
        """A report of it on paper; with the cursor on a defect the notice of that one."""
        self.fieldlog.report(self.hoist_id, defect=_defect_of(self.query_one(LineTable).current_key))

    def action_service(self, deed: str) -> None:
        """A deed with a form of its own: withdraw, mend, fit, test, return, hours, move and the like."""
        self.fieldlog.service(self.hoist_id, deed)

    def action_draw(self, picture: str) -> None:
        """Wear over time or along the chain, or the tag's code."""
        self.fieldlog.draw(self.hoist_id, picture)
