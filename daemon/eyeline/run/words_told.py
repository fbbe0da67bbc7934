"""Announcements in words, for notifications and terminals."""

from __future__ import annotations

from eyeline.errors import printable
from eyeline.run.announcements import (
    Announcement,
    CardIn,
    DiskNearlyFull,
    EyesSoft,
    FlashMissed,
    LineEmpty,
    SitterSeated,
)

MOST_MISSING = 3
"""Lines that are named when a card is in: a notification has room for so much."""


def in_words(announcement: Announcement) -> tuple[str, str] | None:
    """What happened, and what to know or do about it; None for what only programs listen to."""
    match announcement:
        case CardIn():
            aside = f", {announcement.set_aside} set aside" if announcement.set_aside else ""
            title = f"Card is in: {announcement.frames} frames{aside}"
            more = len(announcement.missing) - MOST_MISSING
            missing = "; ".join(announcement.missing[:MOST_MISSING]) + (
                f" and {more} more" if more > 0 else ""
            )
            return title, printable(f"Missing: {missing}" if missing else "Nothing is missing")
        case LineEmpty():
            of = f"{announcement.sitter}: " if announcement.sitter is not None else ""
            if announcement.nearest is None:
                return printable(f"{of}no {announcement.line} yet"), "Nothing comes near"
            lacks = "; ".join(announcement.lacks)
            return printable(f"{of}no {announcement.line} yet"), printable(
                f"Nearest {announcement.nearest}: {lacks}"
            )
        case FlashMissed():
            names = " and ".join(announcement.frames[-2:])
            return "The flash did not fire twice running", printable(
                f"{names}. Look at cable, trigger, batteries"
            )
        case EyesSoft():
            names = f"{announcement.frames[0]} to {announcement.frames[-1]}"
            return "The eyes are soft three times running", printable(
                f"{names}. Look at focus point and shutter"
            )
        case DiskNearlyFull():
            return (
                f"The disk is nearly full: {announcement.free_bytes / 10**9:.1f} GB left",
                f"Make room where {printable(announcement.folder)} lies",
            )
        case SitterSeated():
            return printable(f"{announcement.sitter} sits now"), printable(announcement.folder)
        case _:
            return None
