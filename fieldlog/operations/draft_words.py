"""What a draft says of itself: in one line, and whole, without taking it up."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fieldlog.domain.checklist import items_for
from fieldlog.domain.records import Draft
from fieldlog.operations.drafting import (
    INSPECTION,
    REGISTRATION,
    HookDraft,
    InspectionDraft,
    read_inspection,
)
from fieldlog.operations.entering import Field
from fieldlog.operations.shop import OpenHoist

DEEDS = {
    "withdraw": "take out of service",
    "mend": "defects mended",
    "chain": "fit a chain set",
    "test": "load test",
    "return": "return to service",
    "hours": "running hours",
    "idle": "out of use",
    "expert": "expert's conditions",
    "move": "move it",
    "notice": "defects told",
    "retire": "retire it",
}
"""What the forms of a hoist are called; the name is the kind of their drafts."""

SETTING = "setting"
"""The kind of drafts of the shop's settings; they are about the setting's name."""

FIRST_START = "first start"
"""The kind of drafts of the form that sets a store up."""

REGISTERS = {"instruments": "instrument", "people": "person", "sites": "site"}
"""What an entry of the shop's registers is called."""


def draft_says(draft: Draft) -> str:
    """What a draft is of, in one line."""
    begun = f" (begun by {draft.begun_by})" if draft.begun_by not in ("", draft.by) else ""
    return f"{_what(draft)}{begun}"


def _what(draft: Draft) -> str:
    if draft.kind == INSPECTION:
        return f"{draft.fields.get('occasion', '')} inspection"
    if draft.kind == REGISTRATION:
        named = " ".join(str(draft.fields.get(name, "")) for name in ("maker", "model", "serial"))
        return f"new hoist {named}".strip()
    if draft.kind in REGISTERS:
        return f"{REGISTERS[draft.kind]} {draft.fields.get('name', '')}".strip()
    if draft.kind == SETTING:
        return f"setting of the shop: {draft.about}"
    return DEEDS.get(draft.kind, draft.kind)


def sentence(words: str) -> str:
    """Words with a capital at the beginning; names in them stay as they are."""
    return words[:1].upper() + words[1:]


def left_open(draft: Draft) -> str:
    """Who left it open, and on which day it was kept last."""
    return f"left open by {draft.by} on {draft.saved.date().isoformat()}"


def left_words(drafts: Sequence[Draft], keys: Mapping[str, str]) -> str:
    """What was left open of one hoist, and which key takes it up; `keys` by kind. Empty where nothing was."""
    if not drafts:
        return ""
    named = [
        f"{DEEDS.get(draft.kind, draft.kind)} of {draft.begun.date().isoformat()} by {draft.by}"
        for draft in drafts
    ]
    which = " or ".join(dict.fromkeys(keys[draft.kind] for draft in drafts if draft.kind in keys))
    return f"Left open: {'; '.join(named)}. {which or 'd on the due list'} takes it up again."


def form_lines(fields: Sequence[Field], texts: Mapping[str, Any]) -> list[str]:
    """What a form holds, a line each filled field, under the labels of the form."""
    labels = {field.name: (field.label, field.unit) for field in fields}
    lines = []
    for name, text in texts.items():
        label, unit = labels.get(name, (name, ""))
        if str(text).strip():
            lines.append(f"{label}: {text}{f' {unit}' if unit else ''}")
    return lines


def inspection_lines(opened: OpenHoist, draft: Draft) -> list[str]:
    """What an inspection holds so far: answers, notes, defects and figures as typed."""
    content = read_inspection(draft)
    items = items_for(opened.hoist, content.occasion, opened.rulebook)
    titles = {item.id: item.title for item in items}
    answered = sum(held.answer is not None for held in content.answers.values())
    return [
        f"Day of the inspection: {content.done_on}",
        f"{answered} of {len(items)} answered by a key; measured items are answered by their figures",
        *_answers(content, titles),
        *_figures(content),
        *([f"Remark: {content.remark}"] if content.remark else []),
    ]


def _answers(content: InspectionDraft, titles: Mapping[str, str]) -> Iterator[str]:
    for name, held in content.answers.items():
        title = titles.get(name, name)
        defect = content.defects.get(name)
        parts = [
            "" if held.answer is None else str(held.answer.value),
            "" if defect is None else f"{defect.what} ({defect.grade.value})",
            held.note,
        ]
        yield f"{title}: {', '.join(part for part in parts if part)}"


def _figures(content: InspectionDraft) -> Iterator[str]:
    for reading in content.readings:
        if reading.text:
            yield f"Chain, {reading.place}: {reading.text} over {content.links} links, {content.instrument}"
    if content.d1 or content.d2:
        yield f"Chain diameters, {content.diameter_place}: {content.d1 or '-'} and {content.d2 or '-'}"
    for which, hook in (("Hook", content.hook), ("Upper hook", content.upper_hook)):
        yield from _hook(which, hook)
    for pitch in content.pitches:
        if pitch.pitch:
            yield f"Pitch, {pitch.place}: {pitch.pitch}"
    if content.unused:
        yield f"Unused links: {content.unused}"


def _hook(which: str, hook: HookDraft) -> Iterator[str]:
    if hook.throat:
        yield f"{which}, throat: {hook.throat}"
    if hook.twist:
        yield f"{which}, twist: {hook.twist}"
    if hook.section:
        yield f"{which}, section: {hook.section}"
    if hook.crack:
        yield f"{which}: a crack"
