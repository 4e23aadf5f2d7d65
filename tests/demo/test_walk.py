"""Proves that the walk does its whole job without a terminal: papers that scan, a logbook whose chain
`sha256sum` confirms, figures that follow from the published rule, one plain sentence for a faulty step."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from demo import walk as walking
from demo.walk import walk
from fieldlog.cli import main
from fieldlog.domain.records import InspectionKind
from fieldlog.domain.verdict import Fitness
from fieldlog.errors import FieldlogError
from fieldlog.operations.hoist_page import hoist_page
from fieldlog.operations.shop import open_shop
from tests.demo.written import DAY, MOMENT
from tests.printing.specimens import codes, picture, words

ID = re.compile(r"SW-\d{4}-[0-9A-Z]")
SHA256SUM = shutil.which("sha256sum")


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    folder = tmp_path_factory.mktemp("walk")
    said: list[str] = []
    assert walk(folder, MOMENT, said.append) == 0
    return folder, said


def tag_of(folder: Path) -> str:
    (logbook,) = folder.glob("*.jsonl")
    return logbook.stem


def test_each_step_is_one_numbered_line(walked: tuple[Path, list[str]]):
    _, said = walked
    assert [int(line.split(".")[0]) for line in said] == list(range(1, len(said) + 1))
    assert all("\n" not in line for line in said)


def test_it_leaves_tag_sticker_and_logbook(walked: tuple[Path, list[str]]):
    folder, _ = walked
    names = {path.name for path in folder.iterdir()}
    assert names == {"store", "tag.pdf", "sticker.pdf", f"{tag_of(folder)}.jsonl"}
    copy = folder / f"{tag_of(folder)}.jsonl"
    assert copy.read_bytes() == (folder / "store" / "logbooks" / copy.name).read_bytes()


@pytest.mark.parametrize("file", ["tag.pdf", "sticker.pdf"])
@pytest.mark.parametrize("dpi", [203, 300])
def test_the_printed_codes_are_read_as_the_tag(walked: tuple[Path, list[str]], file: str, dpi: int):
    # pypdfium2 draws the page and zxing-cpp reads it: neither is used by fieldlog
    folder, _ = walked
    assert codes(picture((folder / file).read_bytes(), dpi)) == [f"FL:{tag_of(folder)}"]


def test_the_sticker_says_a_year_from_the_inspection(walked: tuple[Path, list[str]]):
    # 12 months in normal service: DOE-STD-1090-96, 8.2.2
    folder, _ = walked
    assert DAY.replace(year=DAY.year + 1).isoformat() in words((folder / "sticker.pdf").read_bytes())


@pytest.mark.skipif(SHA256SUM is None, reason="there is no sha256sum here")
def test_sha256sum_confirms_the_chain_of_the_logbook(walked: tuple[Path, list[str]], tmp_path: Path):
    folder, said = walked
    assert SHA256SUM is not None
    lines = (folder / f"{tag_of(folder)}.jsonl").read_bytes().splitlines(keepends=True)
    for number, line in enumerate(lines):
        (tmp_path / f"{number:03}").write_bytes(line)
    files = sorted(path.name for path in tmp_path.iterdir())
    done = subprocess.run([SHA256SUM, *files], cwd=tmp_path, capture_output=True, text=True, check=True)
    sums = [text.split()[0] for text in done.stdout.splitlines()]
    assert [json.loads(line)["prev"] for line in lines] == ["0" * 64, *sums[:-1]]
    assert sums[-1][:10] in said[-1]


def test_verdicts_follow_from_the_rule_and_from_the_inch(walked: tuple[Path, list[str]]):
    # 7 x 21 over 11 links is 231 mm; 1.5 % of it (DOE-STD-1090-96, ch. 8) is 3.465 mm;
    # 9 7/64 in = 583/64 x 25.4 mm (1959 agreement) = 231.378125 mm
    _, said = walked
    text = "\n".join(said)
    assert "231,3 at usual working height: grown 0.3 of 3.465 mm allowed, 9 % used: keep." in text
    assert "9 7/64 in at stop end: grown 0.378 of 3.465 mm allowed, 11 % used: keep." in text


def test_a_reading_over_twelve_links_was_questioned_and_not_sealed(walked: tuple[Path, list[str]]):
    # 252.3 mm is one pitch of 21 mm longer than what was meant
    folder, said = walked
    questioned = next(line for line in said if "questioned" in line)
    assert "12 links" in questioned
    sealed = (folder / f"{tag_of(folder)}.jsonl").read_text(encoding="utf-8")
    assert not {'"252.3"', '"252,3"'} & set(re.findall(r'"[^"]*"', sealed))
    assert '"231,3"' in sealed


def test_the_logbook_tells_the_day(walked: tuple[Path, list[str]]):
    folder, _ = walked
    lines = (folder / f"{tag_of(folder)}.jsonl").read_text(encoding="utf-8").splitlines()
    found = [json.loads(line) for line in lines]
    printed = "label printed"
    kinds = ["registration", "inspection", printed, printed, "inspection"]
    assert [line["kind"] for line in found] == kinds
    occasions = [InspectionKind.FIRST_USE, InspectionKind.FREQUENT]
    assert [line["data"]["occasion"] for line in found if line["kind"] == "inspection"] == occasions
    assert [line["data"]["label"] for line in found if line["kind"] == printed] == ["tag", "due"]


def test_the_hoist_ends_out_of_service_and_without_a_sticker(walked: tuple[Path, list[str]]):
    folder, said = walked
    page = hoist_page(open_shop(folder / "store"), tag_of(folder), DAY)
    assert page.standing.fitness is Fitness.OUT_OF_SERVICE
    assert page.drafts == ()
    refusal = next(line for line in said if "sticker is refused" in line)
    assert "latch" in refusal


def test_the_mistyped_tag_opens_nothing_and_offers_the_right_one(walked: tuple[Path, list[str]]):
    folder, said = walked
    missed = next(line for line in said if "no such tag" in line)
    assert tag_of(folder) in missed.split("near:")[1]


def give_any_sticker(shop: object, tag: str, kind: str, *, today: object) -> None:
    """A faulty operation that refuses nothing."""


def test_a_step_that_does_not_do_what_it_must_is_told_in_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    real = walking._refuse_sticker

    def with_faulty_paper(*arguments: object) -> None:
        monkeypatch.setattr(walking, "label_content", give_any_sticker)
        real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(walking, "_refuse_sticker", with_faulty_paper)
    with pytest.raises(FieldlogError, match="sticker was given"):
        walk(tmp_path / "direct", MOMENT, lambda _line: None)
    monkeypatch.undo()
    monkeypatch.setattr(walking, "_refuse_sticker", with_faulty_paper)
    assert main(["demo", "--walk", str(tmp_path / "command")]) != 0
    told = capsys.readouterr().err
    assert len(told.splitlines()) == 1
    assert "sticker was given in spite of a stopping defect" in told


def test_a_changed_logbook_is_noticed_by_the_walk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def spoil(source: Path, target: Path) -> None:
        target.write_bytes(source.read_bytes().replace(b"Brackenhaul", b"Brackenhaus", 1))

    monkeypatch.setattr(walking.shutil, "copyfile", spoil)
    with pytest.raises(FieldlogError, match="SHA-256 of the one before"):
        walk(tmp_path, MOMENT, lambda _line: None)
