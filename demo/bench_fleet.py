"""Many hoists for the benchmark: the records of the invented works again and again under other tags.

Every line is one that fieldlog sealed; only tag, uid, moment and the hashes it names are new, so that each
logbook holds as fieldlog's own would. Written without waiting for the disk.
"""

import re
import shutil
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from random import Random

from fieldlog.domain.tag_id import make_id, may_be_given_out
from fieldlog.store.ending import GENESIS

LINES = 40
PREFIX = "SW"
_HEAD = re.compile(rb'^\{"v":1,"prev":"[0-9a-f]{64}","uid":"[0-9a-f]{32}"')
_AT = re.compile(rb'"at":"([^"]+)"')
_PRINTED = re.compile(rb'"head":"([0-9a-f]{10})"')


def tags(count: int) -> Iterator[str]:
    """So many tag IDs, as they would be given out."""
    number = 0
    while count:
        number += 1
        if may_be_given_out(PREFIX, number):
            count -= 1
            yield make_id(PREFIX, number)


def forty(lines: list[bytes]) -> list[bytes]:
    """Forty lines of one hoist: its own, then its last check without a defect again and again."""
    kept = lines[:LINES]
    checks = [line for line in kept if b'"kind":"inspection"' in line and b'"defects":[]' in line]
    last = _AT.search(kept[-1])
    assert last is not None
    again = _AT.sub(b'"at":"' + last[1] + b'"', checks[-1], count=1)
    return kept + [again] * (LINES - len(kept))


def chained(lines: list[bytes], old_tag: str, tag: str, chance: Random) -> bytes:
    """These lines as another hoist's logbook."""
    prev = GENESIS
    new_of: dict[bytes, bytes] = {}
    made = []
    for line in lines:
        head = b'{"v":1,"prev":"%s","uid":"%032x"' % (prev.encode(), chance.getrandbits(128))
        fresh = _HEAD.sub(head, line, count=1).replace(old_tag.encode(), tag.encode())
        fresh = _PRINTED.sub(lambda held: b'"head":"' + new_of.get(held[1], held[1]) + b'"', fresh)
        prev = sha256(fresh).hexdigest()
        new_of[sha256(line).hexdigest()[:10].encode()] = prev[:10].encode()
        made.append(fresh)
    return b"".join(made)


def write_fleet(
    works: Path, root: Path, count: int, progress: Callable[[int, int], None] | None = None
) -> int:
    """A store at `root` with `count` hoists of 40 lines, made from the store `works`; its size in bytes."""
    shutil.copytree(works / "shop", root / "shop")
    folder = root / "logbooks"
    folder.mkdir(mode=0o700)
    sources = [
        (path.stem, forty(path.read_bytes().splitlines(keepends=True)))
        for path in sorted((works / "logbooks").glob("*.jsonl"))
    ]
    chance, size = Random("Saltmarsh"), 0
    for done, tag in enumerate(tags(count), start=1):
        old_tag, lines = sources[done % len(sources)]
        data = chained(lines, old_tag, tag, chance)
        (folder / f"{tag}.jsonl").write_bytes(data)
        size += len(data)
        if progress is not None:
            progress(done, count)
    return size
