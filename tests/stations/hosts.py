"""Machines in one: a network namespace each, on a switch of their own, with mounts of their own.

Nothing leaves this machine: the switch is a bridge in a namespace that no other network is joined to.
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

NETWORK = "10.213.77"
"""Of the addresses for private use (RFC 1918)."""


def why_not() -> str | None:
    """Why there can be no such machines here, None where there can."""
    if not sys.platform.startswith("linux"):
        return "network namespaces are Linux's"
    if os.geteuid() != 0:
        return "namespaces take root"
    if shutil.which("ip") is None or shutil.which("unshare") is None:
        return "iproute2 or util-linux is not installed"
    name = f"eyt{os.getpid()}"
    tried = [
        ["ip", "netns", "add", name],
        ["ip", "netns", "exec", name, "unshare", "--mount", "--propagation", "private", "true"],
        ["ip", "-n", name, "link", "add", "one", "type", "veth", "peer", "name", "two"],
        ["ip", "-n", name, "link", "add", "switch", "type", "bridge"],
    ]
    try:
        for command in tried:
            if subprocess.run(command, capture_output=True, check=False).returncode:
                return f"not permitted here: {shlex.join(command)}"
        return None
    finally:
        subprocess.run(["ip", "netns", "del", name], capture_output=True, check=False)


@dataclass(frozen=True, slots=True)
class Host:
    """A machine: its network `namespace`, its `address`, and what it mounts where: source by place."""

    name: str
    namespace: str
    address: str
    mounts: Mapping[Path, Path]
    hidden: Sequence[Path] = ()

    def start(
        self, words: Sequence[str | Path], log: Path, environment: Mapping[str, str]
    ) -> subprocess.Popen[str]:
        """`eyeline WORDS...` there; its process is the one returned. `hidden` folders are empty there."""
        steps = [
            *(f"mount --bind {_quoted(source)} {_quoted(place)}" for place, source in self.mounts.items()),
            *(f"mount -t tmpfs none {_quoted(folder)}" for folder in self.hidden),
            f"exec {_quoted(sys.executable)} -m eyeline {shlex.join(map(os.fspath, words))}",
        ]
        apart = ["unshare", "--mount", "--propagation", "private", "sh", "-ec", "\n".join(steps)]
        with log.open("a") as out:
            return subprocess.Popen(
                ["ip", "netns", "exec", self.namespace, *apart],
                env=dict(environment),
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                text=True,
            )


@contextmanager
def machines(
    mounts: Mapping[str, Mapping[Path, Path]], hidden: Mapping[str, Sequence[Path]]
) -> Iterator[list[Host]]:
    """A machine by each name, with its mounts; all of them gone in the end."""
    prefix = f"ey{os.getpid()}"
    switch = f"{prefix}-switch"
    names = {name: f"{prefix}-{number}" for number, name in enumerate(mounts, 1)}
    try:
        _ip("netns", "add", switch)
        _ip("-n", switch, "link", "add", "bridge", "type", "bridge")
        _ip("-n", switch, "link", "set", "bridge", "up")
        hosts = []
        for number, (name, namespace) in enumerate(names.items(), 1):
            _ip("netns", "add", namespace)
            _ip(*f"-n {switch} link add port{number} type veth peer name eth0 netns {namespace}".split())
            _ip(*f"-n {switch} link set port{number} master bridge up".split())
            _ip(*f"-n {namespace} addr add {NETWORK}.{number}/24 dev eth0".split())
            _ip(*f"-n {namespace} link set eth0 up".split())
            _ip(*f"-n {namespace} link set lo up".split())
            hosts.append(
                Host(name, namespace, f"{NETWORK}.{number}", mounts[name], tuple(hidden.get(name, ())))
            )
        yield hosts
    finally:
        for namespace in (*names.values(), switch):
            subprocess.run(["ip", "netns", "del", namespace], capture_output=True, check=False)


def _ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True)


def _quoted(path: Path | str) -> str:
    return shlex.quote(os.fspath(path))
