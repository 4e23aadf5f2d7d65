"""What is done to a hoist besides inspecting it, as values.

A record has no behaviour; questions about it are functions elsewhere. Lengths are millimetres, masses
kilograms, both Decimal. A new field needs a default, so that lines written before it still open.
"""

from datetime import date
from decimal import Decimal
from typing import ClassVar

from msgspec import Struct

from fieldlog.domain.criteria import Finding
from fieldlog.domain.hoist_records import ChainSize
from fieldlog.domain.vocabulary import Basis


class Withdrawal(Struct, frozen=True, kw_only=True):
    """The hoist is taken out of service by a person."""

    kind: ClassVar[str] = "withdrawal"

    done_on: date
    reason: str
    lock: str = ""


class ReturnToService(Struct, frozen=True, kw_only=True):
    """The hoist may be used again; the two statements are asked, never assumed.

    Locks come off by who put them on, or somebody else whom `locks_authorised_by` let; `test` names the
    test that proved the load path where it had been opened.
    """

    kind: ClassVar[str] = "return"

    done_on: date
    guards_on_tools_out: bool
    locks_removed_by: str = ""
    test: str = ""
    remark: str = ""
    locks_put_on_by: str = ""
    locks_authorised_by: str = ""


class Mending(Struct, frozen=True, kw_only=True):
    """Defects mended: by which part or work, and who checked it."""

    kind: ClassVar[str] = "mending"

    done_on: date
    defects: tuple[str, ...]
    work: str
    checked_by: str
    load_path: bool = False


class ChainFitted(Struct, frozen=True, kw_only=True):
    """A new chain life: chain, pocket wheel and both guides as one set, with its baseline reading."""

    kind: ClassVar[str] = "chain fitted"

    done_on: date
    chain: ChainSize
    length_mm: Decimal | None = None
    certificate: str = ""
    wheel_and_guides_too: bool = True
    why_part_only: str = ""
    why_other_size: str = ""
    baseline_links: int | None = None
    baseline_basis: Basis = Basis.INSIDE
    baseline_mm: Decimal | None = None
    defects_mended: tuple[str, ...] = ()


class LoadTest(Struct, frozen=True, kw_only=True):
    """A load test: the load that was required and the one that was reached."""

    kind: ClassVar[str] = "load test"

    done_on: date
    required_kg: Decimal
    reached_kg: Decimal
    passed: bool
    remark: str = ""
    findings: tuple[Finding, ...] = ()


class HoursLogged(Struct, frozen=True, kw_only=True):
    """Running hours, known on a day: what the counter reads (`total`), or what was run since `since`.

    The loads are told by the load spectrum factor `km` or by the id of a `spectrum` class, and `factor` is
    the id of the life factor by how all this is known. `new_counter`: it began again from zero.
    """

    kind: ClassVar[str] = "hours"

    done_on: date
    hours: Decimal
    total: bool = False
    since: date | None = None
    km: Decimal | None = None
    spectrum: str = ""
    factor: str = ""
    new_counter: bool = False
    remark: str = ""


class SetIdle(Struct, frozen=True, kw_only=True):
    """The hoist is not used from a day on; `until_on` where the day of its next use is known already."""

    kind: ClassVar[str] = "idle"

    from_on: date
    why: str
    until_on: date | None = None


class ExpertConditions(Struct, frozen=True, kw_only=True):
    """Conditions under which an expert lets a hoist run on whose design life is used up."""

    kind: ClassVar[str] = "expert conditions"

    done_on: date
    by_whom: str
    conditions: str
    until: date | None = None
    document: str = ""


class LabelPrinted(Struct, frozen=True, kw_only=True):
    """Paper that left the shop: kind of label, what it said and the head it was printed from."""

    kind: ClassVar[str] = "label printed"

    done_on: date
    label: str
    template: str
    says: str
    head: str
    copies: int = 1


class StruckOut(Struct, frozen=True, kw_only=True):
    """A sealed record that does not hold, named by the SHA-256 of its line, and why."""

    kind: ClassVar[str] = "struck out"

    line: str
    why: str
