"""Hoist IDs: shop prefix, number and check character, as `SW-0008-M`, and what people make of them.

The check character is ISO 7064 MOD 37,36 over prefix and padded number. Numbers whose check character would
be O or I are never given out, so that O and 0, I and 1 can be read as the same thing wherever they stand.
"""

import re
from collections.abc import Iterable, Iterator

from fieldlog.errors import InputError
from fieldlog.units import quoted

SCAN_PREFIX = "FL:"
LARGEST_NUMBER = 999_999
LONGEST_TEXT = 40

_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CONFUSABLE = "OI"
_CANONICAL = re.compile(r"([A-Z]{2,4})-([0-9]{4}|[1-9][0-9]{4,5})-([0-9A-HJ-NP-Z])")
_PREFIX = re.compile(r"[A-Z]{2,4}")
_NUMBER = re.compile(r"[0-9]{4}|[1-9][0-9]{4,5}")
_TO_DIGITS = str.maketrans("OI", "01")
_TO_LETTERS = str.maketrans("01", "OI")
# Hyphens and dashes that keyboards, phones and word processors put for a plain one.
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−﹣－", "-"))
_SHAPE = "2 to 4 letters, the number in at least 4 digits and a check character, as SW-0008-M"


def check_character(payload: str) -> str:
    """The check character for `payload`, one or more of 0-9 and A-Z; InputError for anything else.

    ISO 7064 MOD 37,36 (hybrid): P = 36; for each value v: S = (P + v) mod 36, or 36 where that is 0, and
    P = 2 S mod 37; the check value is (1 - P) mod 36. It tells every single wrong character and most, but
    not all, swaps of neighbours: JAXWJDI9 and JAWXJDI9 have the same one.
    Source: ISO/IEC 7064 (from memory); checked with the example of a GRid, A12425GABC1234002 gives M.
    """
    if not payload or any(char not in _ALPHABET for char in payload):
        raise InputError(f"{quoted(payload)} can have no check character; use the digits 0-9 and letters A-Z")
    product = 36
    for char in payload:
        total = (product + _ALPHABET.index(char)) % 36 or 36
        product = 2 * total % 37
    return _ALPHABET[(1 - product) % 36]


def make_id(prefix: str, number: int) -> str:
    """The ID of that number; InputError for a bad prefix, a bad number or one that is not given out."""
    payload = _payload(prefix, number)
    check = check_character(payload)
    if check in _CONFUSABLE:
        fault = f"would end in {check}, which looks like a digit"
        raise InputError(f"number {number} of prefix {prefix} {fault}; take another number")
    return f"{prefix}-{payload.removeprefix(prefix)}-{check}"


def may_be_given_out(prefix: str, number: int) -> bool:
    """Whether that number's check character is neither O nor I. InputError for a bad prefix or number."""
    return check_character(_payload(prefix, number)) not in _CONFUSABLE


def next_number(prefix: str, taken: Iterable[str]) -> int:
    """One above the highest number of `prefix` among the IDs `taken`, passing over those not given out.

    Gaps are not filled: a number that was given out once is never another hoist. InputError for a bad prefix
    and where the numbers have run out.
    """
    _payload(prefix, 1)
    matches = (_CANONICAL.fullmatch(hoist_id) for hoist_id in taken if hoist_id.startswith(f"{prefix}-"))
    highest = max((int(match[2]) for match in matches if match), default=0)
    for number in range(highest + 1, LARGEST_NUMBER + 1):
        if may_be_given_out(prefix, number):
            return number
    raise InputError(f"prefix {prefix} has no number left below {LARGEST_NUMBER + 1}; choose another prefix")


def parse_id(text: str) -> str:
    """The canonical ID that was typed or scanned; InputError where it is none or its check is wrong.

    Tolerates small letters, spaces, missing and other dashes, a scan's `FL:`, and O for 0 or I for 1 in any
    place and the other way round. A dash that was typed has to stand where an ID has one. Without dashes
    the prefix may end in more than one place, as I and O are letters or digits then; such readings differ
    in one character or in two neighbours (IO and 10, II and 11), so that only one has the right check.
    """
    compact, dashes = _compact(text)
    check = compact[-1:].translate(_TO_DIGITS)
    shown = quoted(text.strip())
    readings = [
        (prefix, number)
        for prefix, number in _readings(compact[:-1])
        if check in _ALPHABET and dashes <= {len(prefix), len(prefix + number)}
    ]
    if not readings:
        raise InputError(f"{shown} is not a tag ID; write {_SHAPE}")
    for prefix, number in readings:
        if check_character(prefix + number) == check:
            return f"{prefix}-{number}-{check}"
    raise InputError(f"no such tag: check the last character of {shown}")


