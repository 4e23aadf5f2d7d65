"""Proves each command: the facts it prints, its JSON keys, its exit code, and one sentence and nothing else
when it can not do what was asked."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.cli import commands
from fieldlog.domain.records import LabelPrinted
from fieldlog.operations.shop import Shop, open_shop, sites_in_use
from fieldlog.printing.templates import template_names
from tests.cli.conftest import Answer, is_one_sentence
from tests.demo.written import DAY, entries
from tests.printing.specimens import codes, picture

Run = Callable[..., Answer]
ADA = ("--as", "Ada Fenn")


@pytest.fixture
def copied(shop: Shop, tmp_path: Path) -> Shop:
    """The store again, for commands that write."""
    shutil.copytree(shop.root, tmp_path / "store")
    return open_shop(tmp_path / "store")


def refused(answer: Answer, code: int, *words: str) -> bool:
    """Whether a command ended with this code, nothing on standard output and one sentence of these words."""
    assert (answer.code, answer.out) == (code, "")
    assert is_one_sentence(answer.err), answer.err
    return all(word in answer.err for word in words)


class TestDue:
    def test_people_read_the_most_pressing_first(self, run: Run, shop: Shop, tags: dict[str, str]):
        answer = run("--store", shop.root, "due")
        assert (answer.code, answer.err) == (0, "")
        lines = answer.out.splitlines()
        assert lines[-1] == f"{len(tags)} hoists, 0 overdue on {DAY.isoformat()}"
        assert lines[:-1] == sorted(lines[:-1])

    def test_scripts_read_the_same_facts(self, run: Run, shop: Shop, tags: dict[str, str]):
        answer = run("due", "--json", "--store", shop.root)
        told = json.loads(answer.out)
        assert set(told) == {"day", "hoists"}
        assert told["day"] == DAY.isoformat()
        assert {row["id"] for row in told["hoists"]} == set(tags.values())
        needed = {
            "id",
            "site",
            "place",
            "fitness",
            "reasons",
            "kind",
            "due_on",
            "days",
            "overdue",
            "used_pct",
        }
        assert all(needed <= set(row) for row in told["hoists"])
        by_id = {row["id"]: row for row in told["hoists"]}
        assert by_id[tags["withdrawn"]]["fitness"] == "out of service"
        assert by_id[tags["near-limit"]]["used_pct"].startswith(("8", "9"))

    def test_one_site_and_another_day_may_be_asked_for(self, run: Run, shop: Shop, tags: dict[str, str]):
        answer = run("--store", shop.root, "due", "--site", "Chlorine", "--on", "2028-01-01", "--json")
        (row,) = json.loads(answer.out)["hoists"]
        assert (row["id"], row["overdue"]) == (tags["withdrawn"], True)

    def test_a_site_without_hoists_ends_with_3_and_the_sites_that_there_are(self, run: Run, shop: Shop):
        answer = run("--store", shop.root, "due", "--site", "nowhere")
        assert refused(answer, 3, "called 'nowhere': hoists hang at ", *sites_in_use(shop))

    @pytest.mark.parametrize("day", ["2026-02-30", "1.2.2026", "soon"])
    def test_a_day_that_is_none_ends_with_2(self, run: Run, shop: Shop, day: str):
        assert refused(run("--store", shop.root, "due", "--on", day), 2, "--on", day)

    def test_a_store_without_a_shop_ends_with_3(self, run: Run, tmp_path: Path):
        for command in (("due",), ("hoist", "list"), ("hoist", "show", "7"), ("label", "tag", "7", *ADA)):
            assert refused(run("--store", tmp_path / "none", *command), 3, "no shop is set up")
        assert not (tmp_path / "none").exists()

    def test_a_file_in_place_of_a_store_ends_with_2(self, run: Run, tmp_path: Path):
        (tmp_path / "file").touch()
        assert refused(run("--store", tmp_path / "file", "due"), 2, "is a file")


class TestHoistShow:
    def test_a_tag_is_found_however_it_is_typed(self, run: Run, shop: Shop, tags: dict[str, str]):
        tag = tags["near-limit"]
        number = str(int(tag.split("-")[1]))
        told = {
            run("--store", shop.root, "hoist", "show", typed).out
            for typed in (tag, tag.lower(), tag.replace("-", ""), f"FL:{tag}", number)
        }
        assert len(told) == 1
        assert told.pop().startswith(f"{tag}  Brackenhaul Teal 10")

    def test_scripts_read_the_whole_page(self, run: Run, shop: Shop, tags: dict[str, str]):
        tag = tags["left-open"]
        page = json.loads(run("--store", shop.root, "hoist", "show", tag, "--json").out)
        needed = {"hoist", "summary", "standing", "row", "chain", "findings", "defects", "timeline", "drafts"}
        assert needed | {"head", "problem"} <= set(page)
        assert page["hoist"]["id"] == tag
        assert len(page["timeline"]) == len(entries(shop, tag))
        assert page["head"] == entries(shop, tag)[-1].line
        assert page["drafts"][0]["by"] == "Jory Marlpit"

    def test_a_mistyped_tag_ends_with_3_and_offers_the_near_one(
        self, run: Run, shop: Shop, tags: dict[str, str]
    ):
        tag = tags["near-limit"]
        wrong = tag[:-1] + ("A" if tag[-1] != "A" else "B")
        assert refused(run("--store", shop.root, "hoist", "show", wrong), 3, "last character", tag)

    @pytest.mark.parametrize(
        "typed", ["999", "XX-0001-7", "not a tag", "", "../people", "\x1b[31m", "0" * 5000]
    )
    def test_what_is_no_tag_of_this_store_ends_with_3(self, run: Run, shop: Shop, typed: str):
        answer = run("--store", shop.root, "hoist", "show", typed)
        assert refused(answer, 3)
        assert answer.err.removesuffix("\n").isprintable()
        assert len(answer.err) < 300

    def test_a_damaged_logbook_ends_with_5_and_hides_no_other(
        self, run: Run, copied: Shop, tags: dict[str, str]
    ):
        path = copied.root / "logbooks" / f"{tags['withdrawn']}.jsonl"
        path.write_bytes(b"spoilt\n" + path.read_bytes())
        assert refused(run("--store", copied.root, "hoist", "show", tags["withdrawn"]), 5, "line 1")
        assert run("--store", copied.root, "hoist", "show", tags["near-limit"]).code == 0


class TestHoistList:
    def test_all_are_listed_by_tag(self, run: Run, shop: Shop, tags: dict[str, str]):
        lines = run("--store", shop.root, "hoist", "list").out.splitlines()
        assert [line.split()[0] for line in lines] == sorted(tags.values())

    def test_words_choose(self, run: Run, shop: Shop, tags: dict[str, str]):
        found = json.loads(run("--store", shop.root, "hoist", "list", "gantry", "fenwright", "--json").out)
        assert [row["id"] for row in found] == [tags["left-open"]]
        assert run("--store", shop.root, "hoist", "list", "no", "such").out == "no hoists\n"

    def test_a_damaged_logbook_is_told_of_in_every_list(self, run: Run, copied: Shop, tags: dict[str, str]):
        path = copied.root / "logbooks" / f"{tags['near-limit']}.jsonl"
        path.write_bytes(b"spoilt\n")
        for command in (("hoist", "list"), ("due",)):
            *_, last = run("--store", copied.root, *command).out.splitlines()
            assert last.startswith(f"! {tags['near-limit']} can not be trusted. logbooks/")


class TestLabel:
    def test_a_tag_is_printed_and_recorded(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
    ):
        tag, path = tags["near-limit"], tmp_path / "tag.pdf"
        answer = run(
            "--store", copied.root, *ADA, "label", "tag", tag, "--out", path, "--template", "roll-62"
        )
        assert (answer.code, answer.err) == (0, "")
        assert answer.out.startswith(f"{path}: 1 label, 1 page")
        assert codes(picture(path.read_bytes(), 203)) == [f"FL:{tag}"]
        last = entries(copied, tag)[-1]
        assert isinstance(last.body, LabelPrinted)
        assert (last.by, last.body.label, last.body.template) == ("Ada Fenn", "tag", "roll-62")

    def test_several_go_on_one_sheet_from_the_first_free_place(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
    ):
        path = tmp_path / "sheet.pdf"
        wanted = [tags["near-limit"], tags["broken-guide"]]
        answer = run("--store", copied.root, *ADA, "label", "due", *wanted, "--out", path, "--start", "5")
        assert "2 labels" in answer.out
        assert sorted(codes(picture(path.read_bytes(), 203))) == sorted(f"FL:{tag}" for tag in wanted)

    def test_a_hoist_out_of_service_gets_no_sticker_and_nothing_is_written(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
    ):
        path = tmp_path / "due.pdf"
        wanted = (tags["near-limit"], tags["withdrawn"])
        before = [entries(copied, tag)[-1].line for tag in wanted]
        answer = run("--store", copied.root, *ADA, "label", "due", *wanted, "--out", path)
        assert refused(answer, 4, "no due sticker", tags["withdrawn"], "withdrawn")
        assert not path.exists()
        assert [entries(copied, tag)[-1].line for tag in wanted] == before

    @pytest.mark.parametrize(
        ("arguments", "code", "word"),
        [
            (("--as", "Nobody", "label", "tag", "1"), 3, "Ada Fenn"),
            ((*ADA, "label", "tag", "999"), 3, "999"),
            ((*ADA, "label", "tag", "1", "--template", "none"), 3, "roll-62"),
            ((*ADA, "label", "tag", "1", "--start", "25"), 2, "25"),
            ((*ADA, "label", "tag", "1", "--start", "0"), 2, "0"),
        ],
    )
    def test_what_can_not_be_printed_is_one_sentence(
        self, run: Run, shop: Shop, arguments: tuple[str, ...], code: int, word: str
    ):
        assert refused(run("--store", shop.root, *arguments), code, word)

    def test_a_folder_that_is_not_there_ends_with_5_and_nothing_is_recorded(
        self, run: Run, shop: Shop, tags: dict[str, str], tmp_path: Path
    ):
        before = entries(shop, tags["near-limit"])
        path = tmp_path / "none" / "tag.pdf"
        answer = run("--store", shop.root, *ADA, "label", "tag", tags["near-limit"], "--out", path)
        assert refused(answer, 5, str(path))
        assert entries(shop, tags["near-limit"]) == before

    def test_nobody_prints_unnamed(self, run: Run, shop: Shop, monkeypatch: pytest.MonkeyPatch):
        monkeypatch.setattr(commands, "login", lambda: "somebody-else")
        assert refused(run("--store", shop.root, "label", "tag", "1"), 2, "--as")

    def test_who_is_logged_in_is_at_the_keys(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ):
        monkeypatch.setattr(commands, "login", lambda: "wtidesley")
        tag = tags["near-limit"]
        assert run("--store", copied.root, "label", "tag", tag, "--out", tmp_path / "t.pdf").code == 0
        assert entries(copied, tag)[-1].by == "Wenna Tidesley"


def test_sheets_are_listed_with_their_titles(run: Run, shop: Shop):
    told = run("--store", shop.root, "sheets").out.splitlines()
    assert [line.split()[0] for line in told] == template_names()
    assert any(line.startswith("roll-62 ") and "62 mm roll" in line for line in told)


def test_a_sheet_of_the_shop_s_own_is_listed(run: Run, copied: Shop):
    own = copied.root / commands.LABELS_IN_STORE
    own.mkdir()
    source = Path(commands.__file__).parents[2] / "label_templates" / "roll-62.toml"
    shutil.copyfile(source, own / "our-roll.toml")
    assert "our-roll" in run("--store", copied.root, "sheets").out


def test_a_faulty_sheet_of_the_shop_s_own_ends_with_2_and_names_file_and_fault(run: Run, copied: Shop):
    own = copied.root / commands.LABELS_IN_STORE
    own.mkdir()
    (own / "ours.toml").write_text("title = 3\n", encoding="utf-8")
    answer = run("--store", copied.root, *ADA, "label", "tag", "1", "--template", "ours")
    assert (answer.code, answer.out) == (2, "")
    assert "ours.toml" in answer.err
    assert "Traceback" not in answer.err


def test_the_application_needs_a_terminal(run: Run, shop: Shop):
    assert refused(run("--store", shop.root), 2, "terminal")
