"""Describing a defect: what, where, what it does to the use of the hoist, and the remedy."""

from collections.abc import Sequence

from fieldlog.domain.records import DefectGrade
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import IncompleteError, Problem
from fieldlog.operations.drafting import DefectDraft
from fieldlog.operations.entering import YES_NO, Field, read_choice, read_date, read_text, read_yes_no
from fieldlog.tui.form import FormPage
from fieldlog.tui.work import InspectionWork
from fieldlog.tui.work_page import WorkPage


def defect_fields(item: ChecklistItem) -> tuple[Field, ...]:
    """What a defect asks."""
    grades = tuple(grade.value for grade in DefectGrade)
    return (
        Field(name="what", label="What is wrong", read=read_text("the defect"), hint=item.title),
        Field(name="where", label="Where", read=read_text("the place"), required=False),
        Field(
            name="grade",
            label="Grade",
            read=read_choice("the grade", grades),
            choices=grades,
            default=DefectGrade.STOPS_NOW.value,
            hint="F3 steps: stops now/from date/watch/noted",
        ),
        Field(
            name="stops_on",
            label="Stops from",
            read=read_date("the day"),
            required=False,
            hint="YYYY-MM-DD, for 'from a date'",
        ),
        Field(name="remedy", label="Remedy", read=read_text("the remedy"), required=False),
        Field(
            name="serious",
            label="Serious injury risk",
            read=read_yes_no,
            choices=YES_NO,
            default="no",
            hint="yes may ask for a copy to the authority",
        ),
        Field(
            name="told",
            label="Told to whom, how",
            read=read_text("who was told"),
            required=False,
            hint="tell the owner before you leave",
        ),
    )


class DefectPage(WorkPage, FormPage):
    """A defect of one checklist item."""

    def __init__(self, work: InspectionWork, item: ChecklistItem) -> None:
        held = work.content.defects.get(item.id)
        texts = {} if held is None else _texts(held)
        super().__init__(texts)
        self.take_in_hand(work)
        self.item = item
        self.caution = f"Defect when: {item.defect_when}"

    def heading(self) -> str:
        """The hoist and the item."""
        return f"{self.work.opened.hoist.id}   defect: {self.item.title}"

    def fields(self) -> Sequence[Field]:
        """The defect's form."""
        return defect_fields(self.item)

    def _defect(self, texts: dict[str, str]) -> DefectDraft:
        grade = next((g for g in DefectGrade if g.value == texts["grade"].strip()), DefectGrade.STOPS_NOW)
        return DefectDraft(
            what=texts["what"],
            where=texts["where"],
            grade=grade,
            stops_on=texts["stops_on"].strip(),
            remedy=texts["remedy"],
            serious=texts["serious"].strip().lower().startswith("y"),
            told=texts["told"],
        )

    def keep(self, texts: dict[str, str]) -> None:
        """Every key goes into the draft."""
        self.work.defect(self.item, self._defect(texts))

    def gather(self) -> None:
        """The defect, once anything of it is typed."""
        texts = self.current_texts()
        if texts["what"].strip() or self.item.id in self.work.content.defects:
            self.work.put_defect(self.item, self._defect(texts))

    def send(self, texts: dict[str, str]) -> None:
        """The defect is described; back to the items."""
        values = self.taken(texts)
        if values["grade"] == DefectGrade.STOPS_FROM and values["stops_on"] is None:
            missing = Problem(place="Stops from", wrong="name the day from which use stops, as 2026-12-24")
            raise IncompleteError("the defect is not described yet", [missing])
        self.work.defect(self.item, self._defect(texts))
        self.leave()


def _texts(held: DefectDraft) -> dict[str, str]:
    return {
        "what": held.what,
        "where": held.where,
        "grade": held.grade.value,
        "stops_on": held.stops_on,
        "remedy": held.remedy,
        "serious": "yes" if held.serious else "no",
        "told": held.told,
    }
