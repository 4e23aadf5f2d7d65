"""One table feeds keys, key line, list and help: its ids are one of a kind and no screen has a key twice."""

from collections import Counter

import pytest

from fieldlog.tui.app import FieldlogApp
from fieldlog.tui.commands import COMMANDS, NO_KEY, anywhere, bindings, key_faults
from fieldlog.tui.page import Page

# Scopes that work at the same time on one screen, besides its own.
TOGETHER = {
    "due": ("app", "page", "table"),
    "hoist": ("app", "page", "table"),
    "register": ("app", "page", "table"),
    "inspect": ("app", "page", "table"),
    "seal": ("app", "page", "table"),
    "line": ("app", "page", "table"),
    "drafts": ("app", "page", "table"),
    "service": ("app", "page", "form", "drafted"),
    "registration": ("app", "page", "form", "drafted"),
    "entry": ("app", "page", "form", "drafted"),
    "print": ("app", "page", "form"),
    "report": ("app", "page", "form"),
    "figures": ("app", "page", "table"),
    "strike": ("app", "page", "form"),
    "measure": ("app", "page", "form"),
    "readings": ("app", "page"),
}
OVER = {"form.send", "app.quit"}  # a scope of its own puts another title over these


def _keys(scope: str) -> list[tuple[str, str]]:
    return [(key.strip(), command.id) for command in COMMANDS[scope] for key in command.keys.split(",")]


def test_ids_are_one_of_a_kind() -> None:
    ids = Counter(command.id for commands in COMMANDS.values() for command in commands)
    assert [name for name, count in ids.items() if count > 1] == []


def test_every_command_has_id_key_action_and_title() -> None:
    for commands in COMMANDS.values():
        for command in commands:
            assert all((command.id, command.keys, command.action, command.title)), command
            assert command.id.count(".") == 1


@pytest.mark.parametrize("scope", TOGETHER)
def test_no_key_does_two_things_on_one_screen(scope: str) -> None:
    held: dict[str, str] = {}
    for key, name in [pair for part in (*TOGETHER[scope], scope) for pair in _keys(part)]:
        other = held.setdefault(key, name)
        assert other == name or other in OVER, f"{key} is {other} and {name} where {scope} is"


def test_bindings_are_made_of_the_table() -> None:
    made = bindings("hoist", "page")
    assert [binding.id for binding in made] == [
        command.id for scope in ("hoist", "page") for command in COMMANDS[scope]
    ]
    inspect = made[0]
    assert (inspect.key, inspect.action, inspect.description, inspect.show) == (
        "i",
        "inspect",
        "Inspect",
        True,
    )


def test_what_can_be_done_anywhere_is_an_action_of_the_app_that_exists() -> None:
    for command in anywhere():
        name = command.action.removeprefix("app.").split("(")[0]
        assert hasattr(FieldlogApp, f"action_{name}"), command


def test_what_leads_out_is_in_the_table() -> None:
    ids = {command.id for commands in COMMANDS.values() for command in commands}
    assert set(NO_KEY) <= ids
    assert hasattr(Page, "action_back")


def test_no_other_keys_have_no_fault() -> None:
    assert key_faults({}) == []


def test_a_free_key_has_no_fault() -> None:
    assert key_faults({"hoist.inspect": "f6"}) == []
    assert key_faults({"hoist.inspect": "p", "hoist.print": "i"}) == [], "two may change places"


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ({"hoist.fly": "f6"}, "keys: there is no command 'hoist.fly'; F1 and F9 show them"),
        ({"page.back": "f6"}, "keys: page.back keeps its key, it leads out"),
        ({"app.quit": "f6"}, "keys: app.quit keeps its key, it leads out"),
        ({"hoist.inspect": "p"}, "keys: p would be both hoist.inspect and hoist.print"),
        ({"hoist.inspect": "f1"}, "keys: f1 would be both page.keys and hoist.inspect"),
        ({"hoist.inspect": "f6,p"}, "keys: p would be both hoist.inspect and hoist.print"),
        ({"hoist.inspect": "escape"}, "keys: escape would be both page.back and hoist.inspect"),
    ],
)
def test_a_key_that_can_not_be_given_is_named_in_one_sentence(keys: dict[str, str], fault: str) -> None:
    assert key_faults(keys) == [fault]


@pytest.mark.parametrize(
    ("keys", "clash"),
    [
        ({"hoist.inspect": "j"}, "table.down"),
        ({"service.send": "f8"}, "draft.discard"),
        ({"hoist.inspect": "ctrl+q"}, "app.quit"),
        ({"form.choice": "f10"}, "form.send"),
    ],
)
def test_a_key_that_works_on_the_same_screen_from_another_scope_is_named(
    keys: dict[str, str], clash: str
) -> None:
    assert any(clash in fault for fault in key_faults(keys))
