"""The daemon as a service of the user: a systemd unit, or (unverified) a launchd agent."""

from __future__ import annotations

import os
import plistlib
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from eyeline.errors import BadConfiguration

UNIT_NAME = "eyeline.service"
AGENT_NAME = "eyeline.daemon.plist"

WATCHDOG_SECONDS = 300
"""The daemon reports at each turn of its loop and for each photo; judging 10,000 photos takes less."""

_UNIT = """\
# Written by `eyeline service install`; `eyeline service remove` takes it away.
[Unit]
Description=eyeline, which measures portraits as they arrive and writes XMP sidecars
StartLimitIntervalSec=0

[Service]
Type=notify
NotifyAccess=main
ExecStart={command}
ExecReload=/bin/kill -HUP $MAINPID
WatchdogSec={watchdog}
# After a failure again, at growing intervals from 2 s to 5 min (steps: systemd 254 and newer).
Restart=on-failure
RestartSec=2
RestartSteps=6
RestartMaxDelaySec=300
# A clean stop writes what is measured; ExifTool's deadline is 30 s.
TimeoutStopSec=90

{network}
# Everything may be read, since nobody knows where photos lie; only these may be written.
ProtectSystem=strict
ProtectHome=read-only
ReadWritePaths={writable}
PrivateTmp=yes
PrivateDevices=yes
PrivateUsers=yes
ProtectClock=yes
ProtectControlGroups=yes
ProtectHostname=yes
ProtectKernelLogs=yes
ProtectKernelModules=yes
ProtectKernelTunables=yes
ProtectProc=invisible
CapabilityBoundingSet=
AmbientCapabilities=
KeyringMode=private
LockPersonality=yes
NoNewPrivileges=yes
RemoveIPC=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources
SystemCallFilter=sched_setaffinity sched_setscheduler sched_setparam setpriority ioprio_set fchown
SystemCallErrorNumber=EPERM
# MemoryDenyWriteExecute is left out: the inference engine may compile its kernels at run time.

[Install]
WantedBy=default.target
"""


_NO_NETWORK = """\
# No network: there is nothing that it could be for.
PrivateNetwork=yes
RestrictAddressFamilies=AF_UNIX
IPAddressDeny=any"""

_STATIONS = """\
# The network, for the scheduler of the stations alone.
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6"""


@dataclass(frozen=True, slots=True)
class Service:
    """A file that a service manager reads, and the commands that make it act on it.

    `verified`: whether this has been tried on a real system of that kind.
    """

    file: Path
    content: bytes
    start: tuple[tuple[str, ...], ...]
    stop: tuple[tuple[str, ...], ...]
    status: tuple[str, ...]
    verified: bool = True


def service(
    words: Sequence[str], writable: Sequence[Path], platform: str = sys.platform, network: bool = False
) -> Service:
    """The service that runs `eyeline watch WORDS...`, may write below `writable`, and reach the `network`.

    Raises BadConfiguration on a platform without a known service manager.
    """
    command = (sys.executable, "-m", "eyeline", "watch", *words)
    if platform.startswith("linux"):
        return _systemd(command, writable, network)
    if platform == "darwin":
        return _launchd(command)
    raise BadConfiguration(
        f"no service manager is known for {platform}", cure="Start `eyeline watch` in another way"
    )


def carry_out(commands: Sequence[Sequence[str]]) -> str | None:
    """Run `commands` one after the other; what the first that fails says, None when all are done."""
    for command in commands:
        try:
            done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
        except (OSError, subprocess.TimeoutExpired) as error:
            return str(error)
        if done.returncode:
            return (done.stderr or done.stdout).strip() or f"{command[0]} ended with {done.returncode}"
    return None


def _systemd(command: Sequence[str], writable: Sequence[Path], network: bool) -> Service:
    home = platformdirs.user_config_path("systemd", appauthor=False)
    content = _UNIT.format(
        command=" ".join(map(_quoted, command)),
        # "-": a disk that is not connected at the start must not keep the service from starting
        writable=" ".join(_quoted(f"-{path}", "%") for path in writable),
        watchdog=WATCHDOG_SECONDS,
        network=_STATIONS if network else _NO_NETWORK,
    )
    user = ("systemctl", "--user")
    return Service(
        home / "user" / UNIT_NAME,
        content.encode("utf-8", "surrogateescape"),
        start=((*user, "daemon-reload"), (*user, "enable", "--now", UNIT_NAME)),
        stop=((*user, "disable", "--now", UNIT_NAME),),
        status=(*user, "--no-pager", "status", UNIT_NAME),
    )


def _quoted(word: str, doubled: str = "%$") -> str:
    """`word` as one word of a unit file: systemd.syntax(7), and specifiers and variables kept as text."""
    escaped = word.replace("\\", "\\\\").replace('"', '\\"')
    for character in doubled:
        escaped = escaped.replace(character, character * 2)
    escaped = escaped.replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'


def _launchd(command: Sequence[str]) -> Service:
    file = Path.home() / "Library" / "LaunchAgents" / AGENT_NAME
    log = str(platformdirs.user_log_path("eyeline", appauthor=False) / "daemon.log")
    agent = {
        "Label": "eyeline.daemon",
        "ProgramArguments": list(command),
        "RunAtLoad": True,
        "KeepAlive": {"SuccessfulExit": False},
        "ThrottleInterval": 10,
        "ProcessType": "Background",
        "StandardOutPath": log,
        "StandardErrorPath": log,
    }
    content = plistlib.dumps(agent)
    domain = f"gui/{os.getuid()}"
    return Service(
        file,
        content,
        start=(("launchctl", "bootstrap", domain, str(file)),),
        stop=(("launchctl", "bootout", f"{domain}/eyeline.daemon"),),
        status=("launchctl", "print", f"{domain}/eyeline.daemon"),
        verified=False,
    )
