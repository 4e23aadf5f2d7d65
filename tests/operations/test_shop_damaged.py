"""Records that are damaged or gone: told, never passed over, and nothing is sealed over them."""

import json
from pathlib import Path

import pytest

from fieldlog.domain.verdict import Fitness, fitness_on, summarise
from fieldlog.errors import DamagedError
from fieldlog.operations.due import due_list
from fieldlog.operations.instruments import instruments
from fieldlog.operations.setting_up import set_up
from fieldlog.operations.shop import (
    append,
    damaged,
    open_hoist,
    open_shop,
    people,
    settings,
    summaries,
)
from tests.operations.builder import (
    ADA,
    FIRST_START,
    NOW,
    TODAY,
    inspect,
    ready_shop,
    register,
    with_instrument,
)


def spoil(path: Path) -> None:
    """Change one letter of the first line, as a bad disk or a hand would."""
    data = path.read_bytes()
    path.write_bytes(data.replace(b"Fenwright", b"Fenwrighx", 1))


def test_a_damaged_logbook_is_named_and_does_not_hide_the_others(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    one, two = register(shop), register(shop)
    inspect(shop, one.id)
    spoil(tmp_path / "logbooks" / f"{one.id}.jsonl")
    fresh = open_shop(tmp_path)
    assert set(summaries(fresh)) == {one.id, two.id}
    assert set(damaged(fresh)) == {one.id}
    opened = open_hoist(fresh, one.id)
    assert "line 2" in opened.problem
    with pytest.raises(DamagedError):
        append(fresh, one.id, opened.hoist, by=ADA, now=NOW, head=opened.head)


def test_a_logbook_that_can_not_be_read_from_its_first_line_is_damaged(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    (tmp_path / "logbooks" / f"{hoist.id}.jsonl").write_bytes(b"not a record\n")
    with pytest.raises(DamagedError, match="line 1"):
        open_hoist(open_shop(tmp_path), hoist.id)
    (row,) = due_list(open_shop(tmp_path), TODAY)
    assert (row.id, row.fitness, row.due_on) == (hoist.id, Fitness.OUT_OF_SERVICE, None)
    assert "line 1" in row.reasons[0]


def test_a_hoist_whose_record_is_damaged_is_out_of_service(tmp_path: Path) -> None:
    shop = ready_shop(tmp_path)
    hoist = register(shop)
    inspect(shop, hoist.id)
    assert due_list(open_shop(tmp_path), TODAY)[0].fitness is Fitness.IN_SERVICE
    spoil(tmp_path / "logbooks" / f"{hoist.id}.jsonl")
    (row,) = due_list(open_shop(tmp_path), TODAY)
    assert row.fitness is Fitness.OUT_OF_SERVICE
    assert any(told.startswith("its record can not be trusted: logbooks/") for told in row.reasons)


class TestALineThatIsGone:
    """The register remembers the line that ended a logbook; cut off, it would be missed by nobody else."""

    @pytest.fixture
    def cut(self, tmp_path: Path) -> str:
        shop = ready_shop(tmp_path)
        hoist = register(shop)
        inspect(shop, hoist.id)
        summaries(shop)
        path = tmp_path / "logbooks" / f"{hoist.id}.jsonl"
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
        return hoist.id

    def test_it_stops_the_hoist_in_a_session_that_read_no_register(self, tmp_path: Path, cut: str) -> None:
        opened = open_hoist(open_shop(tmp_path), cut)
        assert "it no longer holds the line" in opened.problem
        assert fitness_on(summarise(opened.history, opened.rulebook), TODAY).fitness is Fitness.OUT_OF_SERVICE

    def test_it_stops_the_hoist_in_the_due_list(self, tmp_path: Path, cut: str) -> None:
        (row,) = due_list(open_shop(tmp_path), TODAY)
        assert (row.id, row.fitness) == (cut, Fitness.OUT_OF_SERVICE)

    @pytest.mark.parametrize("looked", [False, True])
    def test_nothing_is_sealed_over_it(self, tmp_path: Path, cut: str, looked: bool) -> None:
        shop = open_shop(tmp_path)
        if looked:
            summaries(shop)
        opened = open_hoist(shop, cut)
        with pytest.raises(DamagedError, match="no longer holds the line"):
            append(shop, cut, opened.hoist, by=ADA, now=NOW, head=opened.head)

    def test_other_rules_do_not_make_it_forgotten(self, tmp_path: Path, cut: str) -> None:
        text = (tmp_path / "register.json").read_text()
        stamp = json.loads(text)["meta"]["1"]["stamp"]
        (tmp_path / "register.json").write_text(text.replace(stamp, "other rules"))
        shop = open_shop(tmp_path)
        assert summaries(shop)[cut].stops
        assert "no longer holds the line" in damaged(shop)[cut]


class TestTheShopsOwnRecords:
    """Damaged or gone they are no shop that was never set up: nobody seals a first start over them."""

    @pytest.mark.parametrize("spoilt", [b"", None, b"\xff", b"{}\n", b'{"v":1'])
    def test_settings_are_damaged_where_hoists_are(self, tmp_path: Path, spoilt: bytes | None) -> None:
        shop = ready_shop(tmp_path)
        register(shop)
        path = tmp_path / "shop" / "settings.jsonl"
        path.unlink() if spoilt is None else path.write_bytes(spoilt)
        with pytest.raises(DamagedError, match=r"settings\.jsonl"):
            settings(open_shop(tmp_path))
        with pytest.raises(DamagedError, match=r"settings\.jsonl"):
            set_up(open_shop(tmp_path), FIRST_START, login="ada", now=NOW)

    def test_people_alone_are_enough(self, tmp_path: Path) -> None:
        ready_shop(tmp_path)
        (tmp_path / "shop" / "settings.jsonl").unlink()
        with pytest.raises(DamagedError, match="the shop's people"):
            settings(open_shop(tmp_path))

    def test_every_flipped_byte_is_told(self, tmp_path: Path) -> None:
        ready_shop(tmp_path)
        path = tmp_path / "shop" / "settings.jsonl"
        good = path.read_bytes()
        for place in range(len(good) - 1):
            path.write_bytes(good[:place] + bytes([good[place] ^ 0x80]) + good[place + 1 :])
            with pytest.raises(DamagedError):
                settings(open_shop(tmp_path))

    @pytest.mark.parametrize("name", ["people", "instruments"])
    def test_a_damaged_line_of_the_others_is_told(self, tmp_path: Path, name: str) -> None:
        shop = ready_shop(tmp_path)
        with_instrument(shop, "caliper A")
        path = tmp_path / "shop" / f"{name}.jsonl"
        path.write_bytes(path.read_bytes().replace(b'"name"', b'"nome"'))
        with pytest.raises(DamagedError, match=name):
            people(open_shop(tmp_path)) if name == "people" else instruments(open_shop(tmp_path))

    def test_people_that_are_gone_are_told_where_hoists_are(self, tmp_path: Path) -> None:
        shop = ready_shop(tmp_path)
        register(shop)
        (tmp_path / "shop" / "people.jsonl").unlink()
        with pytest.raises(DamagedError, match=r"people\.jsonl is gone"):
            people(open_shop(tmp_path))

    def test_a_first_start_that_broke_off_goes_on(self, tmp_path: Path) -> None:
        ready_shop(tmp_path)
        (tmp_path / "shop" / "people.jsonl").unlink()
        set_up(open_shop(tmp_path), FIRST_START, login="ada", now=NOW)
        assert list(people(open_shop(tmp_path))) == [FIRST_START["person"]]
