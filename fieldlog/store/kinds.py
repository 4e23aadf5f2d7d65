"""Every kind of record that this version reads, by its name in a line, and the version of the lines."""

from typing import Any, get_args

from fieldlog.domain.records import Body, Unknown

VERSION = 1
KINDS: dict[str, type[Any]] = {shape.kind: shape for shape in get_args(Body) if shape is not Unknown}
