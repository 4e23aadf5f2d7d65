"""Proves that the bench of labels draws on all sides the codes it says, and tells what was to be reached."""

import re
from io import BytesIO

import pytest

from demo import bench_labels
from fieldlog.domain.label_content import FIELDS, TAG
from tests.printing.specimens import codes, picture


@pytest.mark.parametrize("name", bench_labels.MAKERS)
def test_every_side_draws_the_same_codes(name: str):
    hoist_ids = bench_labels.ids(25)
    stream = BytesIO()
    bench_labels.MAKERS[name](stream, hoist_ids)
    read = [text for page in (0, 1) for text in codes(picture(stream.getvalue(), 203, page))]
    assert sorted(read) == sorted(f"FL:{hoist_id}" for hoist_id in hoist_ids)


def test_the_tags_are_whole_and_made_when_asked_for():
    tags = bench_labels.Tags(bench_labels.ids(3))
    assert set(tags[0].texts) == set(FIELDS[TAG])
    assert tags[1] is not tags[1]
    assert [tag.texts["id"] for tag in tags[1:]] == bench_labels.ids(3)[1:]


def test_each_line_names_side_time_size_and_memory(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(bench_labels, "ROUNDS_OF", {5: 1})
    told: list[str] = []
    bench_labels.run(told.append)
    assert len(told) == 1 + len(bench_labels.MAKERS) + 1
    for line, words in zip(told[1:], bench_labels.NAMES.values(), strict=False):
        assert re.fullmatch(rf"5 +{re.escape(words)} +[\d.]+ +\d+ +[\d.]+ MB", line), line
    assert "to reach: no slower than the faster of the two, under 1 kB a label: " in told[-1]
