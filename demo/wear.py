"""How the invented chains and hooks wear, and what the tools of the works read on them.

Invented figures, chosen so that they look like a shop's own. Wear runs evenly with time; every reading
scatters by less than half of what its tool is read to.
"""

from decimal import ROUND_HALF_EVEN, Decimal
from random import Random

from .hands import Figures
from .works import Machine, Tool

LINKS = 11
GROWTH_SHARE = {"electric": Decimal("0.015"), "air": Decimal("0.015"), "hand": Decimal("0.025")}
PLACE_SHARES = (1.0, 0.72, 0.55)
"""Wear at the usual working height, at the hook end and the stop end, as shares of the worst."""
DISCARD_SHARE = 1.03
"""How far a chain had gone when it was changed, as a share of the allowed growth."""
FITTED_OVER_MM = Decimal("0.2")
"""What a new chain of the works measures over the computed length."""
FINE = Decimal("0.05")
COARSE = Decimal("0.1")
THINNING = 0.03
"""Wire worn away, as a share of its diameter, when all of the allowed growth is used."""


def pitch_mm(machine: Machine) -> Decimal:
    """The nominal pitch [mm] of the machine's chain."""
    return Decimal(machine.chain.split("x")[1])


def fitted_length_mm(machine: Machine) -> Decimal:
    """What a new chain measures over the gauge length [mm] when it is fitted."""
    return LINKS * pitch_mm(machine) + FITTED_OVER_MM


def reference_mm(machine: Machine, days_ago: int) -> Decimal:
    """The length [mm] that growth is counted from on that day: fitted, by the book, or computed."""
    if machine.chain_changed and days_ago <= machine.chain_changed:
        return fitted_length_mm(machine)
    return Decimal(machine.book.get("book_length", LINKS * pitch_mm(machine)))


def allowed_mm(machine: Machine, days_ago: int) -> Decimal:
    """The growth [mm] that is allowed on that day."""
    if "book_discard" in machine.book:
        return Decimal(machine.book["book_discard"]) - reference_mm(machine, days_ago)
    return GROWTH_SHARE[machine.drive] * LINKS * pitch_mm(machine)


def _between(first: float, last: float, from_days: int, to_days: int, days_ago: int) -> float:
    gone = (from_days - days_ago) / (from_days - to_days)
    return first + (last - first) * gone


def used_share(machine: Machine, days_ago: int) -> float:
    """The share of the allowed growth that is used up on that day."""
    first, last = (percent / 100 for percent in machine.worn)
    changed = machine.chain_changed
    if not changed:
        return _between(first, last, machine.taken, 0, days_ago)
    if days_ago > changed:
        return _between(first, DISCARD_SHARE, machine.taken, changed, days_ago)
    return _between(0, last, changed, 0, days_ago)


def _read(value: float, step: Decimal) -> Decimal:
    """The value as read to `step`."""
    return (Decimal(value) / step).quantize(Decimal(1), rounding=ROUND_HALF_EVEN) * step


def _length(machine: Machine, days_ago: int, place_share: float, tool: Tool, rng: Random) -> Decimal:
    share = used_share(machine, days_ago) * place_share
    reference = reference_mm(machine, days_ago)
    scatter = rng.uniform(-0.4, 0.4) * float(tool.step_mm)
    length = float(reference) + share * float(allowed_mm(machine, days_ago)) + scatter
    return max(_read(length, tool.step_mm), reference)


def _diameters(machine: Machine, days_ago: int) -> tuple[Decimal, Decimal]:
    nominal = float(machine.chain.split("x")[0])
    thin = nominal * (1 - THINNING * used_share(machine, days_ago))
    return _read(thin, FINE), _read((thin + nominal) / 2, FINE)


def _throat(machine: Machine, days_ago: int) -> Decimal:
    first, last = machine.opened
    percent = _between(first, last, machine.taken, 0, days_ago)
    return _read(machine.throat_mm * (1 + percent / 100), COARSE)


def measure(machine: Machine, days_ago: int, tool: Tool, rng: Random, *, comma: bool, whole: bool) -> Figures:
    """What is read on that day, as typed; the diameters and the hook only where the `whole` hoist is done."""

    def typed(value: Decimal) -> str:
        return str(value).replace(".", ",") if comma else str(value)

    d1, d2 = _diameters(machine, days_ago)
    return Figures(
        instrument="" if machine.gauge else tool.name,
        lengths=tuple(
            "" if machine.gauge else typed(_length(machine, days_ago, share, tool, rng))
            for share in PLACE_SHARES
        ),
        gap=machine.gauge,
        d1=typed(d1) if whole else "",
        d2=typed(d2) if whole else "",
        throat=typed(_throat(machine, days_ago)) if whole else "",
    )
