"""Each command that keeps the record, from its arguments to its exit code and its words."""

import grp
import os
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.operations.drafting import kept_drafts
from fieldlog.operations.shop import Shop, open_shop
from tests.cli.conftest import Answer, is_one_sentence
from tests.demo.written import entries
from tests.store.keys import make_key, public

Run = Callable[..., Answer]
ADA = ("--as", "Ada Fenn")


@pytest.fixture
def copied(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """The store again, named by the environment, and no key of whoever runs the tests."""
    shutil.copytree(shop.root, tmp_path / "store")
    monkeypatch.setenv("FIELDLOG_STORE", str(tmp_path / "store"))
    for name in ("SSH_AUTH_SOCK", "FIELDLOG_KEY"):
        monkeypatch.delenv(name, raising=False)
    return open_shop(tmp_path / "store")


def path_of(shop: Shop, tag: str) -> Path:
    return shop.root / "logbooks" / f"{tag}.jsonl"


class TestVerify:
    def test_a_clean_store_ends_with_0(self, run: Run, copied: Shop):
        answer = run("verify")
        assert (answer.code, answer.err) == (0, "")
        assert answer.out.endswith(" unsigned: clean\n")

    def test_a_problem_is_one_line_with_place_what_and_what_to_do_and_ends_with_1(
        self, run: Run, copied: Shop, tags: dict[str, str]
    ):
        path = path_of(copied, tags["withdrawn"])
        path.write_bytes(path.read_bytes().replace(b'"serial":"', b'"serial":"9', 1))
        answer = run("verify")
        problem, last = answer.out.splitlines()
        assert (answer.code, answer.err) == (1, "")
        assert problem.startswith(
            f"logbooks/{tags['withdrawn']}.jsonl line 2: it does not follow the line above"
        )
        assert "backup" in problem
        assert last.endswith("1 problem")

    def test_damaged_settings_and_faulty_rules_keep_nobody_from_it(self, run: Run, copied: Shop):
        path = copied.root / "shop" / "settings.jsonl"
        path.write_bytes(b"\xff" + path.read_bytes()[1:])
        (copied.root / "rulebook").mkdir()
        (copied.root / "rulebook" / "general.toml").write_text("spoilt = [")
        answer = run("verify")
        assert (answer.code, answer.err) == (1, "")
        assert answer.out.startswith("shop/settings.jsonl line 1: it does not read as a record")

    def test_some_hoists_are_named_as_a_person_types_them(self, run: Run, copied: Shop, tags: dict[str, str]):
        path_of(copied, tags["withdrawn"]).write_bytes(b"spoilt\n")
        assert run("verify", tags["near-limit"].lower()).code == 0
        assert run("verify", tags["near-limit"], tags["withdrawn"]).code == 1

    @pytest.mark.parametrize(
        "arguments",
        [("999",), ("--renew",), ("--store", "/nowhere"), ("--heads", "/dev"), ("--heads", "/nowhere/h")],
    )
    def test_what_can_not_run_ends_with_2_and_one_sentence(
        self, run: Run, copied: Shop, arguments: tuple[str, ...]
    ):
        answer = run("verify", *arguments)
        assert (answer.code, answer.out) == (2, "")
        assert is_one_sentence(answer.err)

    def test_a_heads_file_is_written_and_finds_a_cut_logbook(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
    ):
        heads = tmp_path / "heads.txt"
        assert f"{heads}: heads written" in run("verify", "--heads", heads).out
        path = path_of(copied, tags["withdrawn"])
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
        for name in ("verified.txt", "register.json"):
            (copied.root / name).unlink(missing_ok=True)
        answer = run("verify", "--heads", heads)
        assert answer.code == 1
        assert "by heads.txt" in answer.out


class TestStrike:
    def test_a_line_is_struck_out_and_said_to_be_unsigned(self, run: Run, copied: Shop, tags: dict[str, str]):
        tag = tags["near-limit"]
        count = len(entries(copied, tag))
        answer = run(*ADA, "strike", tag, count, "--why", "the other hoist")
        assert (answer.code, answer.err) == (0, "")
        first, second = answer.out.splitlines()
        assert first.startswith(f"{tag}: line {count} (")
        assert second.startswith("unsigned: ")
        assert "(struck out)" in run("hoist", "show", tag).out

    def test_with_a_key_it_is_signed(
        self, run: Run, copied: Shop, tags: dict[str, str], monkeypatch: pytest.MonkeyPatch
    ):
        key, tag = make_key(copied.root.parent), tags["near-limit"]
        monkeypatch.setenv("FIELDLOG_KEY", str(key))
        assert run(*ADA, "people", "trust", "Ada Fenn", public(key)).code == 0
        count = len(entries(copied, tag))
        answer = run(*ADA, "strike", tag, count, "--why", "the other hoist")
        assert answer.out.endswith(f"signed by line {count + 2}\n")
        assert "1 signed" in run("verify").out

    def test_the_right_record_waits_as_a_draft(self, run: Run, copied: Shop, tags: dict[str, str]):
        tag = tags["near-limit"]
        (number, *_) = [entry.number for entry in entries(copied, tag) if entry.body.kind == "inspection"]
        answer = run(*ADA, "strike", tag, number, "--why", "the other hoist", "--redo")
        assert "a draft with what it said waits" in answer.out
        assert len(kept_drafts(copied, about=tag)) == 1

    @pytest.mark.parametrize("case", [("1", "x", 4), ("999", "x", 3), ("x", "x", 2), ("2", " ", 2)])
    def test_what_can_not_be_struck_out_is_one_sentence(
        self, run: Run, copied: Shop, tags: dict[str, str], case: tuple[str, str, int]
    ):
        line, why, code = case
        answer = run(*ADA, "strike", tags["near-limit"], line, "--why", why)
        assert answer.code == code
        assert is_one_sentence(answer.err)


class TestPeople:
    def test_who_may_sign_is_recorded_listed_and_revoked(self, run: Run, copied: Shop, tmp_path: Path):
        key = public(make_key(tmp_path))
        answer = run(*ADA, "people", "trust", "Ada Fenn", key, "--until", "2027-01-31")
        assert (answer.code, answer.err) == (0, "")
        assert "until 2027-01-31" in answer.out
        listed = run("people", "list").out
        assert "Ada Fenn: may seal\n  ssh-ed25519 SHA256:" in listed
        assert "unsigned: no key is trusted" in listed
        assert run("people", "revoke", key).code == 2, "who is at the keys is not known"
        fingerprint = listed.partition("ssh-ed25519 ")[2].partition(",")[0]
        answer = run(*ADA, "people", "revoke", fingerprint)
        assert (answer.code, answer.err) == (0, "")
        assert answer.out.startswith(f"{fingerprint} is revoked")
        assert ", revoked" in run("people", "list").out
        deeds = [(entry.by, entry.body.kind) for entry in copied.logbooks.read("people").entries[-2:]]
        assert deeds == [("Ada Fenn", "signing key")] * 2

    @pytest.mark.parametrize(("name", "file"), [("Nobody", "{key}"), ("Ada Fenn", "/none.pub")])
    def test_what_can_not_be_trusted_is_one_sentence(
        self, run: Run, copied: Shop, tmp_path: Path, name: str, file: str
    ):
        key = public(make_key(tmp_path))
        answer = run(*ADA, "people", "trust", name, file.format(key=key))
        assert answer.code == 3
        assert is_one_sentence(answer.err)


class TestBackup:
    def test_a_store_goes_into_a_zip_and_comes_back(self, run: Run, copied: Shop, tmp_path: Path):
        file, new = tmp_path / "b.zip", tmp_path / "new"
        assert run("backup", file).code == 0
        assert run("restore", file, new).code == 0
        assert run("--store", new, "verify").code == 0
        assert run("--store", new, "due").out == run("due").out

    def test_a_store_without_sound_settings_is_backed_up_too(self, run: Run, copied: Shop, tmp_path: Path):
        (copied.root / "shop" / "settings.jsonl").write_bytes(b"\xff\n")
        answer = run("backup", tmp_path / "b.zip")
        assert (answer.code, answer.err) == (1, "")
        assert "shop/settings.jsonl line 1" in answer.out

    def test_damage_that_was_there_already_is_told_with_1(
        self, run: Run, copied: Shop, tags: dict[str, str], tmp_path: Path
    ):
        path_of(copied, tags["withdrawn"]).write_bytes(b"spoilt\n")
        answer = run("backup", tmp_path / "b.zip")
        assert answer.code == 1
        assert "in the store already" in answer.out
        assert run("restore", tmp_path / "b.zip", tmp_path / "new").code == 1

    def test_what_can_not_be_is_one_sentence(self, run: Run, copied: Shop, tmp_path: Path):
        file = tmp_path / "b.zip"
        run("backup", file)
        for arguments, code in (
            (("backup", file), 2),
            (("backup", tmp_path / "none" / "b.zip"), 5),
            (("restore", tmp_path / "none.zip", tmp_path / "new"), 3),
            (("restore", file, copied.root), 2),
        ):
            answer = run(*arguments)
            assert answer.code == code
            assert is_one_sentence(answer.err)


class TestStore:
    def test_it_is_opened_to_a_group_and_closed_again(self, run: Run, copied: Shop):
        group = grp.getgrgid(os.getegid()).gr_name
        assert run("store", "share", group).code == 0
        assert stat.S_IMODE(copied.root.stat().st_mode) == 0o2770
        assert run("store", "private").code == 0
        assert stat.S_IMODE(copied.root.stat().st_mode) == 0o700

    def test_what_can_not_be_is_one_sentence(self, run: Run, copied: Shop, tmp_path: Path):
        for arguments, code in (
            (("store", "share", "no-such-group"), 2),
            (("--store", tmp_path / "none", "store", "private"), 3),
        ):
            answer = run(*arguments)
            assert answer.code == code
            assert is_one_sentence(answer.err)
