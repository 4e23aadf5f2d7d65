"""A shop's own rules make a rulebook stricter; each figure that is laxer is a fault with its file and key."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.domain.chain import judge_reading
from fieldlog.domain.criteria import SEVERITY, Certainty
from fieldlog.domain.records import ChainReading, ChainSize, Drive, InspectionKind, ServiceClass
from fieldlog.domain.rules import Rulebook
from fieldlog.errors import RulebookError, StoreError
from fieldlog.rulebook.loader import load_rulebook
from fieldlog.rulebook.own import FOLDER, load_own, own_files, own_stamp

HEAD = "rulebook = 'general'\nedition = 'SW-1'\nsays = 'works instruction 7'\n"
PERIODIC, FREQUENT = InspectionKind.PERIODIC, InspectionKind.FREQUENT
GENERAL = load_rulebook("general")
Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write an own file into a store and give the store's folder back."""

    def put(text: str, *, name: str = "own.toml", head: str = HEAD) -> Path:
        folder = tmp_path / FOLDER
        folder.mkdir(exist_ok=True)
        (folder / name).write_text(head + text, encoding="utf-8")
        return tmp_path

    return put


def general(store: Path) -> Rulebook:
    return load_own(store)["general"]


def faults(store: Path) -> dict[str, str]:
    with pytest.raises(RulebookError) as error:
        load_own(store)
    assert error.value.exit_code == 2
    return {problem.place: problem.wrong for problem in error.value.problems}


def test_a_store_without_own_rules_has_none(tmp_path: Path) -> None:
    assert load_own(tmp_path) == {}
    assert own_files(tmp_path) == ()
    assert own_stamp(tmp_path) == ""


def test_every_figure_of_a_full_file_takes_the_place_of_the_shipped_one(write: Write) -> None:
    book = general(
        write(
            """
            [elongation]
            powered = 1.2
            hand = 2
            [chain]
            watch_share = 0.7
            diameter_share = 0.92
            reference_over_share = 0.004
            [hook]
            percent = 8
            twist_deg = 5
            wear_percent = 8
            [intervals.periodic]
            normal = { months = 6 }
            heavy = { days = 92 }
            [intervals.frequent]
            normal = { days = 7 }
            [hours]
            frequent = 80
            periodic = 400
            [idle]
            periodic = 6
            """
        )
    )
    assert [rule.percent for rule in book.elongation] == [Decimal("1.2"), Decimal(2)]
    assert (book.watch_share, book.diameter.share) == (Decimal("0.7"), Decimal("0.92"))
    assert book.reference_over_share == Decimal("0.004")
    assert (book.hook.percent, book.hook.twist_deg, book.hook.wear_percent) == (8, 5, 8)
    spans = {
        (rule.inspection, rule.service): (rule.months, rule.days)
        for rule in book.intervals
        if not rule.lifts_persons
    }
    assert spans[PERIODIC, ServiceClass.NORMAL] == (6, None)
    assert spans[PERIODIC, ServiceClass.HEAVY] == (None, 92)
    assert spans[FREQUENT, ServiceClass.NORMAL] == (None, 7)
    assert {rule.inspection: rule.hours for rule in book.hours} == {FREQUENT: 80, PERIODIC: 400}
    assert {rule.inspection: rule.months for rule in book.idle} == {FREQUENT: 1, PERIODIC: 6}


def test_every_figure_says_that_it_is_the_shops_and_the_edition_names_both(write: Write) -> None:
    book = general(write("[elongation]\npowered = 1.2\n"))
    powered, hand = book.elongation
    assert powered.source.title == "the shop's own rule: works instruction 7"
    assert (powered.source.edition, powered.source.clause) == ("SW-1", "own.toml")
    assert powered.source.certainty is Certainty.PRACTICE
    assert hand == GENERAL.elongation[1]
    assert book.edition == f"{GENERAL.edition}+SW-1"
    assert book.hook == GENERAL.hook


def test_the_opening_alone_made_stricter_leaves_twist_and_wear_their_sources(write: Write) -> None:
    store = write("[hook]\npercent = 4\n", head=HEAD.replace("general", "us"))
    hook, shipped = load_own(store)["us"].hook, load_rulebook("us").hook
    assert hook.twist_source == (shipped.twist_source or shipped.source)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("[elongation]\npowered = 1.6\n", "elongation.powered"),
        ("[elongation]\nhand = 2.6\n", "elongation.hand"),
        ("[chain]\nwatch_share = 0.81\n", "chain.watch_share"),
        ("[chain]\ndiameter_share = 0.89\n", "chain.diameter_share"),
        ("[chain]\nreference_over_share = 0.006\n", "chain.reference_over_share"),
        ("[hook]\npercent = 10.5\n", "hook.percent"),
        ("[hook]\ntwist_deg = 11\n", "hook.twist_deg"),
        ("[hook]\nwear_percent = 11\n", "hook.wear_percent"),
        ("[intervals.periodic]\nnormal = { months = 13 }\n", "intervals.periodic.normal"),
        ("[intervals.periodic]\nnormal = { days = 366 }\n", "intervals.periodic.normal"),
        ("[hours]\nperiodic = 501\n", "hours.periodic"),
        ("[idle]\nfrequent = 2\n", "idle.frequent"),
    ],
)
def test_a_laxer_figure_is_a_fault_with_file_and_key(write: Write, text: str, place: str) -> None:
    (found,) = faults(write(text)).items()
    assert found[0] == f"own.toml: {place}"
    assert "laxer" in found[1] or "longer" in found[1]


