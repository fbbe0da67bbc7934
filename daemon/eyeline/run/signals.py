"""What the signals of the operating system and of a terminal mean to the daemon."""

from __future__ import annotations

import signal
from typing import Protocol


class Stoppable(Protocol):
    """What signals may stop, or have read its rules again."""

    def stop(self) -> None:
        """Ask for a stop."""

    def reload(self) -> None:
        """Ask for the rules to be read again."""


def listen_to_signals(daemon: Stoppable) -> None:
    """SIGINT and SIGTERM stop the daemon cleanly, a second one at once; SIGHUP reads the rules again."""

    def stop(number: int, _: object) -> None:
        signal.signal(number, signal.default_int_handler)
        daemon.stop()

    signal.signal(signal.SIGINT, stop)
    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGHUP, lambda *_: daemon.reload())
