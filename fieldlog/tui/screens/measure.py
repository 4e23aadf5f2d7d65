"""Wire diameter and hook: a few figures with their verdict below, while they are typed."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Label

from fieldlog.domain.criteria import Finding
from fieldlog.operations.entering import Field, read_length, read_text, read_yes_no
from fieldlog.operations.explaining import explain_finding
from fieldlog.tui.form import FormPage
from fieldlog.tui.marks import VERDICT_MARKS, VERDICT_TONES
from fieldlog.tui.work import InspectionWork
from fieldlog.units import format_mm, parse_decimal

TONES = ("good", "caution", "bad")
YES_NO = ("yes", "no")


def finding_lines(finding: Finding) -> str:
    """A verdict with what lies behind it."""
    limit = "" if finding.limit is None else f"   Limit {format_mm(finding.limit)} {finding.unit}"
    return (
        f"{VERDICT_MARKS[finding.verdict].upper()}   {finding.component}{limit}\n"
        f"{finding.why}\nRule: {finding.criterion}; {finding.source} [{finding.certainty}]"
    )


class MeasurePage(FormPage):
    """A form whose figures are judged at every key."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "send", "Done", id="measure.done", priority=True),
        Binding("f4", "explain", "Explain", id="measure.explain"),
    ]

    def __init__(self, work: InspectionWork, texts: dict[str, str]) -> None:
        super().__init__(texts)
        self.work = work

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

    def judge(self) -> None:
        """Show the verdict."""
        finding, problem = self.finding()
        strip = self.query_one("#strip", Label)
        for tone in TONES:
            strip.remove_class(tone)
        if finding is None:
            strip.update(problem)
            return
        strip.update(finding_lines(finding))
        strip.add_class(VERDICT_TONES[finding.verdict])

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
        )

    def take(self, texts: dict[str, str]) -> None:
        """Into the draft."""
        content = self.work.content
        content.diameter_place, content.d1, content.d2 = texts["place"], texts["d1"], texts["d2"]
        content.diameter_instrument = texts["instrument"]

    def finding(self) -> tuple[Finding | None, str]:
        """The diameter's verdict."""
        assessment = self.work.assessment()
        return assessment.diameter, assessment.diameter_problem


class HookPage(MeasurePage):
    """Throat opening, twist and cracks of the lower hook."""

    caution = "Clean the hook first. Any crack is discard; never weld or bend a hook back."

    def __init__(self, work: InspectionWork) -> None:
        hook = work.content.hook
        super().__init__(
            work, {"throat": hook.throat, "twist": hook.twist, "crack": "yes" if hook.crack else "no"}
        )

    def heading(self) -> str:
        """The hoist and what is measured."""
        new = self.work.opened.hoist.hook_throat_mm
        known = "not known" if new is None else f"{format_mm(new)} mm"
        return f"{self.work.opened.hoist.id}   lower hook   throat as new: {known}"

    def fields(self) -> Sequence[Field]:
        """Throat, twist, crack."""
        return (
            Field(name="throat", label="Throat now", read=read_length("the throat"), unit="mm"),
            Field(
                name="twist",
                label="Twist",
                read=lambda text: parse_decimal(text, "the twist"),
                unit="deg",
                required=False,
                hint="out of the plane of the unbent hook",
            ),
            Field(name="crack", label="Crack seen", read=read_yes_no, choices=YES_NO, default="no"),
        )

    def take(self, texts: dict[str, str]) -> None:
        """Into the draft."""
        hook = self.work.content.hook
        hook.throat, hook.twist = texts["throat"], texts["twist"]
        hook.crack = texts["crack"].strip().lower().startswith("y")

    def finding(self) -> tuple[Finding | None, str]:
        """The hook's verdict."""
        assessment = self.work.assessment()
        return assessment.hook, assessment.hook_problem