def looks_like_scan(text: str) -> bool:
    """Whether the text begins as the code on a tag does, with `FL:`, in capitals or not."""
    start = text.lstrip()[: len(SCAN_PREFIX)]
    return start.isascii() and start.upper() == SCAN_PREFIX


def scan_text(hoist_id: str) -> str:
    """What the code on the tag of that hoist says."""
    return SCAN_PREFIX + hoist_id


def prefix_of(hoist_id: str) -> str:
    """The shop prefix of a canonical ID; InputError for anything else."""
    return _canonical(hoist_id)[1]


def number_of(hoist_id: str) -> int:
    """The number of a canonical ID; InputError for anything else."""
    return int(_canonical(hoist_id)[2])


def near(text: str, known: Iterable[str], most: int = 3) -> list[str]:
    """At most `most` of the `known` IDs that could be meant by `text`, closest first.

    First the ID itself, then those one wrong, missing, additional or swapped pair of characters away, of
    these the ones with the right number before the others. If there are none, those with the same number.
    """
    typed = _plain_text(text)
    ids = list(known)
    numbers = _numbers_in(typed)
    folded = _folded(typed)
    around = _around(folded)
    close = []
    for hoist_id in ids:
        other = _folded(hoist_id)
        if other in around:
            close.append((other != folded, _number_or_none(hoist_id) not in numbers, hoist_id))
    if close:
        return [hoist_id for *_, hoist_id in sorted(close)[:most]]
    return sorted(hoist_id for hoist_id in ids if _number_or_none(hoist_id) in numbers)[:most]


def _payload(prefix: str, number: int) -> str:
    if not _PREFIX.fullmatch(prefix):
        raise InputError(f"prefix {quoted(prefix)} can not be used; write 2 to 4 letters A to Z")
    if not 1 <= number <= LARGEST_NUMBER:
        raise InputError(f"number {number} can not be used; write a whole number from 1 to {LARGEST_NUMBER}")
    return f"{prefix}{number:04}"


def _canonical(hoist_id: str) -> re.Match[str]:
    match = _CANONICAL.fullmatch(hoist_id)
    if not match:
        raise InputError(f"{quoted(hoist_id)} is not a tag ID; write {_SHAPE}")
    return match


def _plain_text(text: str) -> str:
    """The first 80 characters in capitals with plain dashes, without blanks and scan prefix."""
    # Capitals are made of ASCII only: other alphabets have small letters whose capital is one of ours.
    plain = "".join(text.strip()[: 2 * LONGEST_TEXT].split()).translate(_DASHES)
    return (plain.upper() if plain.isascii() else plain).removeprefix(SCAN_PREFIX)


def _compact(text: str) -> tuple[str, set[int]]:
    """The characters without dashes, and before which of them a dash was typed."""
    if len(text.strip()) > LONGEST_TEXT:
        raise InputError(f"{quoted(text.strip())} is longer than a tag ID; write {_SHAPE}")
    plain = _plain_text(text).strip("-")
    groups = re.split("-+", plain)
    ends = [len("".join(groups[:count])) for count in range(1, len(groups))]
    return "".join(groups), set(ends)


def _readings(payload: str) -> Iterator[tuple[str, str]]:
    """Every way to see a prefix and a number in characters that were typed without dashes."""
    for length in (2, 3, 4):
        prefix, number = payload[:length].translate(_TO_LETTERS), payload[length:].translate(_TO_DIGITS)
        if _PREFIX.fullmatch(prefix) and _NUMBER.fullmatch(number) and int(number):
            yield prefix, number


def _folded(text: str) -> str:
    """Without dashes, and with O and 0, I and 1 made the same."""
    return text.replace("-", "").replace("O", "0").replace("I", "1")


def _around(folded: str) -> set[str]:
    """The text itself and all texts one wrong, missing, additional or swapped pair of characters away.

    Made once from the typed text, so that each known ID costs one look into a set.
    """
    around = {folded}
    for place in range(len(folded) + 1):
        before, after = folded[:place], folded[place:]
        around.update(before + char + after for char in _ALPHABET)
        around.update(before + char + after[1:] for char in _ALPHABET if after)
        around.add(before + after[1:])
        if len(after) > 1:
            around.add(before + after[1] + after[0] + after[2:])
    return around


def _number_or_none(hoist_id: str) -> int | None:
    match = _CANONICAL.fullmatch(hoist_id)
    return int(match[2]) if match else None


def _numbers_in(typed: str) -> set[int]:
    """The numbers that the longest run of digits may stand for."""
    digits = max(re.findall("[0-9]+", typed), key=len, default="")
    numbers = {int(digits)} if digits else set()
    # Typed without dashes, the last digit may be the check character.
    if len(digits) > 4 and typed.endswith(digits) and "-" not in typed:
        numbers.add(int(digits[:-1]))
    return numbers
