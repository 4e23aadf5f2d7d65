"""Where the shop's store and the user's settings lie."""

import os
from pathlib import Path

from fieldlog.errors import InputError


def store_at(named: str | None) -> Path:
    """The folder named on the command line, else FIELDLOG_STORE, else the user data directory."""
    named = named or os.environ.get("FIELDLOG_STORE", "")
    if named:
        root = Path(named).expanduser()
        if root.exists() and not root.is_dir():
            raise InputError(f"the store {root} is a file: name a folder")
        return root
    import platformdirs

    return Path(platformdirs.user_data_dir("fieldlog", appauthor=False))


def preferences_file() -> Path:
    """The file named by FIELDLOG_SETTINGS, else settings.toml in the user's configuration folder."""
    named = os.environ.get("FIELDLOG_SETTINGS", "")
    if named:
        return Path(named).expanduser()
    import platformdirs

    return Path(platformdirs.user_config_dir("fieldlog", appauthor=False)) / "settings.toml"
