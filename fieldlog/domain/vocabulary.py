"""The words that records choose from."""

from enum import StrEnum


class Drive(StrEnum):
    """What moves the hoist."""

    ELECTRIC = "electric"
    AIR = "air"
    HAND = "hand"


class ServiceClass(StrEnum):
    """How hard the hoist works. Source: DOE-STD-1090-96, 8.2.2."""

    NORMAL = "normal"
    HEAVY = "heavy"
    SEVERE = "severe"


class InspectionKind(StrEnum):
    """The occasions of an inspection."""

    FIRST_USE = "before first use"
    PRE_USE = "pre-use"
    FREQUENT = "frequent"
    PERIODIC = "periodic"
    AFTER_REPAIR = "after repair"
    AFTER_EVENT = "after an event"
    AFTER_MOVE = "after a move"


class AnswerKind(StrEnum):
    """The four answers to a checklist item; 'not seen' is never a pass."""

    OK = "ok"
    DEFECT = "defect"
    NOT_APPLICABLE = "not applicable"
    NOT_SEEN = "not seen"


class DefectGrade(StrEnum):
    """What a defect does to the use of the hoist."""

    STOPS_NOW = "stops use now"
    STOPS_FROM = "stops use from a date"
    WATCH = "watch"
    NOTED = "noted"


class Basis(StrEnum):
    """How the gauge length is taken: inside or outside the end links, or with a go/no-go gauge."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    GAUGE = "gauge"


class KeyDeed(StrEnum):
    """What a record says of an SSH key."""

    MAY_SIGN = "may sign"
    REVOKED = "revoked"