@pytest.mark.parametrize(
    "text",
    [
        "[elongation]\npowered = 1.5\n",
        "[hook]\npercent = 10\n",
        "[intervals.periodic]\nnormal = { months = 12 }\n",
    ],
)
def test_the_same_figure_is_no_fault(write: Write, text: str) -> None:
    assert general(write(text))


def test_all_faults_are_told_at_once(write: Write) -> None:
    store = write("[elongation]\npowered = 9\nhnad = 1\n[colour]\nred = 1\n[hook]\npercent = 'x'\n")
    write("[elongation]\nhand = 9\n", name="second.toml", head=HEAD.replace("general", "us"))
    assert set(faults(store)) == {
        "own.toml: elongation.powered",
        "own.toml: elongation.hnad",
        "own.toml: colour",
        "own.toml: hook.percent",
        "second.toml: elongation.hand",
    }


@pytest.mark.parametrize(
    ("text", "head", "place"),
    [
        ("", "edition = '1'\nsays = 'x'\n", "own.toml: rulebook"),
        ("", HEAD.replace("general", "generic"), "own.toml: rulebook"),
        ("elongation = 1\n", HEAD, "own.toml: elongation"),
        ("[intervals.pre-use]\nnormal = { days = 1 }\n", HEAD, "own.toml: intervals.pre-use"),
        ("[intervals.periodic]\nnormal = 6\n", HEAD, "own.toml: intervals.periodic.normal"),
        ("[intervals.periodic]\nmild = { months = 1 }\n", HEAD, "own.toml: intervals.periodic.mild"),
        (
            "[intervals.periodic]\nnormal = { months = 1, days = 1 }\n",
            HEAD,
            "own.toml: intervals.periodic.normal",
        ),
        ("[elongation\n", HEAD, "own.toml: line 4, column 12"),
    ],
)
def test_a_file_that_does_not_read_is_refused(write: Write, text: str, head: str, place: str) -> None:
    assert place in faults(write(text, head=head))


def test_two_files_for_one_rulebook_are_refused(write: Write) -> None:
    write("[elongation]\npowered = 1.2\n")
    store = write("[hook]\npercent = 8\n", name="second.toml")
    assert faults(store) == {"second.toml: rulebook": "'general' is in own.toml already."}


def test_the_stamp_follows_names_and_bytes(write: Write) -> None:
    store = write("[elongation]\npowered = 1.2\n")
    first = own_stamp(store)
    write("[elongation]\npowered = 1.1\n")
    second = own_stamp(store)
    (store / FOLDER / "own.toml").rename(store / FOLDER / "other.toml")
    assert len({first, second, own_stamp(store)}) == 3


@given(st.decimals("0.5", "1.5", places=2), st.decimals(0, 3, places=3), st.decimals("0.5", "0.8", places=2))
def test_a_stricter_rulebook_never_gives_a_milder_verdict(
    percent: Decimal, growth: Decimal, watch: Decimal
) -> None:
    size = ChainSize(dn_mm=Decimal(5), pn_mm=Decimal(15))
    reading = ChainReading(place="hook", links=11, value_mm=165 + growth)
    rules = tuple(replace(rule, percent=min(percent, rule.percent)) for rule in GENERAL.elongation)
    strict = replace(GENERAL, elongation=rules, watch_share=watch)
    tool = GENERAL.instruments[0]
    mild, hard = (
        judge_reading(reading, size, book, Drive.ELECTRIC, instrument=tool).finding.verdict
        for book in (GENERAL, strict)
    )
    assert SEVERITY[hard] >= SEVERITY[mild]


@pytest.mark.parametrize("shut", ["glob", "read_bytes"])
def test_rules_that_nobody_may_read_are_told_and_not_passed_over(
    write: Write, monkeypatch: pytest.MonkeyPatch, shut: str
) -> None:
    store = write("")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, shut, refuse)
    with pytest.raises(StoreError, match=r"the store .* can not be read \(Permission denied\); ask whoever"):
        own_stamp(store)
