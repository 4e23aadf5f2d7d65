"""An sshd of the test's own on this machine, for the user who runs the test: no root, no host's settings."""

import getpass
import os
import shlex
import shutil
import socket
import subprocess
import time
from pathlib import Path

from tests.tui.terminal import ROOT, Terminal, fieldlog

SSHD = shutil.which("sshd", path=f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin") or ""
MISSING = [name for name in ("ssh", "ssh-keygen") if shutil.which(name) is None] + ([] if SSHD else ["sshd"])
LISTENS_S = 10
SEPARATED = Path("/run/sshd")  # where an sshd of root locks itself in; Debian's service makes it at its start


def _free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def _key(path: Path) -> str:
    """Make a key pair; gives back the public half."""
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "test", "-f", path], check=True)
    return path.with_name(f"{path.name}.pub").read_text()


def descendants(pid: int) -> list[tuple[int, str]]:
    """Processes below this one with their names, parents first."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            name, rest = (folder / "stat").read_text().split("(", 1)[1].rsplit(")", 1)
        except OSError:  # it ended meanwhile
            continue
        found.append((int(folder.name), name, int(rest.split()[1])))
    below, wanted = [], [pid]
    while wanted:
        parent = wanted.pop(0)
        children = [(child, name) for child, name, above in found if above == parent]
        below += children
        wanted += [child for child, _ in children]
    return below


class Server:
    """A running sshd; `login` opens a window through it, `stop` ends it."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(mode=0o700)
        self.folder, self.port, self.user = folder, _free_port(), getpass.getuser()
        host = _key(folder / "host")
        (folder / "authorized_keys").write_text(_key(folder / "user"))
        (folder / "known_hosts").write_text(f"[127.0.0.1]:{self.port} {host}")
        (folder / "sshd_config").write_text(
            f"Port {self.port}\nListenAddress 127.0.0.1\nHostKey {folder / 'host'}\n"
            f"AuthorizedKeysFile {folder / 'authorized_keys'}\nPidFile none\nUsePAM no\nStrictModes no\n"
            "PasswordAuthentication no\nKbdInteractiveAuthentication no\n"
        )
        if os.geteuid() == 0:
            SEPARATED.mkdir(mode=0o755, exist_ok=True)
        with (folder / "log").open("wb") as log:
            self.process = subprocess.Popen(
                [SSHD, "-D", "-e", "-f", folder / "sshd_config"], stderr=log, stdin=subprocess.DEVNULL
            )
        self._wait_until_it_listens()

    def log(self) -> str:
        """What it said."""
        return (self.folder / "log").read_text()

    def _wait_until_it_listens(self) -> None:
        deadline = time.monotonic() + LISTENS_S
        while f"Server listening on 127.0.0.1 port {self.port}" not in self.log():
            assert self.process.poll() is None, f"sshd ended:\n{self.log()}"
            assert time.monotonic() < deadline, f"sshd does not listen:\n{self.log()}"
            time.sleep(0.01)

    def login(self, folder: Path, *arguments: str) -> Terminal:
        """A window in which somebody has logged in and started fieldlog in `folder`."""
        there = ["env", f"PYTHONPATH={ROOT}", "LANG=C.UTF-8", *fieldlog(*arguments)]
        command = f"cd {shlex.quote(str(folder))} && exec {shlex.join(there)}"
        options = {
            "IdentityFile": self.folder / "user",
            "IdentitiesOnly": "yes",
            "IdentityAgent": "none",
            "UserKnownHostsFile": self.folder / "known_hosts",
            "GlobalKnownHostsFile": "/dev/null",
            "StrictHostKeyChecking": "yes",
            "BatchMode": "yes",
        }
        words = ["ssh", "-F", "none", "-tt", "-p", str(self.port)]
        words += [f"-o{name}={value}" for name, value in options.items()]
        return Terminal([*words, f"{self.user}@127.0.0.1", command], cwd=folder)

    def sessions(self) -> list[int]:
        """The sshd processes of those who are logged in."""
        return [pid for pid, name in descendants(self.process.pid) if name.startswith("sshd")]

    def stop(self) -> None:
        """End it with all its sessions."""
        self.process.terminate()
        self.process.wait()
