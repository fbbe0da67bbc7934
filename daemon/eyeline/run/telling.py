"""While the daemon runs: everything told where the configuration wants it, and requests taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager

from eyeline.errors import EyelineError, printable
from eyeline.run import local_socket
from eyeline.run.daemon import Daemon
from eyeline.run.local_socket import Handler
from eyeline.run.outlets import attach
from eyeline.run.requests import requests_of


@contextmanager
def telling(daemon: Daemon, more: Mapping[str, Handler] | None = None) -> Iterator[None]:
    """Tell others what `daemon` announces and hand it their requests, until the block ends; then listeners
    hear the rest. `more`: handlers of further requests, by what they `do`."""
    session = daemon.session
    tell = session.configuration.tell
    attach(daemon.announcements, tell)
    with ExitStack() as stack:
        stack.callback(daemon.announcements.close)
        if tell.socket:
            place = session.configuration.ledger.with_name(local_socket.NAME)
            try:
                handlers = {**requests_of(daemon), **(more or {})}
                stack.enter_context(local_socket.served(place, daemon.announcements, handlers))
            except OSError as error:
                what = f"other programs cannot listen or ask at {printable(place)}: {error.strerror or error}"
                session.decider.problem(EyelineError(what, cure="Photos are judged and written all the same"))
        yield
