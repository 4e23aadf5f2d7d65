"""Before sealing: what stands in the way, or what will be written and what follows from it."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message

from fieldlog.errors import ConflictError, FieldlogError
from fieldlog.operations.hoist_page import says
from fieldlog.operations.inspecting import Preview
from fieldlog.tui.commands import bindings
from fieldlog.tui.hearing import HearsOthers
from fieldlog.tui.marks import A_PERSON_DECIDES, FITNESS_MARKS, FITNESS_TONES
from fieldlog.tui.widgets.line_table import Column, LineTable, Row, wrap_rows
from fieldlog.tui.work import InspectionWork

LABEL = 14


class SealPage(HearsOthers):
    """F10 seals under the name of who is at the keys; nothing can be changed after that."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("seal")]
    first_focus = "#seal"
    preview: Preview  # as shown

    def __init__(self, work: InspectionWork) -> None:
        super().__init__()
        self.work = work
        self.meanwhile = work.meanwhile
        self.conflict = False
        self.seen_at = float("inf")  # when this page stood on the screen as it is now

    def body(self) -> ComposeResult:
        """What is open, or what follows."""
        yield LineTable((Column(title="", width=LABEL), Column(title="")), id="seal", title=False)

    def heading(self) -> str:
        """The hoist and who seals."""
        return f"{self.work.opened.hoist.id}   seal the {self.work.content.occasion} inspection"

    def on_mount(self) -> None:
        """Show what will be sealed."""
        super().on_mount()
        self.show_preview()
        self._wait_for_eyes()

    def _wait_for_eyes(self) -> None:
        """A key that came before this could be read does not seal it."""
        self.seen_at = float("inf")
        self.call_after_refresh(self._note_seen)

    def _note_seen(self) -> None:
        self.seen_at = Message().time

    def heard(self) -> None:
        """What others sealed stands in the list; F10 asks once more before it seals after it."""
        self.conflict = False
        self.show_preview()
        self._wait_for_eyes()

    def show_preview(self) -> None:
        """Problems first; without any, the record and what follows."""
        self.preview = self.work.preview()
        rows = self._problem_rows() if self.preview.body is None else self._record_rows()
        rows += self._others_rows()
        made = [Row(key=str(place), cells=cells, tone=tone) for place, (cells, tone) in enumerate(rows)]
        self.query_one(LineTable).set_rows(wrap_rows(made, self.app.size.width, LABEL))
        if self._only_questions():
            self.say("F10 takes it as it stands; the record says that it was questioned.", bad=True)
        elif self.preview.body is None:
            self.say(
                f"{len(self.preview.problems)} to settle first. Enter goes there, Escape to the items.",
                bad=True,
            )
        else:
            self.say(f"F10 seals it under the name of {self.work.by}. {A_PERSON_DECIDES}")

    def _problem_rows(self) -> list[tuple[tuple[str, str], str]]:
        return [
            (("to settle", f"{problem.place}: {problem.wrong} {problem.todo}".strip()), "caution")
            for problem in self.preview.problems
        ]

    def _record_rows(self) -> list[tuple[tuple[str, str], str]]:
        body, after, standing = self.preview.body, self.preview.after, self.preview.standing
        if body is None or after is None or standing is None:
            return []
        tone = FITNESS_TONES[standing.fitness]
        rows = [(("Afterwards", FITNESS_MARKS[standing.fitness]), tone)]
        rows += [(("", reason), tone) for reason in standing.reasons]
        rows += [
            (("Next due", f"{due.due_on.isoformat()} {due.inspection} ({due.rule})"), "plain")
            for due in after.dues
        ]
        rows.append((("Record", says(body)), "plain"))
        rows += [(("Defect", f"{d.id} {d.grade}: {d.what}"), "bad") for d in body.defects]
        rows += [(("Not seen", title), "caution") for title in self.preview.not_seen]
        rows += [(("Sticker", f"refused: {why}"), "caution") for why in after.sticker_refusals]
        return rows

    def _others_rows(self) -> list[tuple[tuple[str, str], str]]:
        return [
            (("Meanwhile", f"{entry.by} sealed: {says(entry.body)} ({entry.at:%Y-%m-%d %H:%M})"), "caution")
            for entry in self.work.others()
        ]

    def on_line_table_chosen(self, event: LineTable.Chosen) -> None:
        """Enter on something to settle leads to its item."""
        place = int(event.key) if event.key.isdecimal() else -1
        if 0 <= place < len(self.preview.problems):
            self.leave()
            self.fieldlog.go_to_item(self.preview.problems[place].place)

    def _only_questions(self) -> bool:
        """Whether nothing is left but questions to the whole, which a second F10 answers with yes."""
        return 0 < len(self.preview.questions) == len(self.preview.problems)

    def _settle_questions(self) -> None:
        if self._only_questions():
            self.work.confirm(self.preview.questions)
            self._wait_for_eyes()
        self.show_preview()

    def action_seal(self) -> None:
        """Seal, unless something stands in the way or somebody else sealed meanwhile.

        What was not on the screen yet when the key came is not sealed by it.
        """
        if self.fieldlog.key_time < self.seen_at:
            self.say("That F10 came before this page could be read: F10 seals it now.", bad=True)
            return
        if self.preview.body is None:
            self._settle_questions()
            return
        try:
            if self.conflict:
                self.work.follow_others(self.preview.head)
            entry = self.work.seal()
        except ConflictError as error:
            self.conflict = True
            self.meanwhile.unheard = ""  # this says it too
            self.show_preview()
            self._wait_for_eyes()
            told = str(error).rstrip(".")
            self.say(f"{told}. See 'Meanwhile' above; F10 seals after it.", bad=True)
        except FieldlogError as error:
            self.say_error(error)
        else:
            after = self.preview.after
            refusals = () if after is None else after.sticker_refusals
            self.fieldlog.sealed(self.work, entry, no_sticker="; ".join(refusals))
