"""No command writes over a file unasked; --replace and standard output stay for scripts."""

from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

from fieldlog.cli import main
from fieldlog.operations.label_log import last_printed
from fieldlog.operations.paper import content
from fieldlog.operations.shop import Shop, open_hoist, open_shop
from tests.cli.conftest import Answer, is_one_sentence
from tests.demo.written import DAY, MOMENT
from tests.operations.report_samples import story

Run = Callable[..., Answer]
ADA = ("--as", "Ada Fenn")
REFUSED = "is there already: name another file with --out, or add --replace"


@pytest.fixture
def own(shop: Shop, tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A copy, because what is printed is recorded."""
    return open_shop(copytree(shop.root, tmp_path_factory.mktemp("own") / "store"))


@pytest.fixture
def started(run: Run, own: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Answer]:
    """Run a command on the shop from a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: run("--store", own.root, *ADA, *arguments)


def commands(shop: Shop, tag: str) -> dict[str, tuple[str, ...]]:
    """A command for everything that ends in a file, and the file that it proposes or is given."""
    site = open_hoist(shop, tag).hoist.site
    return {
        f"inspection-{tag}.pdf": ("report", "inspection", tag),
        f"logbook-{tag}.pdf": ("report", "logbook", tag),
        "figures.pdf": ("report", "figures", "--out", "figures.pdf"),
        "visit.pdf": ("visit", site, "--out", "visit.pdf"),
        "due.csv": ("export", "due", "--out", "due.csv"),
        "schema.json": ("export", "schema", "--out", "schema.json"),
        "tag.pdf": ("label", "tag", tag),
        "proof.pdf": ("label", "proof"),
        "own.pdf": ("label", "chain", tag, "--out", "own.pdf"),
    }


def test_a_file_that_is_there_is_refused_in_one_sentence_and_stays(
    started: Run, own: Shop, tags: dict[str, str]
) -> None:
    for name, command in commands(own, tags["near-limit"]).items():
        Path(name).write_bytes(b"mine")
        answer = started(*command)
        assert (answer.code, answer.out) == (2, ""), name
        assert is_one_sentence(answer.err), answer.err
        assert answer.err == f"fieldlog: {name} {REFUSED}\n"
        assert Path(name).read_bytes() == b"mine"
        assert started(*command, "--replace").code == 0, name
        assert Path(name).read_bytes() != b"mine"


def test_a_label_that_is_refused_its_file_is_not_recorded(
    started: Run, own: Shop, tags: dict[str, str]
) -> None:
    tag = tags["withdrawn"]
    Path("withdrawn.pdf").write_bytes(b"mine")
    assert started("label", "withdrawn", tag).code == 2
    assert last_printed(own, content(own, tag, "withdrawn", today=DAY)) is None
    assert started("label", "withdrawn", tag, "--preview").code == 0, "nothing is written by a preview"


def test_a_notice_of_one_defect_has_a_name_of_its_own(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop, tag = story(tmp_path / "store")
    monkeypatch.chdir(tmp_path)
    for options, name in (((), f"notice-{tag}.pdf"), (("--defect", "D2"), f"notice-{tag}-D2.pdf")):
        answer = run("--store", shop.root, "report", "notice", tag, *options)
        assert answer.out.startswith(f"{name}: "), answer.err


def test_a_calendar_goes_on_from_the_last_one_and_spares_every_other_file(started: Run) -> None:
    command = ("export", "due", "--format", "ics", "--out", "due.ics")
    assert started(*command).code == 0
    assert started(*command).code == 0
    Path("due.ics").write_bytes(b"mine")
    for options in ((), ("--replace",)):
        answer = started(*command, *options)
        assert (answer.code, Path("due.ics").read_bytes()) == (2, b"mine")
        assert "name a new file" in answer.err


def test_a_backup_is_never_written_over(started: Run) -> None:
    Path("shop.zip").write_bytes(b"mine")
    answer = started("backup", "shop.zip")
    assert (answer.code, answer.err) == (2, "fieldlog: shop.zip is there already: name a new file\n")
    assert Path("shop.zip").read_bytes() == b"mine"


def test_a_dash_is_standard_output_with_nothing_else_on_it(
    own: Shop,
    tags: dict[str, str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("fieldlog.cli.context.now", lambda: MOMENT)
    tag = tags["near-limit"]
    for command in (
        ("report", "inspection", tag, "--out", "-"),
        ("visit", open_hoist(own, tag).hoist.site, "--out", "-"),
        ("label", "tag", tag, "--out", "-"),
    ):
        capfdbinary.readouterr()
        assert main(["--store", str(own.root), *ADA, *command]) == 0
        out = capfdbinary.readouterr().out
        assert out.startswith(b"%PDF"), command
        assert out.rstrip().endswith(b"%%EOF"), command
    assert main(["--store", str(own.root), "export", "hoists", "--out", "-"]) == 0
    assert tag.encode() in capfdbinary.readouterr().out
    assert list(tmp_path.iterdir()) == []
