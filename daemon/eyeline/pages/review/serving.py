"""The page's own server: one thread, the loopback address, from start to stop."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from eyeline.errors import BadConfiguration
from eyeline.pages.review.app import app
from eyeline.pages.review.desk import Desk
from eyeline.pages.review.gate import ENTRANCE, Gate

LOOPBACK = "127.0.0.1"
STOP_SECONDS = 2
BACKLOG = 64


@contextmanager
def served(desk: Desk, port: int) -> Iterator[str]:
    """Answer on the loopback address while the block runs; yields the address to open, with its token.

    `port`: 0 for any that is free. Raises BadConfiguration where it is taken.
    """
    with listening(port) as listener:
        port = listener.getsockname()[1]
        gate = Gate(app(desk), port)
        server = uvicorn.Server(
            uvicorn.Config(
                gate,
                log_config=None,
                access_log=False,
                lifespan="off",
                ws="none",
                server_header=False,
                proxy_headers=False,
                timeout_graceful_shutdown=STOP_SECONDS,
                h11_max_incomplete_event_size=16 * 1024,
                limit_concurrency=128,
            )
        )
        thread = threading.Thread(target=server.run, args=([listener],), name="page", daemon=True)
        thread.start()
        try:
            yield f"http://{LOOPBACK}:{port}{ENTRANCE}{gate.token}"
        finally:
            desk.live.stop()
            server.should_exit = True
            thread.join(2 * STOP_SECONDS)


def listening(port: int) -> socket.socket:
    """A socket of the loopback address. Raises BadConfiguration where `port` cannot be had."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((LOOPBACK, port))
        listener.listen(BACKLOG)
    except (OSError, OverflowError) as error:
        listener.close()
        why = (error.strerror if isinstance(error, OSError) else None) or "there is no such port"
        raise BadConfiguration(
            f"port {port} cannot be listened to: {why}", cure="Name another with --port, or none"
        ) from error
    return listener
