"""What a service manager learns: ready, alive, stopping. By sd_notify(3): one datagram a message."""

from __future__ import annotations

import os
import socket
from contextlib import suppress

READY, ALIVE, STOPPING = "READY=1", "WATCHDOG=1", "STOPPING=1"


def tell_service_manager(message: str) -> bool:
    """Send `message` to the socket that NOTIFY_SOCKET names; False where there is none or nobody listens.

    A name that begins with @ is in Linux's abstract namespace, whose first byte is 0.
    """
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return False
    name = b"\0" + os.fsencode(address[1:]) if address.startswith("@") else os.fsencode(address)
    with (
        suppress(OSError),
        socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | getattr(socket, "SOCK_CLOEXEC", 0)) as sender,
    ):
        sender.setblocking(False)
        sender.sendto(message.encode("ascii"), name)
        return True
    return False
