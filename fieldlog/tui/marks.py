"""Words and marks for verdicts and states. Every mark is plain ASCII, so that any terminal shows it."""

from textual.widget import Widget

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind
from fieldlog.domain.verdict import Fitness

VERDICT_MARKS = {
    Verdict.KEEP: "+ keep",
    Verdict.WATCH: "! watch",
    Verdict.UNDECIDED: "? undecided",
    Verdict.DISCARD: "X discard",
}
FITNESS_MARKS = {
    Fitness.IN_SERVICE: "+ in service",
    Fitness.LIMITED: "! limited",
    Fitness.OUT_OF_SERVICE: "X OUT OF SERVICE",
}
ANSWER_MARKS = {
    AnswerKind.OK: "ok",
    AnswerKind.DEFECT: "DEFECT",
    AnswerKind.NOT_APPLICABLE: "n/a",
    AnswerKind.NOT_SEEN: "not seen",
}

VERDICT_TONES = {
    Verdict.KEEP: "good",
    Verdict.WATCH: "caution",
    Verdict.UNDECIDED: "caution",
    Verdict.DISCARD: "bad",
}
FITNESS_TONES = {
    Fitness.IN_SERVICE: "good",
    Fitness.LIMITED: "caution",
    Fitness.OUT_OF_SERVICE: "bad",
}
ANSWER_TONES = {
    AnswerKind.OK: "good",
    AnswerKind.DEFECT: "bad",
    AnswerKind.NOT_APPLICABLE: "plain",
    AnswerKind.NOT_SEEN: "caution",
}

CAUTION = (
    "Isolate and lock out before opening. Never measure under load. The maker's book and local codes govern."
)
A_PERSON_DECIDES = "A verdict helps a competent person and does not replace one."

TONES = ("good", "caution", "bad")


def show_tone(widget: Widget, tone: str = "") -> None:
    """Give a widget this tone and take the others away; an empty one leaves it without."""
    for other in TONES:
        widget.set_class(other == tone, other)
