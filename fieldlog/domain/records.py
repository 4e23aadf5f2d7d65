"""What was seen or done, as values: the one door to every kind of record and the words they are made of.

Every body is sealed as one line of a logbook.
"""

from fieldlog.domain.entries import Body, Draft, Entry, Unknown
from fieldlog.domain.fleet_records import Notice, Retired, TakenIn, TakenOver
from fieldlog.domain.hoist_records import BookValue, ChainSize, Hoist
from fieldlog.domain.inspection_records import (
    Answer,
    ChainReading,
    Defect,
    DiameterReading,
    HookReading,
    Inspection,
    PitchReading,
    UnusedLinks,
)
from fieldlog.domain.seal_records import Signature
from fieldlog.domain.service_records import (
    ChainFitted,
    ExpertConditions,
    HoursLogged,
    LabelPrinted,
    LoadTest,
    Mending,
    ReturnToService,
    SetIdle,
    StruckOut,
    Withdrawal,
)
from fieldlog.domain.shop_records import Instrument, Person, PrinterOffset, ShopSettings, SigningKey, Site
from fieldlog.domain.vocabulary import (
    AnswerKind,
    Basis,
    DefectGrade,
    Drive,
    InspectionKind,
    KeyDeed,
    ServiceClass,
)

__all__ = [
    "Answer",
    "AnswerKind",
    "Basis",
    "Body",
    "BookValue",
    "ChainFitted",
    "ChainReading",
    "ChainSize",
    "Defect",
    "DefectGrade",
    "DiameterReading",
    "Draft",
    "Drive",
    "Entry",
    "ExpertConditions",
    "Hoist",
    "HookReading",
    "HoursLogged",
    "Inspection",
    "InspectionKind",
    "Instrument",
    "KeyDeed",
    "LabelPrinted",
    "LoadTest",
    "Mending",
    "Notice",
    "Person",
    "PitchReading",
    "PrinterOffset",
    "Retired",
    "ReturnToService",
    "ServiceClass",
    "SetIdle",
    "ShopSettings",
    "Signature",
    "SigningKey",
    "Site",
    "StruckOut",
    "TakenIn",
    "TakenOver",
    "Unknown",
    "UnusedLinks",
    "Withdrawal",
]
