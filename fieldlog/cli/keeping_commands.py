"""What the commands that keep the record do: verify, strike, people, backup, restore, store."""

import sys
from argparse import Namespace
from pathlib import Path

from fieldlog.cli import context
from fieldlog.cli.commands import one_tag, who
from fieldlog.cli.context import shop_of, store_root
from fieldlog.cli.progress import working
from fieldlog.domain.counting import counted
from fieldlog.errors import FieldlogError, InputError, NotFoundError
from fieldlog.operations.shop import need_settings, open_records

CLEAN, PROBLEMS, COULD_NOT = 0, 1, 2


def verify(chosen: Namespace) -> int:
    """Check the store or some hoists; what can not be run at all ends with 2."""
    from fieldlog.operations.keeping import need_records
    from fieldlog.operations.verifying import verify as run

    try:
        shop = open_records(store_root(chosen))
        need_records(shop)
        names = list(dict.fromkeys(one_tag(shop, tag) for tag in chosen.tags))
        heads = Path(chosen.heads).expanduser() if chosen.heads else None
        if chosen.renew and heads is None:
            raise InputError("--renew needs --heads FILE")
        with working("verifying") as tell:
            found = run(shop, names, heads=heads, renew=chosen.renew, progress=tell)
    except FieldlogError as fault:
        print(f"fieldlog: {fault}", file=sys.stderr)
        return COULD_NOT
    for problem in found.problems:
        print(problem)
    for note in found.notes:
        print(f"note: {note}")
    signed = f"{found.signed:,} signed, {found.unsigned:,} unsigned"
    counts = f"{counted(found.lines, 'line')} in {counted(found.logbooks, 'logbook')}, {signed}"
    print(f"{counts}: {counted(len(found.problems), 'problem') if found.problems else 'clean'}")
    if found.heads:
        print(found.heads)
    return PROBLEMS if found.problems else CLEAN


def strike(chosen: Namespace) -> int:
    """Strike out a line, sign that where there is a key, and begin the right record if that is asked for."""
    from fieldlog.operations.correcting import find_line, strike_and_redo, strike_out
    from fieldlog.operations.signing import sign_sealed

    shop = shop_of(chosen)
    need_settings(shop)
    by, moment = who(shop, chosen), context.now()
    tag = one_tag(shop, chosen.tag)
    line = find_line(shop, tag, chosen.line)
    redo = ""
    if chosen.redo:
        entry, draft, _ = strike_and_redo(
            shop, tag, line.line, chosen.why, by=by, now=moment, today=moment.date()
        )
        redo = f"; a draft with what it said waits on the hoist's page (saved {draft.saved:%H:%M})"
    else:
        entry = strike_out(shop, tag, line.line, chosen.why, by=by, now=moment, today=moment.date())
    signed = sign_sealed(shop, tag, entry, by=by, now=moment)
    print(f"{tag}: line {line.number} ({line.body.kind}) is struck out by line {entry.number}{redo}")
    print(f"signed by line {signed.entry.number}" if signed.entry else signed.why)
    return 0


def people_list(chosen: Namespace) -> int:
    """Everybody, with the keys that may sign for them."""
    from fieldlog.operations.trusting import signers_by_person

    shop = shop_of(chosen)
    need_settings(shop)
    for row in signers_by_person(shop):
        until = f", may seal until {row.person.until.isoformat()}" if row.person.until else ""
        may = "may seal" if row.person.may_seal else "may look only"
        if row.person.may_seal and row.person.seals:
            may = f"may seal {', '.join(row.person.seals)} inspections"
        print(f"{row.person.name}: {may}{until}")
        for key in row.keys:
            print(f"  {key}")
        if not row.keys:
            print("  unsigned: no key is trusted")
    return 0


def people_trust(chosen: Namespace) -> int:
    """Record that a key may sign for somebody."""
    from fieldlog.operations.trusting import trust_key
    from fieldlog.units import parse_date

    shop = shop_of(chosen)
    need_settings(shop)
    by = who(shop, chosen)
    until = parse_date(chosen.until, "--until") if chosen.until else None
    signer = trust_key(
        shop,
        chosen.name,
        chosen.key,
        until=until,
        sign_with=chosen.sign_with,
        by=by,
        now=context.now(),
    )
    last = f" until {until.isoformat()}" if until else ""
    print(f"{chosen.name} may sign with {signer.key.fingerprint}{last}, called {signer.principal} there")
    return 0


def people_revoke(chosen: Namespace) -> int:
    """Record that nothing which a key signed is believed any more."""
    from fieldlog.operations.trusting import revoke_key

    shop = shop_of(chosen)
    need_settings(shop)
    key = revoke_key(shop, chosen.key, by=who(shop, chosen), now=context.now())
    print(f"{key.fingerprint} is revoked: verify tells of every line that it signed")
    return 0


def backup(chosen: Namespace) -> int:
    """One zip with everything that can not be worked out anew."""
    from fieldlog.operations.keeping import back_up

    shop = open_records(store_root(chosen))
    file = Path(chosen.file).expanduser()
    with working("backing up") as tell:
        report = back_up(shop, file, progress=tell)
    print(f"{file}: {counted(report.logbooks, 'logbook')}, {report.size:,} bytes of records")
    return _told(
        report.problems, "in the store already; all that could be read is in the backup as it stands"
    )


def restore(chosen: Namespace) -> int:
    """A backup put into a new folder."""
    from fieldlog.operations.keeping import restore_backup

    file, folder = Path(chosen.file).expanduser(), Path(chosen.folder).expanduser()
    if not file.is_file():
        raise NotFoundError(f"there is no backup {file}")
    with working("restoring") as tell:
        report = restore_backup(file, folder, progress=tell)
    print(f"{folder}: {counted(report.files, 'file')}, {report.size:,} bytes; fieldlog --store {folder}")
    return _told(report.problems, "known since the backup was taken")


def _told(problems: "tuple[object, ...]", what: str) -> int:
    for problem in problems:
        print(problem)
    if problems:
        print(f"{counted(len(problems), 'problem')} {what}")
    return PROBLEMS if problems else CLEAN


def store_share(chosen: Namespace) -> int:
    """Open the store to a group."""
    from fieldlog.operations.keeping import share_with

    root = store_root(chosen)
    with working("sharing") as tell:
        count = share_with(root, chosen.group, progress=tell)
    print(f"{root}: open to the group {chosen.group} ({counted(count, 'file')} and folders)")
    return 0


def store_private(chosen: Namespace) -> int:
    """Close the store to all but its owner."""
    from fieldlog.operations.keeping import keep_private

    root = store_root(chosen)
    if not root.is_dir():
        raise NotFoundError(f"there is no store {root}")
    with working("closing") as tell:
        count = keep_private(root, progress=tell)
    print(f"{root}: closed to all but you ({counted(count, 'file')} and folders)")
    return 0
