"""What stands on a label, before anybody decides where it stands."""

from collections.abc import Mapping

from msgspec import Struct

from fieldlog.domain.paper_rules import YearColour

TAG = "tag"
DUE = "due"
WITHDRAWN = "withdrawn"
CHAIN = "chain"
SPARE = "spare"
PROOF = "proof"

FIELDS = {
    TAG: ("id", "capacity", "chain", "site", "place", "shop", "maker"),
    DUE: (
        *("heading", "month", "year", "kind", "id", "due", "done", "by", "shop", "head"),
        *("colour", "print"),
    ),
    WITHDRAWN: (
        *("signal", "message", "heading", "reason", "id", "site", "place", "by", "since", "lock", "remove"),
        *("shop", "head", "print"),
    ),
    CHAIN: (
        *("heading", "id", "size", "grade", "links", "nominal", "discard", "rule", "reference", "fitted"),
        *("site", "place", "shop", "head", "print"),
    ),
    SPARE: ("heading", "size", "grade", "length", "certificate", "received", "note", "id", "shop"),
    PROOF: (),
}
"""Kinds of label and their fields: asset tag, due sticker, out-of-service tag, chain plate, shelf label of a
spare chain. A proof page shows a sheet's outlines, so it has no fields of its own."""


class LabelContent(Struct, frozen=True, kw_only=True):
    """The texts of one label by field name (see FIELDS), the text of its QR code, '' for none.

    `year_colour` is the colour of the year that a due sticker names in its field `colour`.
    """

    kind: str
    texts: Mapping[str, str]
    code: str
    year_colour: YearColour | None = None


def label_name(label: LabelContent) -> str:
    """What a label is called in a list and in a message: its hoist, else its chain size, else its kind."""
    return label.texts.get("id") or label.texts.get("size") or label.code or f"{label.kind} label"
