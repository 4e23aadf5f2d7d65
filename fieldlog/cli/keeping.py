"""Commands that keep the record: verify, strike, people, backup, restore, store."""

import argparse
from argparse import Namespace
from collections.abc import Callable
from typing import Any

_HEADS_HELP = (
    "a file kept elsewhere: written with every logbook's head where it is missing, compared with where it"
    " is there"
)
_KEY_HELP = "the public key, as ~/.ssh/id_ed25519.pub, or SHA256:... of one that the store knows"
_SEALED = "Changes the store's {file} and seals a record of it, under the name of who is at the keys (--as)."
_VERIFY = """\
Checks every chain by its raw bytes, every line's shape, the order of dates, what lines say of each
other, signatures, and the register against the logbooks. One line a problem: place, what, what to do.
Whoever can write the store can forge it as a whole, so keep a heads file where they can not: it also
finds logbooks that were cut or deleted.

exit codes: 0 clean, 1 problems were found, 2 could not run
"""
_Commands = Any  # argparse gives its collection of commands no public name
_AddStore = Callable[[argparse.ArgumentParser], None]


def add_to(commands_of: _Commands, add_store: _AddStore) -> None:
    """Add these commands; `add_store` gives each the options that name the store and who is at the keys."""
    for add in (_add_verify, _add_strike, _add_people, _add_backup, _add_store_verbs):
        add(commands_of, add_store)


def _add_verify(commands_of: _Commands, add_store: _AddStore) -> None:
    verify = commands_of.add_parser(
        "verify",
        help="check that no record was lost or changed",
        description=_VERIFY,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_store(verify)
    verify.add_argument("tags", nargs="*", metavar="ID", help="only these hoists")
    verify.add_argument("--heads", metavar="FILE", default="", help=_HEADS_HELP)
    verify.add_argument(
        "--renew", action="store_true", help="with --heads: write the file anew after a clean comparison"
    )
    verify.set_defaults(run=_lazily("verify"))


def _add_strike(commands_of: _Commands, add_store: _AddStore) -> None:
    strike = commands_of.add_parser("strike", help="strike out a sealed record; it stays visible")
    add_store(strike)
    strike.add_argument("tag", metavar="TAG", help="the hoist")
    strike.add_argument("line", metavar="LINE", help="number of the line, or the first 8 digits of its hash")
    strike.add_argument("--why", metavar="TEXT", required=True, help="the reason, which stays beside it")
    strike.add_argument(
        "--redo",
        action="store_true",
        help="begin a draft with what the struck inspection said, to be put right",
    )
    strike.set_defaults(run=_lazily("strike"))


def _add_people(commands_of: _Commands, add_store: _AddStore) -> None:
    people = commands_of.add_parser("people", help="who may seal and sign")
    verbs = people.add_subparsers(dest="verb", required=True, metavar="VERB")
    listed = verbs.add_parser("list", help="everybody with the keys that may sign for them")
    add_store(listed)
    listed.set_defaults(run=_lazily("people_list"))
    trust = verbs.add_parser(
        "trust",
        help="record that a key may sign for somebody",
        description=_SEALED.format(file="allowed_signers"),
    )
    add_store(trust)
    trust.add_argument("name", metavar="NAME")
    trust.add_argument("key", metavar="KEY.pub", help=_KEY_HELP)
    trust.add_argument("--until", metavar="YYYY-MM-DD", default="", help="the last day on which it may sign")
    trust.add_argument(
        "--sign-with",
        metavar="FILE",
        default="",
        help="sign with this private key file (else the agent's key)",
    )
    trust.set_defaults(run=_lazily("people_trust"))
    revoke = verbs.add_parser(
        "revoke",
        help="believe nothing any more that a key has signed",
        description=_SEALED.format(file="revoked_keys"),
    )
    add_store(revoke)
    revoke.add_argument("key", metavar="KEY.pub", help=_KEY_HELP)
    revoke.set_defaults(run=_lazily("people_revoke"))


def _add_backup(commands_of: _Commands, add_store: _AddStore) -> None:
    backup = commands_of.add_parser("backup", help="everything in one zip, readable without fieldlog")
    add_store(backup)
    backup.add_argument("file", metavar="FILE", help="a new file, as saltmarsh-2026-11-25.zip")
    backup.set_defaults(run=_lazily("backup"))
    restore = commands_of.add_parser("restore", help="a backup put into a new folder, after it was checked")
    restore.add_argument("file", metavar="FILE")
    restore.add_argument("folder", metavar="DIR", help="a new or empty folder")
    restore.set_defaults(run=_lazily("restore"))


def _add_store_verbs(commands_of: _Commands, add_store: _AddStore) -> None:
    store = commands_of.add_parser("store", help="who may read and write the store")
    verbs = store.add_subparsers(dest="verb", required=True, metavar="VERB")
    share = verbs.add_parser("share", help="open it to a group of this host (2770)")
    add_store(share)
    share.add_argument("group", metavar="GROUP")
    share.set_defaults(run=_lazily("store_share"))
    private = verbs.add_parser("private", help="close it to all but you (0700)")
    add_store(private)
    private.set_defaults(run=_lazily("store_private"))


def _lazily(name: str) -> Callable[[Namespace], int]:
    """The command of that name; what it needs is imported only when it is run."""

    def run(chosen: Namespace) -> int:
        from fieldlog.cli import keeping_commands

        code: int = getattr(keeping_commands, name)(chosen)
        return code

    return run
