"""Proves against a real print system (CUPS) of the test's own that a queue gets the very PDF, unscaled.

Left out where this host has no cupsd. The scheduler listens on a socket in a folder of its own, and its one
backend keeps what it is sent.
"""

import getpass
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from fieldlog.domain.label_content import TAG
from fieldlog.errors import PrinterError
from fieldlog.printing.printers import queues, send
from tests.printing.specimens import label, print_on

NEEDED = {
    name: shutil.which(name, path=f"{os.environ['PATH']}:/usr/sbin") for name in ("cupsd", "lpadmin", "lp")
}
SERVER_BIN = Path("/usr/lib/cups")
PATIENCE_S = 20
pytestmark = pytest.mark.skipif(
    not all(NEEDED.values()) or not (SERVER_BIN / "daemon").is_dir(), reason="this host has no CUPS"
)

KEEP = """#!/bin/sh
[ $# -eq 0 ] && { echo 'direct keep "Unknown" "keeps what it is sent"'; exit 0; }
if [ $# -ge 6 ]; then cat "$6"; else cat; fi > "{out}/part" && chmod 644 "{out}/part"
echo "$5" > "{out}/options"; chmod 644 "{out}/options"; mv "{out}/part" "{out}/job.pdf"
"""
ANYBODY = "Order allow,deny\nAllow all\n"
CUPSD = "Listen {root}/sock\nDefaultAuthType None\n<Location />\n{all}</Location>\n<Policy default>\n"
CUPSD += "<Limit All>\n{all}</Limit>\n</Policy>\n"
FILES = """ServerRoot {root}/etc
ServerBin {root}/bin
CacheDir {root}/cache
StateDir {root}/state
RequestRoot {root}/spool
TempDir {root}/tmp
AccessLog {root}/log
ErrorLog {root}/log
PageLog {root}/log
User {user}
"""


def _laid_out(root: Path) -> None:
    """Settings and the backend of a scheduler that keeps all it has below `root`."""
    for name in ("etc", "cache", "state", "spool", "tmp", "out", "bin/backend"):
        (root / name).mkdir(parents=True)
    root.chmod(0o755)
    (root / "out").chmod(0o777)
    for name in ("daemon", "filter", "notifier", "monitor"):
        if (SERVER_BIN / name).is_dir():
            (root / "bin" / name).symlink_to(SERVER_BIN / name)
    backend = root / "bin/backend/keep"
    backend.write_text(KEEP.replace("{out}", str(root / "out")), encoding="utf-8")
    backend.chmod(0o755)
    user = "lp" if os.getuid() == 0 else getpass.getuser()
    (root / "etc/cupsd.conf").write_text(CUPSD.format(root=root, all=ANYBODY), encoding="utf-8")
    (root / "etc/cups-files.conf").write_text(FILES.format(root=root, user=user), encoding="utf-8")


def _until(what: object, seen: Path) -> None:
    for _ in range(PATIENCE_S * 20):
        if seen.exists():
            return
        time.sleep(0.05)
    pytest.fail(f"{what} did not come within {PATIENCE_S} s")


@pytest.fixture
def printing(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of a scheduler with a queue 'bench' that takes jobs and one 'shut' that does not."""
    # A socket's path is short: pytest's own folders may be too deep for one.
    root = Path(tempfile.mkdtemp(prefix="fl-cups-"))
    _laid_out(root)
    command = [str(NEEDED["cupsd"]), "-f", "-c", str(root / "etc/cupsd.conf")]
    scheduler = subprocess.Popen([*command, "-s", str(root / "etc/cups-files.conf")])
    monkeypatch.setenv("CUPS_SERVER", str(root / "sock"))
    monkeypatch.setattr(tempfile, "tempdir", str(root / "tmp"))
    try:
        _until("the scheduler", root / "sock")
        for name, ready in (("bench", ("-E",)), ("shut", ())):
            added = [str(NEEDED["lpadmin"]), "-p", name, *ready, "-v", "keep:/", "-m", "raw"]
            if subprocess.run(added, capture_output=True, check=False).returncode:
                pytest.skip("this host's CUPS takes no queue from us")
        yield root
    finally:
        scheduler.terminate()
        scheduler.wait(PATIENCE_S)
        shutil.rmtree(root)


def test_a_real_queue_gets_the_very_pdf_unscaled_and_refuses_in_its_own_words(printing: Path) -> None:
    assert queues() == ["bench", "shut"]
    pdf = print_on("roll-62", [label(TAG)]).pdf
    assert send(pdf, "bench", "tag labels").startswith("request id is bench-1")
    _until("the job", printing / "out/job.pdf")
    assert (printing / "out/job.pdf").read_bytes() == pdf
    assert "print-scaling=none" in (printing / "out/options").read_text(encoding="utf-8")
    for queue, said in (("nobody", "does not exist"), ("shut", "shut")):
        with pytest.raises(PrinterError, match=f"The queue {queue} refused: lp: .*{said}"):
            send(pdf, queue, "tag labels")
