"""Proves the commands of the fleet: moving, handing over, retiring, notices, visits, figures."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from fieldlog.operations.shop import Shop, open_shop
from tests.cli.conftest import Answer, is_one_sentence

Run = Callable[..., Answer]
ADA = ("--as", "Ada Fenn")


@pytest.fixture
def copied(shop: Shop, tmp_path: Path) -> Shop:
    shutil.copytree(shop.root, tmp_path / "store")
    return open_shop(tmp_path / "store")


def test_a_hoist_moves(run: Run, copied: Shop, tags: dict[str, str]):
    tag = tags["near-limit"]
    answer = run("--store", copied.root, *ADA, "hoist", "move", tag, "--site", "workshop", "--place", "bay 9")
    assert (answer.code, answer.err) == (0, "")
    assert "at workshop, bay 9 from 2026-11-25" in answer.out
    assert "after a move" in run("--store", copied.root, "hoist", "show", tag).out


def test_a_move_reads_no_other_hoist_to_say_what_is_due(run: Run, copied: Shop, tags: dict[str, str]):
    register = copied.root / "register.json"
    register.unlink(missing_ok=True)
    answer = run("--store", copied.root, *ADA, "hoist", "move", tags["near-limit"], "--site", "workshop")
    assert (answer.code, "due now: " in answer.out) == (0, True)
    assert not register.exists()


def test_a_hoist_goes_to_another_shop_and_comes_back_as_another_store_takes_it(
    run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
):
    tag, file = tags["near-limit"], tmp_path / "h.zip"
    given = run("--store", copied.root, *ADA, "hoist", "handover", tag, file, "--to", "Dunmere Quay")
    assert (given.code, given.err) == (0, "")
    head = given.out.split("head ")[1].split()[0]
    assert tag not in run("--store", copied.root, "due").out
    other = tmp_path / "other"
    shutil.copytree(copied.root / "shop", other / "shop")
    taken = run("--store", other, *ADA, "hoist", "takein", file, "--head", head[:10])
    assert (taken.code, taken.err) == (0, "")
    assert tag in run("--store", other, "due").out
    assert run("--store", other, "verify").code == 0
    again = run("--store", other, *ADA, "hoist", "takein", file)
    assert (again.code, is_one_sentence(again.err)) == (4, True)


def test_a_hand_over_alone_leaves_the_hoist_in_use(
    run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
):
    answer = run("--store", copied.root, "hoist", "handover", tags["near-limit"], tmp_path / "h.zip")
    assert answer.code == 0
    assert "stays in use here" in answer.out
    assert tags["near-limit"] in run("--store", copied.root, "due").out


def test_a_hoist_retires(run: Run, copied: Shop, tags: dict[str, str]):
    tag = tags["withdrawn"]
    assert run("--store", copied.root, *ADA, "hoist", "retire", tag, "--why", "scrapped").code == 0
    assert tag not in run("--store", copied.root, "due").out
    assert "retired: scrapped" in run("--store", copied.root, "hoist", "show", tag).out


def test_a_notice_is_kept_and_shown(run: Run, copied: Shop, tags: dict[str, str]):
    tag = tags["broken-guide"]
    command = ("--store", copied.root, *ADA, "hoist", "notice", tag, "--told", "Quill", "--how", "by letter")
    answer = run(*command, "--defect", "D1")
    assert (answer.code, answer.err) == (0, "")
    assert "told to Quill on 2026-11-25, by letter" in run("--store", copied.root, "hoist", "show", tag).out


def test_a_visit_is_told_to_people_and_scripts(run: Run, shop: Shop):
    answer = run("--store", shop.root, "visit", "filter", "--days", "400")
    assert answer.out.startswith("Work list for filter house")
    assert "Tools:" in answer.out
    told = json.loads(run("--store", shop.root, "visit", "filter", "--days", "400", "--json").out)
    assert set(told) == {"site", "day", "until", "jobs", "tools", "chains", "distrusted"}


def test_a_visit_can_be_taken_along_on_paper(run: Run, shop: Shop, tmp_path: Path):
    file = tmp_path / "visit.pdf"
    answer = run("--store", shop.root, "visit", "filter", "--days", "400", "--out", file)
    assert (answer.code, answer.out) == (0, f"{file}: 1 page\n")
    assert "filter house" in PdfReader(file).pages[0].extract_text()


@pytest.mark.parametrize(("arguments", "code"), [(("nowhere",), 3), (("filter", "--days", "soon"), 2)])
def test_a_visit_that_can_not_be_is_one_sentence(run: Run, shop: Shop, arguments: tuple[str, ...], code: int):
    answer = run("--store", shop.root, "visit", *arguments)
    assert (answer.code, is_one_sentence(answer.err)) == (code, True)


def test_figures_are_told_to_people_and_scripts(run: Run, shop: Shop, tags: dict[str, str]):
    assert f"{len(tags)} hoists on 2026-11-25" in run("--store", shop.root, "figures").out
    told = json.loads(run("--store", shop.root, "figures", "--json").out)
    assert (told["hoists"], len(told["load"])) == (len(tags), 12)


@pytest.mark.parametrize("verb", ["move", "handover", "takein", "retire", "notice", "import"])
def test_the_help_of_every_verb_has_an_example(run: Run, verb: str, capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit):
        run("hoist", verb, "--help")
    assert f"fieldlog hoist {verb}" in capsys.readouterr().out.split("example")[1]
