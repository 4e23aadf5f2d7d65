"""Words and marks for verdicts and states. Every mark is plain ASCII, so that any terminal shows it."""

from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal

from textual.widget import Widget

from fieldlog.domain.criteria import Verdict
from fieldlog.domain.records import AnswerKind
from fieldlog.domain.verdict import Fitness
from fieldlog.operations.due import is_only_overdue
from fieldlog.units import format_mm

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
SHORT_STATES = {**FITNESS_MARKS, Fitness.OUT_OF_SERVICE: "X OUT"}
OVERDUE = "! overdue"
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


def share(used_pct: Decimal, digits: str = "1") -> str:
    """A used share in percent, never rounded across the limit: 99.96 stays below 100, 100.04 above it."""
    told = used_pct.quantize(Decimal(digits), rounding=ROUND_HALF_UP)
    if (told < 100) is not (used_pct < 100) or (told > 100) is not (used_pct > 100):
        told = used_pct.quantize(Decimal(digits), rounding=ROUND_DOWN if used_pct < 100 else ROUND_UP)
    return f"{told} %"


def doubt(guard_mm: Decimal) -> str:
    """A guard band in millimetres, rounded up: it is never told smaller than it is."""
    return f"{format_mm(guard_mm.quantize(Decimal('0.001'), rounding=ROUND_UP))} mm"


def short_state(fitness: Fitness, *, overdue: bool) -> str:
    """May it be used: what stands against it first, then that an inspection is overdue."""
    return OVERDUE if is_only_overdue(fitness, overdue=overdue) else SHORT_STATES[fitness]


def show_tone(widget: Widget, tone: str = "") -> None:
    """Give a widget this tone and take the others away; an empty one leaves it without."""
    for other in TONES:
        widget.set_class(other == tone, other)
