"""Proves that long work tells how far it is, and can be stopped from what it tells."""

from io import BytesIO

import pytest

from fieldlog.domain.label_content import TAG
from fieldlog.printing.labels import write
from fieldlog.printing.reports import render_report
from fieldlog.printing.templates import load_template
from tests.printing.report_pages import BLOCKS, report
from tests.printing.specimens import batch, print_on


class StoppedError(Exception):
    """Raised by a caller to stop."""


def stop_at(count: int) -> object:
    def tell(done: int, _all: int) -> None:
        if done == count:
            raise StoppedError

    return tell


def test_labels_tell_each_one_of_all_copies():
    told = []
    print_on("roll-62", batch(TAG, 3), copies=2, progress=lambda *both: told.append(both))
    assert told == [(number, 6) for number in range(1, 7)]


def test_labels_stop_at_once():
    with pytest.raises(StoppedError):
        write(
            BytesIO(),
            batch(TAG, 9),
            load_template("roll-62"),
            title="Labels",
            author="Saltmarsh",
            progress=stop_at(2),  # type: ignore[arg-type]
        )


def test_a_report_tells_its_sections_in_order_and_ends_with_all():
    told = []
    long = report(*BLOCKS, count=12)
    render_report(long, progress=lambda *both: told.append(both))
    many = len(long.sections)
    assert {total for _, total in told} == {many}
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert {done for done, _ in told} == set(range(many + 1))


def test_a_report_stops_between_sections_and_is_the_same_afterwards():
    long = report(*BLOCKS, count=12)
    with pytest.raises(StoppedError):
        render_report(long, progress=stop_at(1))  # type: ignore[arg-type]
    assert render_report(long).pdf == render_report(long, progress=lambda *_: None).pdf
