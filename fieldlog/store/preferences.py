"""What one user chose for the terminal: theme, signs, other keys. A small TOML file, by hand or from here."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from fieldlog.errors import FieldlogError
from fieldlog.store.files import FileCalls, replace_file

THEMES = ("dark", "light", "contrast")
SIGNS = ("auto", "full", "plain")
HEADING = 'fieldlog at this terminal. Other keys: [keys] and lines such as  hoist.inspect = "f6"'


class Preferences(Struct, frozen=True, kw_only=True):
    """A theme, how marks and lines are drawn, keys by command id, and what in the file could not be taken."""

    theme: str = THEMES[0]
    signs: str = SIGNS[0]
    keys: Mapping[str, str] = field(default_factory=dict)
    file: Path | None = None
    faults: tuple[str, ...] = ()
    unreadable: bool = False


def read_preferences(file: Path) -> Preferences:
    """What the file says; what it says wrongly is named in `faults` and the usual holds instead."""
    try:
        held = tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Preferences(file=file)
    except (OSError, ValueError) as error:
        return Preferences(file=file, faults=(f"{file} can not be read ({error})",), unreadable=True)
    faults: list[str] = [
        f"{name}: fieldlog knows theme, signs and keys only"
        for name in held
        if name not in ("theme", "signs", "keys")
    ]
    return Preferences(
        theme=_choice(held, "theme", THEMES, faults),
        signs=_choice(held, "signs", SIGNS, faults),
        keys=_keys(held.get("keys", {}), faults),
        file=file,
        faults=tuple(faults),
    )


def _choice(held: Mapping[str, Any], name: str, known: tuple[str, ...], faults: list[str]) -> str:
    value = held.get(name, known[0])
    if value in known:
        return str(value)
    faults.append(f"{name}: '{value}' is none of {', '.join(known)}")
    return known[0]


def _keys(held: object, faults: list[str]) -> dict[str, str]:
    if not isinstance(held, dict):
        faults.append("keys: write a table, [keys]")
        return {}
    keys: dict[str, str] = {}
    for name, key in _flat(held):
        if isinstance(key, str) and key.strip():
            keys[name] = key.strip()
        else:
            faults.append(f'keys: {name} needs a key in quotes, as "f6"')
    return keys


def _flat(held: Mapping[str, Any], before: str = "") -> list[tuple[str, object]]:
    """TOML reads hoist.inspect = "f6" as a table in a table; ids have a dot."""
    found: list[tuple[str, object]] = []
    for name, value in held.items():
        found += _flat(value, f"{before}{name}.") if isinstance(value, dict) else [(f"{before}{name}", value)]
    return found


def set_aside(file: Path) -> Path:
    """Give a file that can not be read another name, which is given back; FieldlogError where that fails."""
    aside, count = file.with_name(f"{file.name}.faulty"), 1
    while aside.exists():
        count += 1
        aside = file.with_name(f"{file.name}.faulty{count}")
    try:
        file.rename(aside)
    except OSError as error:
        raise FieldlogError(f"{file} can not be put aside ({error.strerror})") from error
    return aside


def write_preferences(chosen: Preferences, file: Path) -> None:
    """Put theme and signs into the file; comments and keys that are there stay.

    FieldlogError where it can not be read as TOML or written.
    """
    import tomlkit  # noqa: PLC0415 - only who changes a setting needs it
    from tomlkit.exceptions import TOMLKitError  # noqa: PLC0415

    try:
        held = tomlkit.parse(file.read_text(encoding="utf-8")) if file.exists() else tomlkit.document()
        if not file.exists():
            held.add(tomlkit.comment(HEADING))
        held["theme"], held["signs"] = chosen.theme, chosen.signs
        file.parent.mkdir(parents=True, exist_ok=True)
        replace_file(FileCalls(), file, tomlkit.dumps(held).encode(), shared=False, durable=True)
    except TOMLKitError as error:
        raise FieldlogError(f"{file} is not right as TOML ({error}): mend it by hand first") from error
    except OSError as error:
        raise FieldlogError(f"{file} can not be written ({error.strerror})") from error
