"""Compares the store's allowed_signers and revoked_keys with the sealed records of who may sign.

The two files are what ssh-keygen goes by, and nothing in them is sealed: what was taken out of them, put
in or changed is found by the records alone.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from datetime import date
from pathlib import Path

from fieldlog.domain.records import Entry
from fieldlog.errors import Problem, StoreError
from fieldlog.operations.recorded_keys import RecordedKeys, Told, recorded_keys
from fieldlog.store.signers import ALLOWED, REVOKED, Row, Signer, revoked_rows, signer_rows

_NOT_OURS = "this line is not as fieldlog writes it, but ssh-keygen may go by it."
_TAKE_OUT = "Take it out; fieldlog people trust and revoke write such lines and seal a record of it."


def trust_problems(root: Path, entries: Iterable[Entry]) -> tuple[Problem, ...]:
    """What the two files in the store at `root` say otherwise than these lines of its people logbook.

    A file that does not read is a problem too; nothing is raised. No lock is taken: while somebody trusts or
    revokes a key, the one may be ahead of the other for a moment.
    """
    told = recorded_keys(entries)
    revoked, unread = _read(root, REVOKED, revoked_rows)
    allowed, unread_too = _read(root, ALLOWED, signer_rows)
    problems = [*unread, *unread_too]
    if not unread:
        problems += _revoked_problems(told, revoked)
    if not unread_too:
        gone = {*told.revoked, *(str(row.key) for row in revoked)}
        problems += _missing_signers(told, allowed, gone)
        problems += [found for row in allowed for found in _signer_problems(told, row, gone)]
    return tuple(problems)


def _read(root: Path, name: str, rows: Callable[[Path], list[Row]]) -> tuple[list[Row], list[Problem]]:
    try:
        return rows(root), []
    except StoreError as fault:
        return [], [Problem(place=name, wrong=f"{fault}.", todo="Put it back from a backup.")]


def _revoked_problems(told: RecordedKeys, rows: list[Row]) -> Iterator[Problem]:
    here = {str(row.key) for row in rows}
    for key, record in told.revoked.items():
        if key not in here:
            body = record.body
            whose = f" of {body.name}" if body.name else ""
            wrong = f"the key {body.fingerprint}{whose} was revoked {_when(record)}, but does not stand here."
            yield Problem(
                place=REVOKED, wrong=wrong, todo=f"Revoke it again: fieldlog people revoke {body.fingerprint}"
            )
    for row in rows:
        place = f"{REVOKED} line {row.number}"
        if row.key is None:
            yield Problem(place=place, wrong=_NOT_OURS, todo=_TAKE_OUT)
        elif str(row.key) not in told.revoked:
            fingerprint = row.key.fingerprint
            wrong = f"no record tells that the key {fingerprint} was revoked."
            todo = (
                "Revoke it again, so that the record tells it, or take the line out: fieldlog people revoke"
            )
            yield Problem(place=place, wrong=wrong, todo=f"{todo} {fingerprint}")


def _missing_signers(told: RecordedKeys, rows: list[Row], gone: Collection[str]) -> Iterator[Problem]:
    here = {(str(row.key), row.signer.principal) for row in rows if row.signer}
    for key, record in told.trusted.items():
        # nobody goes by what stands here of a revoked key
        if key not in here and key[0] not in gone:
            body = record.body
            may = f"{body.fingerprint} may sign for {body.name}{_until(body.until)}"
            wrong = f"{may} by the record that was sealed {_when(record)}, but does not stand here."
            yield Problem(place=ALLOWED, wrong=wrong, todo=_trust_again(record))


def _signer_problems(told: RecordedKeys, row: Row, gone: Collection[str]) -> Iterator[Problem]:
    place = f"{ALLOWED} line {row.number}"
    signer = row.signer
    if signer is None:
        yield Problem(place=place, wrong=_NOT_OURS, todo=_TAKE_OUT)
        return
    if str(signer.key) in gone:
        return
    record = told.trusted.get((str(signer.key), signer.principal))
    may = f"{signer.key.fingerprint} may sign for {signer.principal[:60]}{_until(signer.until)}"
    if record is None:
        todo = "Trust it again, so that the record tells it, or take the line out: fieldlog people trust"
        wrong = f"no record tells that {may}."
        yield Problem(place=place, wrong=wrong, todo=f"{todo} {_name(signer)} {signer.key.fingerprint}")
    elif record.body.until != signer.until:
        holds = _until(record.body.until) or " without an end"
        wrong = f"{may} here, but{holds} by the record that was sealed {_when(record)}."
        yield Problem(place=place, wrong=wrong, todo=_trust_again(record))


def _name(signer: Signer) -> str:
    return f'"{signer.principal[:60].replace("_", " ")}"'


def _trust_again(record: Told) -> str:
    body = record.body
    until = f" --until {body.until.isoformat()}" if body.until else ""
    return f'Trust it again, or revoke it: fieldlog people trust "{body.name}" {body.fingerprint}{until}'


def _until(day: date | None) -> str:
    return f" until {day.isoformat()}" if day else ""


def _when(record: Told) -> str:
    return f"by {record.by} on {record.at.date().isoformat()}"
