"""An inspection in hand: the hoist as read, the draft, and what was typed; every change is kept at once."""

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime

from fieldlog.domain.records import AnswerKind, Draft, Entry
from fieldlog.domain.rules import ChecklistItem
from fieldlog.errors import ConflictError, FieldlogError, Problem
from fieldlog.operations.assessing import Assessment, assess
from fieldlog.operations.draft_hands import OWN_NOW, keep_inspection, throw_away, went_on
from fieldlog.operations.draft_words import sentence
from fieldlog.operations.drafting import (
    AnswerDraft,
    DefectDraft,
    InspectionDraft,
    inspection_fields,
    read_inspection,
)
from fieldlog.operations.inspecting import (
    Preview,
    implied_answer,
    preview,
    seal_after_others,
    seal_inspection,
    sealed_since,
)
from fieldlog.operations.meanwhile import Meanwhile
from fieldlog.operations.shop import OpenHoist, Shop, open_hoist


class InspectionWork:
    """What the screens of one inspection share."""

    def __init__(
        self, shop: Shop, draft: Draft, *, by: str, clock: Callable[[], datetime], content: InspectionDraft
    ) -> None:
        self.shop = shop
        self.draft = draft
        self.by = by
        self.clock = clock
        self.content = content
        self.opened: OpenHoist = open_hoist(shop, draft.about)
        self.meanwhile = Meanwhile(shop, self.opened, head=draft.head)
        self.tell: Callable[[str], None] = lambda _sentence: None

    @classmethod
    def taken_up(
        cls, shop: Shop, draft: Draft, *, by: str, clock: Callable[[], datetime]
    ) -> "InspectionWork":
        """An inspection that was left open."""
        return cls(shop, draft, by=by, clock=clock, content=read_inspection(draft))

    def keep(self) -> None:
        """Keep everything as it stands; as a draft of its own where another session has this one in hand.

        Where the disk refuses, that is said, and all of it is tried again with the next key.
        """
        try:
            words = self._keep()
        except FieldlogError as error:
            self.tell(sentence(str(error)))
            return
        if words:
            self.tell(f"{words} {OWN_NOW}")

    def keep_last(self) -> None:
        """Keep what the draft does not hold yet, without a word: there is no screen to say it on any more."""
        if inspection_fields(self.content) != self.draft.fields:
            self._keep()

    def _keep(self) -> str:
        now = self.clock()
        self.draft, words = keep_inspection(self.shop, self.draft, self.content, by=self.by, now=now)
        return words

    def assessment(self) -> Assessment:
        """The inspection as it stands."""
        return assess(self.shop, self.opened, self.content, today=self.clock().date())

    def preview(self) -> Preview:
        """What sealing would write, or what stands in the way; of the hoist as others left it by now."""
        try:
            opened = open_hoist(self.shop, self.draft.about)
            return preview(self.shop, opened, self.content, today=self.clock().date())
        except FieldlogError as error:
            told = Problem(place=self.draft.about, wrong=str(error))
            return Preview(body=None, problems=(told,), not_seen=(), after=None, standing=None)

    def answer(self, item: ChecklistItem, answer: AnswerKind) -> None:
        """Give an answer; a note that is there stays."""
        self._put_answer(item, answer)
        self.keep()

    def _put_answer(self, item: ChecklistItem, answer: AnswerKind) -> None:
        self.content.answers.setdefault(item.id, AnswerDraft()).answer = answer
        if answer is not AnswerKind.DEFECT:
            self.content.defects.pop(item.id, None)

    def note(self, item: ChecklistItem, text: str) -> None:
        """Put a note to an item."""
        self.put_note(item, text)
        self.keep()

    def put_note(self, item: ChecklistItem, text: str) -> None:
        """The same without keeping it yet."""
        self.content.answers.setdefault(item.id, AnswerDraft()).note = text

    def defect(self, item: ChecklistItem, defect: DefectDraft) -> None:
        """Describe the defect of an item."""
        self.put_defect(item, defect)
        self.keep()

    def put_defect(self, item: ChecklistItem, defect: DefectDraft) -> None:
        """The same without keeping it yet."""
        self.content.defects[item.id] = defect
        self._put_answer(item, AnswerKind.DEFECT)

    def answer_of(self, item: ChecklistItem, assessment: Assessment) -> AnswerKind | None:
        """The answer of an item: a described defect, else what its figures say, else what was pressed."""
        held = self.content.answers.get(item.id)
        pressed = None if held is None else held.answer
        if pressed is AnswerKind.DEFECT:
            return pressed
        return implied_answer(item, assessment) or pressed

    def confirm(self, questions: tuple[str, ...]) -> None:
        """Take questions to the whole inspection as answered with yes; the record keeps them."""
        self.content.confirmed.extend(questions)
        self.keep()

    def seal(self) -> Entry:
        """Seal it under the name of who is at the keys.

        ConflictError where another session went on with its draft or sealed it; this one is kept then.
        """
        now = self.clock()
        if went_on(self.shop, self.draft):
            raise ConflictError(self._keep())
        return seal_inspection(self.shop, self.draft, self.content, by=self.by, now=now, today=now.date())

    def others(self) -> tuple[Entry, ...]:
        """What others sealed since this was begun; nothing where the logbook does not read any more."""
        with suppress(FieldlogError):
            return sealed_since(self.shop, self.draft)
        return ()

    def follow_others(self, seen: str) -> None:
        """Go on after what others sealed, up to the line that was seen."""
        self.draft = seal_after_others(self.draft, seen=seen)
        self.opened = open_hoist(self.shop, self.draft.about)
        self.meanwhile.all_known(self.opened)
        self.keep()

    def throw_away(self) -> None:
        """Throw the draft away; one that another session has in hand stays."""
        throw_away(self.shop, self.draft)
