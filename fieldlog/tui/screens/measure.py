"""Wire diameter and hook: a few figures with their verdict below, while they are typed."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Label

from fieldlog.domain.criteria import SEVERITY, Finding
from fieldlog.operations.drafting import HookDraft, PitchDraft
from fieldlog.operations.entering import YES_NO, Field, read_length, read_text, read_yes_no
from fieldlog.operations.explaining import explain_finding
from fieldlog.tui.commands import bindings
from fieldlog.tui.form import FormPage
from fieldlog.tui.marks import VERDICT_MARKS, VERDICT_TONES, show_tone
from fieldlog.tui.work import InspectionWork
from fieldlog.tui.work_page import WorkPage
from fieldlog.units import format_mm, parse_decimal


def finding_lines(finding: Finding) -> str:
    """A verdict with what lies behind it."""
    limit = "" if finding.limit is None else f"   Limit {format_mm(finding.limit)} {finding.unit}"
    return (
        f"{VERDICT_MARKS[finding.verdict].upper()}   {finding.component}{limit}\n"
        f"{finding.why}\nRule: {finding.criterion}; {finding.source} [{finding.certainty}]"
    )


def _gravest(findings: Sequence[Finding | None]) -> Finding | None:
    """The finding that governs; the first one of several alike."""
    found = [finding for finding in findings if finding is not None]
    return max(found, key=lambda finding: SEVERITY[finding.verdict], default=None)


class MeasurePage(WorkPage, FormPage):
    """A form whose figures are judged at every key."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("measure")]

    def __init__(self, work: InspectionWork, texts: dict[str, str]) -> None:
        super().__init__(texts)
        self.take_in_hand(work)

    def body(self) -> ComposeResult:
        """The form with a verdict strip below."""
        yield from super().body()
        yield Label("", id="strip", markup=False)

    def on_mount(self) -> None:
        """Judge what was typed before."""
        super().on_mount()
        self.judge()

    def take(self, texts: dict[str, str]) -> None:
        """Put the texts into the draft."""

    def finding(self) -> tuple[Finding | None, str]:
        """The verdict, or why there is none."""
        return None, ""

    def keep(self, texts: dict[str, str]) -> None:
        """Every key goes into the draft and is judged."""
        self.take(texts)
        self.work.keep()
        self.judge()

    def gather(self) -> None:
        """All figures."""
        self.take(self.current_texts())

    def judge(self) -> None:
        """Show the verdict."""
        finding, problem = self.finding()
        strip = self.query_one("#strip", Label)
        strip.update(problem if finding is None else finding_lines(finding))
        show_tone(strip, "" if finding is None else VERDICT_TONES[finding.verdict])

    def action_explain(self) -> None:
        """Rule, arithmetic and source of the verdict."""
        finding, _ = self.finding()
        if finding is None:
            self.say("Type the figures first: then F4 explains the verdict.")
        else:
            self.fieldlog.explain(self.work.opened.hoist.id, explain_finding(finding))

    def send(self, texts: dict[str, str]) -> None:
        """Everything is kept already."""
        self.keep(texts)
        self.leave()


class DiameterPage(MeasurePage):
    """Two diameters at right angles at the most worn place."""

    caution = "At the most worn place, where the links bear on each other. Unloaded, locked out."

    def __init__(self, work: InspectionWork) -> None:
        content = work.content
        texts = {
            "place": content.diameter_place,
            "d1": content.d1,
            "d2": content.d2,
            "instrument": content.diameter_instrument or content.instrument,
            "pitch": content.pitches[0].pitch if content.pitches else "",
            "pitch_diameter": content.pitches[0].diameter if content.pitches else "",
        }
        super().__init__(work, texts)

    def heading(self) -> str:
        """The hoist and what is measured."""
        return f"{self.work.opened.hoist.id}   wire diameter of the load chain"

    def fields(self) -> Sequence[Field]:
        """Place, two diameters, instrument."""
        return (
            Field(name="place", label="Place", read=read_text("the place")),
            Field(name="d1", label="Diameter d1", read=read_length("d1"), unit="mm"),
            Field(name="d2", label="d2, at right angles", read=read_length("d2"), unit="mm"),
            Field(name="instrument", label="Instrument", read=read_text("the instrument"), required=False),
            Field(
                name="pitch",
                label="Pitch of one link",
                read=read_length("the pitch"),
                unit="mm",
                required=False,
                hint="of the longest link, where one looks stretched",
            ),
            Field(
                name="pitch_diameter",
                label="Diameter there",
                read=read_length("the diameter"),
                unit="mm",
                required=False,
            ),
        )

    def take(self, texts: dict[str, str]) -> None:
        """Into the draft."""
        content = self.work.content
        content.diameter_place, content.d1, content.d2 = texts["place"], texts["d1"], texts["d2"]
        content.diameter_instrument = texts["instrument"]
        link = PitchDraft(
            pitch=texts["pitch"], diameter=texts["pitch_diameter"], instrument=texts["instrument"]
        )
        content.pitches = [link] if link.pitch.strip() else []

    def finding(self) -> tuple[Finding | None, str]:
        """The diameter's verdict."""
        assessment = self.work.assessment()
        found = [assessment.diameter, *assessment.pitches]
        return _gravest(found), assessment.diameter_problem or assessment.pitch_problem


