"""Proves, with stand-ins for lp and lpstat on the path, what is asked of CUPS and how refusals are told."""

import os
import sys
from pathlib import Path

import pytest

from fieldlog.errors import InputError, PrinterError
from fieldlog.printing import printers


@pytest.fixture
def path(tmp_path, monkeypatch):
    """An otherwise empty folder as the whole PATH."""
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    return folder


def command(folder: Path, name: str, body: str) -> None:
    file = folder / name
    file.write_text(
        f"#!{sys.executable} -IS\nimport sys, os\nhere = {str(folder)!r}\n{body}\n", encoding="utf-8"
    )
    file.chmod(0o755)


RECORDS = """
with open(os.path.join(here, "asked"), "w") as asked:
    asked.write(chr(10).join(sys.argv[1:]))
with open(sys.argv[-1], "rb") as sent, open(os.path.join(here, "sent"), "wb") as kept:
    kept.write(sent.read())
print("request id is bench-42 (1 file(s))")
"""


def test_queues_are_those_lpstat_names(path):
    command(path, "lpstat", "if sys.argv[1:] == ['-e']: print('roll\\nbench')\nelse: sys.exit(1)")
    assert printers.queues() == ["bench", "roll"]


def test_an_older_lpstat_is_asked_in_its_own_way(path):
    body = "if sys.argv[1:] != ['-a']: sys.exit('unknown option')\nprint('roll accepting requests\\n\\tidle')"
    command(path, "lpstat", body)
    assert printers.queues() == ["roll"]


def test_no_queues_without_cups_or_without_its_service(path):
    assert printers.queues() == []
    command(path, "lpstat", "sys.exit('lpstat: No destinations added.')")
    assert printers.queues() == []


def test_a_file_goes_to_the_queue_at_true_size_with_its_title(path, tmp_path):
    command(path, "lp", RECORDS)
    file = tmp_path / "tags.pdf"
    file.write_bytes(b"%PDF-1.4 tags")
    assert printers.send(file, "bench", "12 tags; $(reboot) 'x'") == "request id is bench-42 (1 file(s))"
    assert (path / "asked").read_text().splitlines() == [
        "-d",
        "bench",
        "-t",
        "12 tags; $(reboot) 'x'",
        "-o",
        "print-scaling=none",
        str(file),
    ]
    assert (path / "sent").read_bytes() == b"%PDF-1.4 tags"
    assert file.exists()


def test_a_file_named_like_an_option_is_still_a_file(path, tmp_path, monkeypatch):
    command(path, "lp", RECORDS)
    monkeypatch.chdir(tmp_path)
    Path("-o.pdf").write_bytes(b"%PDF")
    printers.send(Path("-o.pdf"), "bench", "tags")
    assert (path / "asked").read_text().splitlines()[-1] == str(tmp_path / "-o.pdf")


def test_bytes_are_sent_through_a_file_that_is_gone_afterwards(path, tmp_path):
    command(path, "lp", RECORDS)
    printers.send(b"%PDF-1.4 stickers", "bench", "stickers")
    assert (path / "sent").read_bytes() == b"%PDF-1.4 stickers"
    assert not list(tmp_path.glob("*.pdf"))


@pytest.mark.parametrize("place", ["no folder", "no room"])
def test_where_its_file_can_not_be_written_nothing_is_printed_and_nothing_left(
    path, tmp_path, monkeypatch, place
):
    if place == "no folder":
        monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "gone"))
    else:
        full = Path("/dev/full").open("wb", 0)  # noqa: SIM115 (the code under test closes it)
        monkeypatch.setattr("fieldlog.printing.printers.os.fdopen", lambda *_given: full)
    with pytest.raises(PrinterError, match=r"nothing was printed \(No (such file|space)") as refused:
        printers.send(b"%PDF-1.4", "bench", "tags")
    assert "TMPDIR" in str(refused.value)
    assert not (path / "asked").exists()
    assert not list(tmp_path.glob("*.pdf"))


def test_a_refusal_is_told_in_the_queues_own_words_with_the_file(path, tmp_path):
    command(path, "lp", "sys.exit('lp: The printer or class does not exist.')")
    file = tmp_path / "tags.pdf"
    file.write_bytes(b"%PDF")
    with pytest.raises(PrinterError) as refused:
        printers.send(file, "attic", "tags")
    assert str(refused.value) == (
        f"The queue attic refused: lp: The printer or class does not exist. The labels are in {file}."
    )


def test_a_refusal_without_a_word(path, tmp_path):
    command(path, "lp", "sys.exit(3)")
    with pytest.raises(PrinterError, match="exit code 3, without a word"):
        printers.send(b"%PDF", "bench", "tags")
    (kept,) = tmp_path.glob("*.pdf")
    assert kept.read_bytes() == b"%PDF"


@pytest.mark.parametrize("as_bytes", [True, False])
def test_without_lp_the_file_is_named_instead(path, tmp_path, as_bytes):
    file = tmp_path / "tags.pdf"
    file.write_bytes(b"%PDF")
    with pytest.raises(PrinterError, match="no lp command") as refused:
        printers.send(b"%PDF" if as_bytes else file, "bench", "tags")
    named = Path(str(refused.value).rsplit("are in ", 1)[1].removesuffix("."))
    assert named.read_bytes() == b"%PDF"


def test_a_queue_that_hangs_is_given_up(path, tmp_path, monkeypatch):
    monkeypatch.setattr(printers, "PATIENCE_S", 0.2)
    command(path, "lp", "import time; time.sleep(30)")
    command(path, "lpstat", "import time; time.sleep(30)")
    with pytest.raises(PrinterError, match="did not answer"):
        printers.send(b"%PDF", "bench", "tags")
    assert printers.queues() == []


def test_what_can_not_be_sent_is_said(path, tmp_path):
    with pytest.raises(PrinterError, match="There is no file"):
        printers.send(tmp_path / "none.pdf", "bench", "tags")
    for queue in ("", "-h"):
        with pytest.raises(InputError, match="no name of a print queue"):
            printers.send(b"%PDF", queue, "tags")
    command(path, "lp", RECORDS)
    with pytest.raises(PrinterError, match="could not be run"):
        printers.send(b"%PDF", "bench", "ta\0gs")
    (path / "lp").chmod(0o644)
    if os.geteuid() != 0:
        with pytest.raises(PrinterError, match="could not be run"):
            printers.send(b"%PDF", "bench", "tags")
