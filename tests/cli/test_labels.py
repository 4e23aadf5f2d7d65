"""Proves that every kind of label comes out of the command line, recorded and true, and what is refused."""

import os
from pathlib import Path

import pytest

from fieldlog.cli import main
from fieldlog.errors import NotSavedError
from fieldlog.operations import label_log
from fieldlog.operations.shop import Shop
from tests.cli.labelled import Run, hall_of_three, labelling, printed, refused
from tests.operations.builder import TODAY
from tests.printing.specimens import SHEETS, codes, ink_mm, picture, seen, words


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return hall_of_three(tmp_path / "store")


@pytest.fixture
def tags(shop: Shop) -> list[str]:
    return shop.logbooks.hoist_names()


@pytest.fixture
def run(
    shop: Shop, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    return labelling(shop, tmp_path, capsys, monkeypatch)


@pytest.mark.parametrize(
    ("kind", "which", "template", "says", "on_paper"),
    [
        ("tag", 0, "a4-3x8-70x37", "SW-", "500 kg"),
        ("due", 0, "a4-3x8-70x37", "2027-11-25", "due 2027-11-25"),
        ("withdrawn", 1, "a4-2x4-99x67", "2026-11-25", "Remove only by Ada Fenn, or by a named authoriser"),
        ("chain", 0, "a4-3x8-70x37", "5 x 15 mm, 167.475 mm", "discard at 167.475 mm"),
    ],
)
def test_each_kind_is_written_and_recorded(
    *,
    run: Run,
    shop: Shop,
    tags: list[str],
    tmp_path: Path,
    kind: str,
    which: int,
    template: str,
    says: str,
    on_paper: str,
):
    answer = run(kind, tags[which], "--out", tmp_path / "label.pdf")
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == f"{tmp_path / 'label.pdf'}: 1 label, 1 page(s)\n"
    pdf = (tmp_path / "label.pdf").read_bytes()
    assert codes(picture(pdf, 203)) == [f"FL:{tags[which]}"]
    assert on_paper in " ".join(words(pdf).split())
    (record,) = printed(shop, tags[which])
    assert (record.label, record.template, record.copies, record.done_on) == (kind, template, 1, TODAY)
    assert record.says.startswith(says)


def test_a_shelf_label_is_typed_and_recorded_for_its_hoist_or_for_the_shop(
    run: Run, shop: Shop, tags: list[str], tmp_path: Path
):
    typed = ("--length", "12.5", "--certificate", "C-0418", "--note", "rack 4")
    assert run("spare", tags[0], *typed).code == 0
    text = words((tmp_path / "spare.pdf").read_bytes())
    for fact in (
        "5 x 15 mm",
        "grade T",
        "12.5 m",
        "certificate C-0418",
        "received 2026-11-25",
        f"for {tags[0]}",
    ):
        assert fact in text
    assert printed(shop, tags[0])[0].says == "5 x 15 mm, 12.5 m, C-0418"
    assert run("spare", "--chain", "7x21", "--grade", "DAT", *typed, "--replace").code == 0
    assert codes(picture((tmp_path / "spare.pdf").read_bytes(), 203)) == []
    assert printed(shop, "settings")[0].says == "7 x 21 mm, 12.5 m, C-0418"
    answer = run("spare", "--length", "12.5")
    assert (answer.code, answer.out) == (2, "")
    assert "Chain dn x pn is missing" in answer.err


def test_a_proof_page_needs_no_hoist_and_leaves_no_record(run: Run, shop: Shop, tmp_path: Path):
    before = shop.logbooks.read("settings").head
    answer = run("proof", "--template", "roll-62", "--offset", "-1.5,2")
    assert (answer.code, answer.out) == (0, "proof.pdf: proof page of 62 mm roll, labels of 62 x 40 mm\n")
    pdf = (tmp_path / "proof.pdf").read_bytes()
    assert codes(picture(pdf, 203)) == ["FL:PROOF"]
    assert "offset -1.5, 2 mm" in words(pdf)
    assert shop.logbooks.read("settings").head == before


def test_where_nothing_can_be_recorded_nothing_is_printed(
    run: Run, tags: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(os, "access", lambda *_: False)
    answer = run("tag", tags[0], "--out", tmp_path / "label.pdf")
    assert refused(answer, 5, "nothing was printed: it could not be recorded", "can only be read from here")
    assert not (tmp_path / "label.pdf").exists()


def test_what_was_printed_but_not_recorded_is_told_so(
    run: Run, tags: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    def full(*_: object, **__: object) -> None:
        raise NotSavedError("the disk is full")

    monkeypatch.setattr(label_log, "append", full)
    answer = run("tag", tags[0], "--out", tmp_path / "label.pdf")
    assert (answer.code, answer.err) == (5, "fieldlog: Printed, but not recorded: the disk is full\n")


def test_a_second_print_says_so_on_paper_and_to_who_prints(run: Run, tags: list[str], tmp_path: Path):
    assert run("due", tags[0]).out == "due.pdf: 1 label, 1 page(s)\n"
    assert "print 2" not in words((tmp_path / "due.pdf").read_bytes())
    again = run("due", tags[0], "--replace")
    expected = (
        f"{tags[0]}: the same due sticker was printed on 2026-11-25, this is print 2; destroy the old one."
    )
    assert again.out.splitlines()[1] == expected
    assert "print 2" in words((tmp_path / "due.pdf").read_bytes())
    run("tag", tags[0])
    assert "the same asset tag was printed on 2026-11-25; destroy" in run("tag", tags[0], "--replace").out


def test_copies_start_and_offset_reach_the_paper(run: Run, shop: Shop, tags: list[str], tmp_path: Path):
    answer = run("tag", tags[0], tags[1], "--copies", "2", "--start", "23", "--offset", "-1.5,0.25")
    assert answer.out.startswith("tag.pdf: 4 labels, 2 page(s)")
    pdf = (tmp_path / "tag.pdf").read_bytes()
    assert [len(codes(picture(pdf, 203, page))) for page in (0, 1)] == [2, 2]
    assert [record.copies for record in printed(shop, tags[0])] == [2]
    name = "a4-3x8-70x37"
    plain = run("tag", tags[0], tags[1], "--copies", "2", "--start", "23", "--out", "plain.pdf")
    assert plain.code == 0
    moved, still = (
        ink_mm(seen(name, data, 300), name) for data in (pdf, (tmp_path / "plain.pdf").read_bytes())
    )
    assert moved[0] - still[0] == pytest.approx(-1.5, abs=0.1)
    assert moved[1] - still[1] == pytest.approx(0.25, abs=0.1)


def test_the_day_s_stickers_are_printed_and_the_refused_ones_named(
    run: Run, shop: Shop, tags: list[str], tmp_path: Path
):
    answer = run("due", "--done-on", "2026-11-25", "--out", "day.pdf")
    assert answer.code == 4
    assert answer.out.splitlines() == [
        "day.pdf: 1 label, 1 page(s)",
        f"left out: no due sticker for {tags[1]}: D1: latch bent",
    ]
    assert len(printed(shop, tags[0])) == 1
    assert printed(shop, tags[1]) == []
    assert run("tag", "--site", "intake", "--out", "site.pdf").out.startswith("site.pdf: 3 labels, 1 page")
    assert sorted(codes(picture((tmp_path / "site.pdf").read_bytes(), 203))) == [f"FL:{tag}" for tag in tags]
    assert refused(run("due", "--done-on", "2026-11-24"), 4, "no hoist is chosen for a due sticker")
    assert refused(run("due", "--site", "nowhere"), 3, "no hoist hangs at a site called 'nowhere'")
    assert refused(run("due", "--done-on", "24.11.2026"), 2, "--done-on")


def test_a_preview_says_where_each_label_goes_and_does_nothing(
    run: Run, shop: Shop, tags: list[str], tmp_path: Path
):
    before = shop.logbooks.read(tags[0]).head
    answer = run("due", tags[0], "--start", "5", "--copies", "2", "--preview")
    assert answer.out.splitlines()[-2:] == [
        f"page 1, position 5 (row 2, column 2): due {tags[0]}: 2027-11-25",
        f"page 1, position 6 (row 2, column 3): due {tags[0]}: 2027-11-25",
    ]
    assert not list(tmp_path.glob("*.pdf"))
    assert shop.logbooks.read(tags[0]).head == before
    assert refused(run("due", tags[0], "--start", "25", "--preview"), 2, "Position 25")


@pytest.mark.parametrize(
    ("arguments", "code", "word"),
    [
        (("withdrawn", "{0}"), 4, "withdraw it first"),
        (("due", "{0}", "--year-colour", "rainbow"), 2, "six-years-due"),
        (("tag", "{0}", "--offset", "1"), 2, "two lengths in mm"),
        (("tag", "{0}", "--offset", "1,5,2"), 2, "two lengths in mm"),
        (("tag", "{0}", "--offset", "99,0"), 2, "pushes print off the page"),
        (("tag", "{0}", "--copies", "0"), 2, "0 copies"),
        (("tag", "{0}", "--template", "nowhere"), 3, "a4-2x7-99x38"),
        (("withdrawn", "{1}", "--template", "roll-62"), 2, "only for tag, due, chain, spare"),
        (("spare", "999"), 3, "999"),
    ],
)
def test_what_can_not_be_printed_is_one_sentence_and_leaves_nothing(
    *,
    run: Run,
    shop: Shop,
    tags: list[str],
    tmp_path: Path,
    arguments: tuple[str, ...],
    code: int,
    word: str,
):
    told = [argument.format(*tags) for argument in arguments]
    assert refused(run(*told), code, word)
    assert not list(tmp_path.glob("*.pdf"))
    assert [printed(shop, tag) for tag in tags] == [[], [], []]


def test_the_year_s_colour_is_printed_where_it_is_asked_for(run: Run, tags: list[str], tmp_path: Path):
    run("due", tags[0], "--year-colour", "six-years-due")
    assert "2027 yellow" in words((tmp_path / "due.pdf").read_bytes())


def test_a_shop_s_own_template_wins(run: Run, shop: Shop, tags: list[str], tmp_path: Path):
    own = shop.root / "label_templates"
    own.mkdir()
    shipped = Path(__file__).parents[2] / "label_templates" / "roll-62.toml"
    text = shipped.read_text(encoding="utf-8").replace('title = "62 mm roll', 'title = "our roll')
    (own / "roll-62.toml").write_text(text, encoding="utf-8")
    assert "our roll" in run("tag", tags[0], "--template", "roll-62", "--preview").out


def test_sheets_name_the_kinds_that_they_have_room_for(shop: Shop, capsys: pytest.CaptureFixture[str]):
    assert main(["--store", str(shop.root), "sheets"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == sorted(SHEETS)
    by_name = {line.split()[0]: line.rsplit(": ", 1)[1].split() for line in lines}
    assert by_name["roll-62"] == ["tag", "due", "chain", "spare"]
    assert "withdrawn" in by_name["roll-62x100"]
