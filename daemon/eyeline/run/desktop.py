"""Notifications of the desktop: over D-Bus on Linux, by AppleScript on macOS (unverified there)."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

from jeepney import DBusAddress, MessageType, new_method_call
from jeepney.io.blocking import DBusConnection, open_dbus_connection

ADDRESS = DBusAddress(
    "/org/freedesktop/Notifications",
    bus_name="org.freedesktop.Notifications",
    interface="org.freedesktop.Notifications",
)
"""Desktop Notifications Specification 1.2."""

SOUND = "message-new-instant"
"""Sound Naming Specification 0.8."""

NO_DEADLINE = -1
"""The desktop decides how long it shows a notification."""

PATIENCE_SECONDS = 5.0
"""How long a desktop may take to answer; nothing else waits meanwhile."""

SCRIPT = """\
on run words
  display notification (item 2 of words) with title "eyeline" subtitle (item 1 of words){sound}
end run"""
MAC_SOUND = ' sound name "Ping"'

Notifier = Callable[[str, str], None]


class Desktop:
    """Shows notifications on the desktop that this session has, connecting when there is something to show.

    Raises OSError and what jeepney raises where there is no desktop that answers: whoever listens drops it.
    """

    def __init__(self, sound: bool = False) -> None:
        self._sound = sound
        self._connection: DBusConnection | None = None

    def show(self, title: str, body: str) -> None:
        """Show one notification."""
        connection = self._connection or open_dbus_connection("SESSION")
        self._connection = None  # until it has answered: a desktop may have been left and entered anew
        hints = {"urgency": ("y", 1), "category": ("s", "im")}
        if self._sound:
            hints["sound-name"] = ("s", SOUND)
        message = new_method_call(
            ADDRESS, "Notify", "susssasa{sv}i", ("eyeline", 0, "", title, body, [], hints, NO_DEADLINE)
        )
        answer = connection.send_and_get_reply(message, timeout=PATIENCE_SECONDS)
        if answer.header.message_type is MessageType.error:
            raise OSError(f"the desktop shows no notifications: {answer.body}")
        self._connection = connection


def show_on_mac(title: str, body: str, sound: bool = False) -> None:
    """Show one notification on macOS; the words are arguments of the script, never part of it."""
    script = SCRIPT.format(sound=MAC_SOUND if sound else "")
    subprocess.run(
        ["osascript", "-e", script, title, body], check=False, timeout=PATIENCE_SECONDS, capture_output=True
    )


def notifier(sound: bool, platform: str = sys.platform) -> Notifier:
    """How this platform shows a notification, by title and body."""
    if platform == "darwin":
        return lambda title, body: show_on_mac(title, body, sound)
    return Desktop(sound).show
