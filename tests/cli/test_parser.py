"""Proves which commands and options there are, and that a wrong one is refused in one sentence."""

import re
from collections.abc import Callable

import pytest
from stdnum.iso7064 import mod_37_36

from fieldlog import __version__
from fieldlog.cli import commands, labels
from fieldlog.cli.parser import build, parse
from fieldlog.errors import InputError
from tests.cli.conftest import Answer, is_one_sentence


@pytest.mark.parametrize(
    ("typed", "carried_out"),
    [
        ([], commands.app),
        (["due"], commands.due),
        (["hoist", "show", "7"], commands.hoist_show),
        (["hoist", "list"], commands.hoist_list),
        (["label", "tag", "7"], labels.label_run),
        (["label", "due", "7", "8"], labels.label_run),
        (["sheets"], labels.sheets),
        (["demo"], commands.demo),
    ],
)
def test_each_command_is_carried_out_by_its_own_function(typed: list[str], carried_out: object):
    assert parse(typed).run is carried_out


def test_options_have_the_defaults_that_the_help_names():
    label = parse(["label", "tag", "7"])
    assert (label.start, label.template, label.out, label.queue) == (1, "", "", "")
    due = parse(["due"])
    assert (due.site, due.on, due.json, due.store, due.by) == ("", "", False, None, None)


@pytest.mark.parametrize(
    "typed",
    [["--store", "here", "due"], ["due", "--store", "here"], ["--store", "there", "due", "--store", "here"]],
)
def test_the_store_may_be_named_before_or_after_the_command_and_the_later_one_holds(typed: list[str]):
    assert parse(typed).store == "here"


def test_who_is_at_the_keys_may_be_named_before_or_after_the_command():
    assert parse(["--as", "Ada Fenn", "sheets"]).by == "Ada Fenn"
    assert parse(["label", "tag", "7", "--as", "Ada Fenn"]).by == "Ada Fenn"


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        (["due", "--js"], "--js"),
        (["due", "--nothing"], "--nothing"),
        (["nothing"], "nothing"),
        (["hoist"], "VERB"),
        (["hoist", "show"], "tag"),
        (["label", "plate", "7"], "plate"),
        (["label", "tag"], "TAG"),
        (["label", "tag", "7", "--start", "first"], "first"),
        (["demo", "--walk", "a", "--make", "b"], "--make"),
        (["due", "--on"], "--on"),
    ],
)
def test_what_can_not_be_meant_is_refused_by_name(typed: list[str], names: str):
    with pytest.raises(InputError, match="--help") as refused:
        parse(typed)
    assert names in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_wrong_option_ends_with_2_and_one_sentence(run: Callable[..., Answer]):
    answer = run("due", "--nothing")
    assert (answer.code, answer.out) == (2, "")
    assert is_one_sentence(answer.err)


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit) as ended:
        parse(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"fieldlog {__version__}\n"


def test_the_tags_in_the_help_are_right_ones():
    # python-stdnum works out ISO 7064 MOD 37,36 by itself
    shown = set(re.findall(r"[A-Z]{2}-[0-9]{4}-[0-9A-Z]", build().format_help()))
    assert shown
    assert all(mod_37_36.is_valid(tag.replace("-", "")) for tag in shown)


def test_the_help_names_every_command_the_exit_codes_and_what_a_verdict_is():
    text = build().format_help()
    for word in (
        "due",
        "hoist",
        "label",
        "sheets",
        "demo",
        "0 done",
        "3 not found",
        "4 refused",
        "5 not saved",
    ):
        assert word in text
    assert "does not replace" in text
