"""The help page: the keys of the screen one is on, read from its own bindings, then what holds everywhere."""

from collections.abc import Iterable

from textual.binding import Binding
from textual.screen import Screen

ALWAYS = (
    "Scan a tag on any screen, or type it after F2 and Enter. Case, dashes, O for 0 do not matter.",
    "Lengths: 234.1, 234,1, 234.1 mm, 9.21 in, 9 7/32 in. A bare number takes the unit beside the field.",
    "Everything typed is kept at once as a draft; a cut line or a crash loses at most the key being typed.",
    "Sealing writes one line into the hoist's logbook under your name. It is never changed after that.",
    "Verdicts: + keep, ! watch, ? undecided (measure again with a finer tool), X discard.",
    "Ctrl-Q leaves.",
)
NAMES = {
    "slash": "/",
    "escape": "Esc",
    "enter": "Enter",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "up": "Up",
    "down": "Down",
    "home": "Home",
    "end": "End",
    "ctrl+q": "Ctrl-Q",
    "ctrl+z": "Ctrl-Z",
}


def key_words(binding: Binding) -> str:
    """A key as it stands on the keyboard."""
    key = binding.key
    is_function_key = key.startswith("f") and key[1:].isdigit()
    return NAMES.get(key, key.upper() if is_function_key else key)


def _told(bindings: Iterable[Binding]) -> dict[str, list[str]]:
    """Keys by what they do."""
    found: dict[str, list[str]] = {}
    for binding in bindings:
        says = f"{binding.description}: {binding.tooltip}" if binding.tooltip else binding.description
        found.setdefault(says, []).append(key_words(binding))
    return found


def help_lines(screen: Screen[object]) -> list[str]:
    """Every key that does something on this screen, then what holds everywhere."""
    active = [held.binding for held in screen.active_bindings.values() if held.enabled]
    shown = [b for b in active if b.id is not None and b.id.split(".")[0] != "command"]
    lines = [f"{' '.join(keys):<14} {what}" for what, keys in _told(shown).items()]
    return [*lines, "", *ALWAYS]
