"""SSH keys made for the tests by ssh-keygen, and an agent that holds one or never answers."""

import os
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def make_key(folder: Path, name: str = "key", *, passphrase: str = "") -> Path:
    """A fresh key pair; the private file is given back."""
    path = folder / name
    command = ["ssh-keygen", "-q", "-t", "ed25519", "-N", passphrase, "-C", "nobody@saltmarsh.example"]
    subprocess.run([*command, "-f", str(path)], check=True)
    return path


def public(key: Path) -> Path:
    return key.with_name(key.name + ".pub")


@contextmanager
def agent(folder: Path, *keys: Path) -> Iterator[str]:
    """The address of a running agent that holds these keys."""
    address = str(folder / "agent.sock")
    process = subprocess.Popen(["ssh-agent", "-D", "-a", address], stdout=subprocess.DEVNULL)
    try:
        while not Path(address).exists():
            assert process.poll() is None
        for key in keys:
            environment = os.environ | {"SSH_AUTH_SOCK": address}
            subprocess.run(["ssh-add", "-q", str(key)], check=True, env=environment)
        yield address
    finally:
        process.kill()
        process.wait()


@contextmanager
def silent_agent(folder: Path) -> Iterator[str]:
    """The address of something that takes connections and never says a word."""
    address = str(folder / "silent.sock")
    with socket.socket(socket.AF_UNIX) as ear:
        ear.bind(address)
        ear.listen()
        yield address


def by_hand(root: Path, principal: str, signature: str, line: bytes, folder: Path) -> bool:
    """What README shows: the check without fieldlog, by ssh-keygen alone."""
    (folder / "by-hand.sig").write_text(signature)
    command = ["ssh-keygen", "-Y", "verify", "-f", str(root / "allowed_signers"), "-I", principal]
    command += ["-n", "fieldlog", "-s", str(folder / "by-hand.sig")]
    return subprocess.run(command, input=line, capture_output=True, check=False).returncode == 0
