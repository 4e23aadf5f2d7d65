"""Until when the records of one hoist are to be kept."""

from fieldlog.domain.criteria import cite
from fieldlog.domain.retention import Kept, retention_of
from fieldlog.operations.shop import OpenHoist

OPEN_ENDED = "open ended"


def kept_records(opened: OpenHoist) -> tuple[Kept, ...]:
    """Every record of the hoist that the rulebook asks to keep, until when, and by which rule."""
    return retention_of(opened.history, opened.rulebook)


def retention_lines(opened: OpenHoist) -> list[str]:
    """The answer for people: one line a record, then the rules that hold. fieldlog itself deletes nothing."""
    kept = kept_records(opened)
    lines = [
        f"line {one.number:<4} {one.day.isoformat()}  {one.kind:<18} keep until "
        + (OPEN_ENDED if one.until is None else one.until.isoformat())
        for one in kept
    ]
    rules = {one.rule.id: one.rule for one in kept}
    for rule in rules.values():
        source = cite(rule.source).removesuffix(f" ({rule.source.certainty})")
        lines += ["", f"{rule.records}: until {rule.until}", f"   {source} [{rule.source.certainty}]"]
    return lines or [f"rulebook {opened.rulebook.name} asks to keep no record of this hoist"]
