"""Proves that the logbook on paper holds every line with its hash, those struck out too, and its faults."""

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from fieldlog.domain.records import StruckOut
from fieldlog.errors import DamagedError
from fieldlog.operations.reporting import chain_report, logbook_report
from fieldlog.operations.shop import Shop, append, open_hoist
from tests.operations.builder import ADA, at
from tests.operations.report_samples import NEXT_DAY, facts_of, section, story, words_of


@pytest.fixture
def told(tmp_path: Path) -> tuple[Shop, str]:
    return story(tmp_path)


def file_of(shop: Shop, tag: str) -> Path:
    return shop.root / "logbooks" / f"{tag}.jsonl"


def test_every_line_stands_there_with_the_hash_of_its_bytes(told: tuple[Shop, str]) -> None:
    """The hashes are taken here from the file itself, as sha256sum would."""
    report = logbook_report(*told)
    lines = [part for part in report.sections if part.title.startswith("Line ")]
    written = file_of(*told).read_bytes().splitlines(keepends=True)
    assert len(lines) == len(written)
    for part, line in zip(lines, written, strict=True):
        assert words_of(part).splitlines()[-1].endswith(sha256(line).hexdigest())


def test_the_head_stands_on_the_first_page_and_at_the_foot(told: tuple[Shop, str]) -> None:
    report = logbook_report(*told)
    head = sha256(file_of(*told).read_bytes().splitlines(keepends=True)[-1]).hexdigest()
    assert facts_of(section(report, "As it stands"))["Head of the logbook"] == head
    assert report.reference.endswith(head[:10])


def test_the_state_is_that_of_the_last_day_of_work(told: tuple[Shop, str]) -> None:
    report = logbook_report(*told)
    assert words_of(section(report, "As it stands")).startswith(f"! LIMITED ON {NEXT_DAY.isoformat()}")


def test_a_struck_line_stays_with_its_reason(told: tuple[Shop, str]) -> None:
    shop, tag = told
    opened = open_hoist(shop, tag)
    body = StruckOut(line=opened.history.entries[7].line, why="wrong hoist")
    append(shop, tag, body, by=ADA, now=at(NEXT_DAY + timedelta(days=1)), head=opened.head)
    report = logbook_report(shop, tag)
    part = next(part for part in report.sections if part.title.startswith("Line 8:"))
    assert words_of(part).startswith("STRUCK OUT\nThis line does not hold: wrong hoist")
    assert "spring of the latch is weak" in words_of(part)
    struck = next(part for part in report.sections if part.title.startswith("Line 9:"))
    assert "Why: wrong hoist" in words_of(struck)


def test_a_damaged_logbook_is_printed_as_far_as_it_can_be_trusted(told: tuple[Shop, str]) -> None:
    shop, tag = told
    path = file_of(shop, tag)
    path.write_bytes(path.read_bytes().replace(b"strain relief slips", b"strain relief holds"))
    with path.open("ab") as file:
        file.write(b"{}\n")
    report = logbook_report(shop, tag)
    for each in (report, chain_report(shop, tag)):
        told_words = words_of(section(each, "The hoist"))
        assert "X THE LOGBOOK HAS FAULTS" in told_words
        assert f"logbooks/{tag}.jsonl line 9" in told_words
    assert "X OUT OF SERVICE" in words_of(section(report, "As it stands"))


def test_one_whose_registration_is_damaged_is_refused(told: tuple[Shop, str]) -> None:
    shop, tag = told
    file_of(shop, tag).write_bytes(b"{}\n")
    with pytest.raises(DamagedError):
        logbook_report(shop, tag)
