"""Label templates by name: the shipped ones and a shop's own, which win."""

import tomllib
from decimal import Decimal
from pathlib import Path

import fieldlog
from fieldlog.domain.label_content import WITHDRAWN
from fieldlog.errors import NotFoundError, Problem, TemplateError
from fieldlog.printing.layouts import Template
from fieldlog.printing.template_checks import check
from fieldlog.printing.template_reader import Faults, read

SUFFIX = ".toml"
USUAL, USUAL_FOR = "a4-3x8-70x37", {WITHDRAWN: "a4-2x4-99x67"}
"""What is printed on where no template is named, and for kinds that have no place on it."""


def usual_template(kind: str) -> str:
    """The name of the template for a kind of label where nobody names one."""
    return USUAL_FOR.get(kind, USUAL)


def shipped_folder() -> Path:
    """Where the shipped templates lie: inside an installed fieldlog, at the top of the tree in a checkout."""
    package = Path(fieldlog.__file__).parent
    installed = package / "label_templates"
    return installed if installed.is_dir() else package.parent / "label_templates"


def template_names(own: Path | None = None) -> list[str]:
    """Names of all templates, those in the shop's folder `own` among them, in alphabetical order."""
    return sorted({path.stem for folder in _folders(own) for path in folder.glob(f"*{SUFFIX}")})


def load_template(name_or_path: str | Path, own: Path | None = None) -> Template:
    """The template of that name, looked for in `own` first, or the one in that file.

    A Path, or a text that ends with '.toml', is a file. Raises NotFoundError where there is none, and
    TemplateError with all its faults where it can not be used.
    """
    path = _find(name_or_path, own)
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeError) as error:
        raise _faulty(
            path, [Problem(place=str(path), wrong=f"can not be read as UTF-8 text: {error}.")]
        ) from error
    try:
        table = tomllib.loads(text, parse_float=Decimal)
    except (tomllib.TOMLDecodeError, ArithmeticError) as error:
        raise _faulty(path, [Problem(place=path.name, wrong=f"is not TOML: {error}.")]) from error
    faults = Faults(path.name)
    draft = read(table, faults)
    check(draft, faults)
    if faults.found or draft.page is None or draft.grid is None:
        raise _faulty(path, faults.found)
    return Template(
        name=path.stem,
        title=draft.title or path.stem,
        page=draft.page,
        grid=draft.grid,
        layouts=draft.layouts,
    )


def _folders(own: Path | None) -> list[Path]:
    return [own, shipped_folder()] if own else [shipped_folder()]


def _find(name_or_path: str | Path, own: Path | None) -> Path:
    if isinstance(name_or_path, Path) or name_or_path.endswith(SUFFIX):
        path = Path(name_or_path)
        if not path.is_file():
            raise NotFoundError(f"There is no label template {path}.")
        return path
    names = template_names(own)
    if name_or_path not in names:
        raise NotFoundError(f"There is no label template {name_or_path!r}; there are: {', '.join(names)}.")
    return next(path for folder in _folders(own) if (path := folder / f"{name_or_path}{SUFFIX}").is_file())


def _faulty(path: Path, faults: list[Problem]) -> TemplateError:
    return TemplateError(f"The label template {path} can not be used:", faults)
