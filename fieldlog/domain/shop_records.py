"""The shop's own settings, people, signing keys, instruments and sites, as values.

A record has no behaviour; questions about it are functions elsewhere. Lengths are millimetres, masses
kilograms, both Decimal. A new field needs a default, so that lines written before it still open.
"""

from datetime import date
from decimal import Decimal
from typing import ClassVar

from msgspec import Struct

from fieldlog.domain.vocabulary import InspectionKind, KeyDeed


class ShopSettings(Struct, frozen=True, kw_only=True):
    """The shop's own choices; the last record holds.

    `length_unit` and `mass_unit` are those that paper speaks in; every record stays in mm and kg.
    """

    kind: ClassVar[str] = "settings"

    shop: str
    prefix: str
    rulebook: str
    stricter_rule_governs: bool = False
    address: str = ""
    length_unit: str = "mm"
    mass_unit: str = "kg"


class Person(Struct, frozen=True, kw_only=True):
    """Somebody who may sit at the keys; the last record of a name holds.

    The addresses, and `self_employed` for one without an employer, are particulars that a report may need.
    `key_file` is the SSH key that signs what this person seals, as ~/.ssh/id_ed25519; empty: the agent's.
    `seals` names the kinds of inspection that this person may seal; empty: every kind.
    """

    kind: ClassVar[str] = "person"

    name: str
    login: str = ""
    qualification: str = ""
    employer: str = ""
    may_seal: bool = True
    until: date | None = None
    address: str = ""
    employer_address: str = ""
    self_employed: bool = False
    key_file: str = ""
    seals: tuple[InspectionKind, ...] = ()


class SigningKey(Struct, frozen=True, kw_only=True):
    """That an SSH key may sign for a person, or is believed no more; what allowed_signers is compared with.

    Of a key that may sign for a principal the last record holds; a key once revoked stays so. `key` is the
    public key's type and text, `fingerprint` as `ssh-keygen -l` shows it, `principal` who signs with it as
    allowed_signers names them, `name` who that is, both empty for a revoked key that was nobody's, and
    `until` the last day on which it may sign.
    """

    kind: ClassVar[str] = "signing key"

    deed: KeyDeed
    key: str
    fingerprint: str
    principal: str = ""
    name: str = ""
    until: date | None = None


class Instrument(Struct, frozen=True, kw_only=True):
    """A measuring instrument; the last record of a name holds, earlier ones are its history."""

    kind: ClassVar[str] = "instrument"

    name: str
    type: str
    calibrated_on: date | None = None
    interval_months: int | None = None
    passed: bool = True
    certificate: str = ""


class Site(Struct, frozen=True, kw_only=True):
    """A place where hoists hang, with the rulebook that holds there and whose the hoists are."""

    kind: ClassVar[str] = "site"

    name: str
    address: str = ""
    rulebook: str = ""
    owner: str = ""
    owner_address: str = ""


class PrinterOffset(Struct, frozen=True, kw_only=True):
    """How far a print queue has to be moved to the right and down to meet the paper; the last one holds."""

    kind: ClassVar[str] = "printer offset"

    queue: str
    x_mm: Decimal
    y_mm: Decimal
