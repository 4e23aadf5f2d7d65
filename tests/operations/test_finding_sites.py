"""A part of a site's name means one site or none: no list or report of one site holds another's hoists."""

from pathlib import Path

import pytest

from fieldlog.errors import NotFoundError
from fieldlog.operations.due import due_list
from fieldlog.operations.exporting import due_dates, rows_of
from fieldlog.operations.figures import shop_figures
from fieldlog.operations.finding import facts_of, find_words, holds_all, site_named, wanted_words
from fieldlog.operations.paper_jobs import hoists_for
from fieldlog.operations.reporting import due_report, figures_report
from fieldlog.operations.shop import Shop, summaries
from fieldlog.operations.visiting import plan_visit
from tests.operations.builder import TODAY, ready_shop, register

HALLS = ("intake hall", "hall annex", "hall", "filter house")
WITHOUT = ("intake hall", "hall annex", "filter house")


@pytest.mark.parametrize(
    ("typed", "sites", "found"),
    [
        ("", HALLS, ""),
        ("  ", HALLS, ""),
        ("hall", HALLS, "hall"),
        (" HALL ", HALLS, "hall"),
        ("Intake", HALLS, "intake hall"),
        ("house", HALLS, "filter house"),
        ("straße 1", ("STRASSE 1", "Strasse 12"), "STRASSE 1"),
        ("Bay", ("bay", "Bay"), "Bay"),
    ],
)
def test_the_exact_name_goes_before_a_part_of_one_name(
    typed: str, sites: tuple[str, ...], found: str
) -> None:
    assert site_named(typed, sites) == found


@pytest.mark.parametrize(
    ("typed", "sites", "said"),
    [
        ("hall", WITHOUT, "'hall' could be any of these sites: hall annex, intake hall; name one"),
        ("BAY", ("bay", "Bay"), "'BAY' could be any of these sites: Bay, bay; name one"),
        (
            "roof",
            WITHOUT,
            "no hoist hangs at a site called 'roof': hoists hang at filter house, hall annex, intake hall",
        ),
        ("roof", (), "no hoist hangs at a site called 'roof': there are no hoists yet"),
    ],
)
def test_else_one_sentence_names_the_sites_that_it_could_be(
    typed: str, sites: tuple[str, ...], said: str
) -> None:
    with pytest.raises(NotFoundError) as told:
        site_named(typed, sites)
    assert str(told.value) == said


@pytest.fixture
def halls(tmp_path: Path) -> Shop:
    shop = ready_shop(tmp_path)
    for serial, site in enumerate(HALLS):
        register(shop, serial=str(serial), site=site)
    return shop


def test_every_list_of_a_site_holds_its_hoists_alone(halls: Shop) -> None:
    (tag,) = (name for name, held in summaries(halls).items() if held.site == "hall")
    assert [row.id for row in due_list(halls, TODAY, site="hall")] == [tag]
    assert hoists_for(halls, "tag", today=TODAY, site="hall") == [tag]
    assert {due.id for due in due_dates(halls, TODAY, site="hall")} == {tag}
    for kind in ("hoists", "due", "logbook"):
        assert {row["id"] for row in rows_of(halls, kind, TODAY, site="hall").rows} == {tag}
    assert [job.id for job in plan_visit(halls, "hall", TODAY).jobs] == [tag]
    assert shop_figures(halls, TODAY, site="hall").hoists == 1
    for report in (due_report(halls, TODAY, site="Hall"), figures_report(halls, TODAY, site="Hall")):
        assert report.about == "hall"


def test_none_of_them_takes_a_part_of_several_names(halls: Shop) -> None:
    for ask in (
        lambda: due_list(halls, TODAY, site="l "),
        lambda: hoists_for(halls, "tag", today=TODAY, site="ha"),
        lambda: rows_of(halls, "hoists", TODAY, site="ha"),
        lambda: plan_visit(halls, "ha", TODAY),
        lambda: shop_figures(halls, TODAY, site="ha"),
        lambda: due_report(halls, TODAY, site="ha"),
        lambda: figures_report(halls, TODAY, site="ha"),
    ):
        with pytest.raises(NotFoundError, match="could be any of these sites"):
            ask()


def test_one_list_of_words_for_the_due_list_and_the_list_of_hoists(halls: Shop) -> None:
    row = next(row for row in due_list(halls, TODAY) if row.site == "intake hall")
    facts = facts_of(row, row.name, row.kind)
    for word in (row.id, row.serial, row.site, row.place, row.drive, row.name):
        assert holds_all(wanted_words(word.upper()), facts), word
        assert row.id in find_words(word, summaries(halls)), word


def test_a_comma_between_site_and_place_as_the_list_shows_them_is_no_letter(halls: Shop) -> None:
    row = next(row for row in due_list(halls, TODAY) if row.site == "intake hall")
    assert find_words(f"{row.site}, {row.place}", summaries(halls)) == [row.id]
