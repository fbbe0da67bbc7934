"""Dask's distributed scheduler, loaded when it is wanted: only who measures on several machines has it."""

from __future__ import annotations

import logging
import socket
from collections.abc import Mapping
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from eyeline.errors import BadConfiguration

MISSING = BadConfiguration(
    "measuring on several machines needs a part of eyeline that is not installed here (eyeline[stations])",
    cure="Run: sh service/bootstrap stations",
)

SILENT_MACHINE_S = "60s"
"""After which a machine without a sign of life counts as gone: many times the second between two of them, so
that one that is merely busy does not."""

RARELY = "10s"
"""Between two looks of Dask's at how busy its own processes are."""

_SETTINGS: Mapping[str, Any] = {
    "distributed.scheduler.worker-ttl": SILENT_MACHINE_S,
    "distributed.comm.timeouts.connect": "10s",
    "distributed.comm.timeouts.tcp": "30s",
    # pages that would be served in plain text to whoever asks
    "distributed.scheduler.http.routes": [],
    "distributed.worker.http.routes": [],
    # what looks after data that is kept on workers, and samples their stacks: there is none to look after
    "distributed.scheduler.active-memory-manager.start": False,
    "distributed.worker.profile.enabled": False,
    "distributed.scheduler.work-stealing": False,
    "distributed.worker.memory.target": False,
    "distributed.worker.memory.spill": False,
    "distributed.worker.memory.pause": False,
    "distributed.worker.memory.terminate": False,
    # how busy scheduler and stations are, for pages that nobody sees: a fiftieth of a processor in each
    "distributed.admin.tick.interval": RARELY,
    "distributed.admin.tick.cycle": RARELY,
    "distributed.admin.system-monitor.interval": RARELY,
    "distributed.client.scheduler-info-interval": RARELY,
    "distributed.admin.system-monitor.disk": False,
    "distributed.admin.system-monitor.gil.enabled": False,
    "distributed.worker.preload": [],
    "distributed.scheduler.preload": [],
}


def load() -> Any:
    """The module `distributed`, with eyeline's settings. Raises BadConfiguration where it is missing."""
    try:
        import dask
        import distributed
    except ImportError as error:
        raise MISSING from error
    dask.config.set(_SETTINGS)
    own = [name for name in logging.root.manager.loggerDict if name.startswith("distributed.")]
    for name in (*own, "distributed", "tornado", "asyncio"):  # what matters is said in eyeline's words
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    return distributed


def host_and_port(address: str) -> tuple[str, int]:
    """The two parts of a scheduler's `address`."""
    parts = urlsplit(address)
    return parts.hostname or "", parts.port or 0


def refuse_plain_beyond_this_machine(address: str) -> None:
    """Raise BadConfiguration where `address` is plain and its host is not this machine's loopback."""
    host, port = host_and_port(address)
    if address.startswith("tls://"):
        return
    try:
        places = {found[4][0] for found in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)}
    except OSError:
        places = set()
    if not address.startswith("tcp://") or not places or not all(ip_address(p).is_loopback for p in places):
        raise BadConfiguration(
            f"{address} is not encrypted and leaves this machine: whoever reaches such a scheduler can run "
            "anything on every station",
            cure="Use tls:// and the certificates of `eyeline workers certificates`",
        )


def own_address_towards(address: str) -> str:
    """This machine's address in the network of `address`, which its host can reach it at. Raises OSError."""
    host, port = host_and_port(address)
    family, _, _, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_DGRAM)[0]
    with socket.socket(family, socket.SOCK_DGRAM) as asking:  # sends nothing: the route is looked up
        asking.connect(place)
        return str(asking.getsockname()[0])
