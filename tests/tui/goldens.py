"""Whole screens as plain text. They pin how a screen reads; what it must say stands in the other tests.

A changed screen is read by a person first; then FIELDLOG_WRITE_GOLDENS=1 writes it anew.
"""

import os
import re
from pathlib import Path

FOLDER = Path(__file__).with_name("goldens")


def check_screen(name: str, text: str) -> None:
    """The screen is the one kept under this name, character by character."""
    path = FOLDER / f"{name}.txt"
    text = re.sub(r"\bhead [0-9a-f]{10}", "head ..........", text)  # a hash over random identities
    if os.environ.get("FIELDLOG_WRITE_GOLDENS"):
        FOLDER.mkdir(exist_ok=True)
        path.write_text(text + "\n", encoding="utf-8")
    assert text + "\n" == path.read_text(encoding="utf-8"), f"{name} reads otherwise than {path}"
