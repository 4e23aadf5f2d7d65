"""What the shell asks while a command is typed; loaded only when it asks."""

import argparse
from argparse import Namespace
from collections.abc import Iterable

TAGS_SHOWN = 200


def complete(parser: argparse.ArgumentParser) -> None:
    """Answer the shell and end the process."""
    from argcomplete import autocomplete

    _offer_tags(parser)
    autocomplete(parser, always_complete_options=False)


def _offer_tags(parser: argparse.ArgumentParser) -> None:
    for action in parser._actions:  # argparse gives no public way to what was added
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                _offer_tags(below)
        elif action.dest in ("tag", "tags"):
            action.completer = _tags  # type: ignore[attr-defined]


def _tags(prefix: str, parsed_args: Namespace, **_: object) -> Iterable[str]:
    """Tags of the store, in small letters where those are typed; none where there is no store."""
    from fieldlog.cli.context import store_root
    from fieldlog.store.logbooks import Logbooks

    names = Logbooks(store_root(parsed_args)).hoist_names()
    found = [name for name in names if name.startswith(prefix.upper())][:TAGS_SHOWN]
    # The shell takes only what begins as it was typed.
    return [name.lower() for name in found] if prefix.islower() else found
