"""The JSON Schema of what is exported, as it stands in the package."""

from pathlib import Path

FILE = Path(__file__).with_name("export.schema.json")


def schema_text() -> str:
    """The schema (JSON Schema, draft 2020-12) as JSON text."""
    return FILE.read_text(encoding="utf-8")
