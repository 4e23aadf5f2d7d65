"""Sources, limits and findings: a reading against a limit under measurement doubt."""

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum
from statistics import variance

from msgspec import Struct

from fieldlog.errors import InputError


class Certainty(StrEnum):
    """How well a rule's figure is known; shown wherever the rule is."""

    PUBLISHED = "published"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"


class Verdict(StrEnum):
    """What a reading says. Undecided never counts as a pass."""

    KEEP = "keep"
    WATCH = "watch"
    UNDECIDED = "undecided"
    DISCARD = "discard"


SEVERITY = {Verdict.KEEP: 0, Verdict.WATCH: 1, Verdict.UNDECIDED: 2, Verdict.DISCARD: 3}


class Source(Struct, frozen=True, kw_only=True):
    """Where a figure stands: title, edition, clause and how certain it is."""

    id: str
    title: str
    edition: str = ""
    clause: str = ""
    certainty: Certainty


class Limit(Struct, frozen=True, kw_only=True):
    """A limit that is met at `value`: `above` says whether the bad side lies above it.

    `inclusive` says whether a reading exactly at the limit is already bad.
    """

    value: Decimal
    unit: str
    above: bool = True
    inclusive: bool = True


class Finding(Struct, frozen=True, kw_only=True):
    """A verdict with all that is needed to defend it after the rules have changed.

    `value`, `limit` and `margin` are in `unit`; margin is what is left before the limit and is
    negative past it. `source` is the citation in words, `certainty` how well it is known. `steps` is the
    arithmetic with the numbers filled in, a line a step.
    """

    criterion: str
    component: str
    verdict: Verdict
    value: Decimal | None = None
    limit: Decimal | None = None
    margin: Decimal | None = None
    unit: str = ""
    why: str
    source: str
    certainty: Certainty
    rulebook: str = ""
    edition: str = ""
    steps: tuple[str, ...] = ()


def cite(source: Source) -> str:
    """The source in one line: title, edition, clause; certainty where it is not published."""
    parts = [source.title, source.edition, source.clause]
    text = ", ".join(part for part in parts if part)
    return text if source.certainty is Certainty.PUBLISHED else f"{text} ({source.certainty})"


def worst(verdicts: list[Verdict]) -> Verdict | None:
    """The gravest of the verdicts, or None where there are none."""
    return max(verdicts, key=SEVERITY.__getitem__, default=None)


def governing(findings: Sequence[Finding]) -> dict[str, Finding]:
    """The finding that governs each component: the gravest, and among equals the nearest to its limit."""
    result: dict[str, Finding] = {}
    for finding in findings:
        held = result.get(finding.component)
        if held is None or _rank(finding) > _rank(held):
            result[finding.component] = finding
    return result


def _rank(finding: Finding) -> tuple[int, bool, Decimal]:
    # One without a figure (a go/no-go gauge) must not hide the figure of one as grave. What is left
    # is taken as a share of the limit, since readings may span different numbers of links.
    if finding.margin is None or finding.limit is None or finding.limit <= 0:
        return SEVERITY[finding.verdict], False, Decimal(0)
    return SEVERITY[finding.verdict], True, -finding.margin / finding.limit


def guard_band(mpe: Decimal, repeats: Sequence[Decimal] = ()) -> Decimal:
    """Guard band w in the unit of `mpe`, the maximum permissible error of an instrument.

    Taken as a rectangular distribution, u = MPE / sqrt(3); one-sided 95 %, w = 1.645 u. Two or more
    readings taken again at one place add the standard deviation of their mean: u^2 = MPE^2/3 + s^2/n.
    Rounded up at the fourth decimal, to the safe side.
    Source: ISO 14253-1:2017 default conformity probability 95 % (from memory); JCGM 106, z = 1.645
    (from memory); JCGM 100:2008, 4.2.3 and 5.1.2, for the mean of repeated readings (from memory).
    Example: rule of class II, MPE 0.5 mm, gives 0.4749 mm.
    """
    if mpe < 0:
        raise InputError(f"an instrument's error can not be negative: {mpe}")
    scatter = variance(repeats) / len(repeats) if len(repeats) > 1 else Decimal(0)
    doubt = (mpe * mpe / 3 + scatter).sqrt() * Decimal("1.645")
    return doubt.quantize(Decimal("0.0001"), rounding=ROUND_CEILING) if doubt else Decimal(0)


def judge(value: Decimal, limit: Limit, guard: Decimal, watch_at: Decimal | None = None) -> Verdict:
    """The verdict on a value, all in the limit's unit.

    Past the limit (or at it, where it is inclusive) is discard, without any allowance for doubt:
    safety comes first. Nearer to it than the guard band is undecided. At or past `watch_at` is watch.
    """
    sign = 1 if limit.above else -1
    distance = sign * (limit.value - value)
    if distance < 0 or (limit.inclusive and distance == 0):
        return Verdict.DISCARD
    if guard and distance <= guard:
        return Verdict.UNDECIDED
    if watch_at is not None and sign * (value - watch_at) >= 0:
        return Verdict.WATCH
    return Verdict.KEEP