def _hook_texts(prefix: str, hook: HookDraft) -> dict[str, str]:
    return {
        f"{prefix}throat": hook.throat,
        f"{prefix}new": hook.new,
        f"{prefix}twist": hook.twist,
        f"{prefix}section_new": hook.section_new,
        f"{prefix}section": hook.section,
        f"{prefix}crack": "yes" if hook.crack else "no",
    }


def _hook_fields(prefix: str, label: str, *, throat_required: bool, ask_new: bool) -> tuple[Field, ...]:
    """What is measured on one hook; its throat as new is asked where the record of the hoist has none."""

    def length(name: str, words: str, hint: str = "", *, required: bool = False) -> Field:
        what = f"{label} {words}".strip()
        return Field(
            name=f"{prefix}{name}",
            label=what.capitalize(),
            read=read_length(what),
            unit="mm",
            required=required,
            hint=hint,
        )

    new = (length("new", "throat as new"),) if ask_new else ()
    return (
        length("throat", "throat now", required=throat_required),
        *new,
        Field(
            name=f"{prefix}twist",
            label=f"{label} twist".strip().capitalize(),
            read=lambda text: parse_decimal(text, "the twist"),
            unit="deg",
            required=False,
            hint="out of the plane of the unbent hook",
        ),
        length("section_new", "section as new", "height in the saddle, where it wears"),
        length("section", "section now"),
        Field(
            name=f"{prefix}crack",
            label=f"{label} crack seen".strip().capitalize(),
            read=read_yes_no,
            choices=YES_NO,
            default="no",
        ),
    )


def _take_hook(hook: HookDraft, prefix: str, texts: dict[str, str]) -> None:
    hook.throat, hook.twist = texts[f"{prefix}throat"], texts[f"{prefix}twist"]
    hook.new = texts.get(f"{prefix}new", "")
    hook.section_new, hook.section = texts[f"{prefix}section_new"], texts[f"{prefix}section"]
    hook.crack = texts[f"{prefix}crack"].strip().lower().startswith("y")


class HookPage(MeasurePage):
    """Throat opening, twist, section wear and cracks of the lower hook, and of the upper one if any."""

    caution = "Clean the hook first. Any crack is discard; never weld or bend a hook back."

    def __init__(self, work: InspectionWork) -> None:
        content = work.content
        super().__init__(work, {**_hook_texts("", content.hook), **_hook_texts("upper_", content.upper_hook)})

    def heading(self) -> str:
        """The hoist and what is measured."""
        new = self.work.opened.hoist.hook_throat_mm
        known = "not known" if new is None else f"{format_mm(new)} mm"
        return f"{self.work.opened.hoist.id}   lower hook   throat as new: {known}"

    def fields(self) -> Sequence[Field]:
        """The lower hook, then the upper one."""
        unknown = self.work.opened.hoist.hook_throat_mm is None
        return _hook_fields("", "", throat_required=True, ask_new=unknown) + _hook_fields(
            "upper_", "upper", throat_required=False, ask_new=True
        )

    def take(self, texts: dict[str, str]) -> None:
        """Into the draft."""
        _take_hook(self.work.content.hook, "", texts)
        _take_hook(self.work.content.upper_hook, "upper_", texts)

    def finding(self) -> tuple[Finding | None, str]:
        """The verdict of the hook that is worse off."""
        assessment = self.work.assessment()
        found = [assessment.hook, assessment.upper_hook]
        return _gravest(found), assessment.hook_problem or assessment.upper_hook_problem
