"""A scheduler and a station on this machine for whoever names no scheduler; they end with their owner."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from eyeline.errors import EyelineError
from eyeline.stations.certificates import make_certificates, security_for
from eyeline.stations.meeting import Meeting

HERE = "localhost"


@contextmanager
def own_stations(processes: int) -> Iterator[Meeting]:
    """A scheduler and a station with so many `processes`.

    Encrypted although it stays on this machine, since other users of it may reach the port. Both end when
    their standard input does, so also when their owner is killed. Raises EyelineError, BadConfiguration.
    """
    with TemporaryDirectory(prefix="eyeline-stations-") as folder:
        (certificates,) = make_certificates(Path(folder), [HERE])
        scheduler = _started("scheduler", "tls://127.0.0.1:0", "--certificates", str(certificates))
        try:
            address = _address(scheduler)
            start = _started("start", address, "--certificates", str(certificates), "--count", str(processes))
            try:
                yield Meeting(address, security_for(address, certificates), lambda: start.poll() is None)
            finally:
                _end(start)
        finally:
            _end(scheduler)


def _started(*words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "eyeline", "workers", *words, "--until-input-ends"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE if words[0] == "scheduler" else subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,  # Ctrl-C goes to the whole terminal group; their owner says when to stop
    )


def _address(scheduler: subprocess.Popen[str]) -> str:
    assert scheduler.stdout is not None
    line = scheduler.stdout.readline().split()
    if not line or "://" not in line[-1]:
        raise EyelineError(
            "the scheduler of the stations does not start", cure="Run: eyeline workers scheduler"
        )
    return line[-1]


def _end(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.close()
    try:
        process.wait(15)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    if process.stdout is not None:
        process.stdout.close()
