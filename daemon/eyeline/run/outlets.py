"""Where announcements go: the desktop, a command of one's own, a file of JSON lines."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from eyeline.run.announcements import Announcement, Announcements, FrameJudged, SitterSeated, record_of
from eyeline.run.desktop import Notifier, notifier
from eyeline.run.words_told import in_words
from eyeline.settings.configuration import Tell

COMMAND_SECONDS = 30.0
"""After so long a command is ended: those after it wait for it."""

PRIVATE_FILE = 0o600


def attach(announcements: Announcements, tell: Tell, show: Notifier | None = None) -> None:
    """Have everything told as `tell` says; `show` shows a notification, by default on this desktop."""
    if tell.desktop:
        to_desktop = show or notifier(tell.sound)
        announcements.subscribe(_if_wanted(tell, lambda each: _show(each, to_desktop)))
    if tell.command:
        announcements.subscribe(_if_wanted(tell, lambda each: run_command(tell.command, each)))
    if tell.file is not None:
        file = tell.file
        announcements.subscribe(lambda each: add_line(file, each))


def is_wanted(announcement: Announcement, tell: Tell) -> bool:
    """Whether the photographer wants to be told of it: each kind can be switched off. Frames, and what they
    said themselves, are for programs alone."""
    if isinstance(announcement, (FrameJudged, SitterSeated)):
        return False
    return bool(getattr(tell, announcement.kind.replace(" ", "_")))


def json_line(announcement: Announcement) -> str:
    """One announcement as a line of JSON, with the moment in UTC."""
    record = {"at": datetime.now(UTC).isoformat(timespec="milliseconds"), **record_of(announcement)}
    return json.dumps(record, ensure_ascii=True) + "\n"


def run_command(command: tuple[str, ...], announcement: Announcement) -> None:
    """Run `command` with the announcement as JSON on its standard input."""
    words = in_words(announcement)
    record = record_of(announcement) | {"says": list(words) if words is not None else []}
    subprocess.run(
        command,
        input=json.dumps(record, ensure_ascii=True).encode() + b"\n",
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        timeout=COMMAND_SECONDS,
        check=False,
    )


def add_line(file: Path, announcement: Announcement) -> None:
    """Add one announcement to `file`, which is made private to the user."""
    descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC, PRIVATE_FILE)
    try:
        os.write(descriptor, json_line(announcement).encode())
    finally:
        os.close(descriptor)


def _if_wanted(tell: Tell, listener: Callable[[Announcement], object]) -> Callable[[Announcement], None]:
    def heard(announcement: Announcement) -> None:
        if is_wanted(announcement, tell):
            listener(announcement)

    return heard


def _show(announcement: Announcement, show: Notifier) -> None:
    words = in_words(announcement)
    if words is not None:
        show(*words)
