"""Which folders have another `eyeline.toml` by now than when their photos were judged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from eyeline.intake.roots import root_of
from eyeline.ledger.ledger import Ledger
from eyeline.settings.folder_file import FILE_NAME
from eyeline.settings.sitter_list import LIST_SUFFIX

Seen = tuple[Path, int, int, int]
"""A file as it was seen, with the lists beside it: path, sum of inodes, times of the last change of content
and of status (nanoseconds)."""

NANOSECONDS = 1_000_000_000


class FolderFiles:
    """For each folder of photos, the file that spoke for it at the last look: its own, or one above it."""

    def __init__(self, roots: Sequence[Path], judged_at: Callable[[Path], datetime | None]) -> None:
        """`roots`: above them no file counts. `judged_at`: when a photo in a folder was judged last."""
        self._roots = roots
        self._judged_at = judged_at
        self._seen: dict[Path, Seen | None] = {}

    def changed(self, folders: Iterable[Path]) -> Iterator[Path]:
        """Those of `folders` for which another file speaks than at the last look, or the same one changed.

        At the first look at a folder: where the file is younger than what was judged there last.
        """
        for folder in folders:
            now = self._speaks_for(folder)
            if folder in self._seen:
                changed = self._seen[folder] != now
            else:
                judged_at = self._judged_at(folder)
                changed = now is not None and judged_at is not None and _moment(now) > judged_at
            self._seen[folder] = now
            if changed:
                yield folder

    def _speaks_for(self, folder: Path) -> Seen | None:
        root = root_of(folder, self._roots) or folder
        for place in (folder, *folder.parents):
            if not place.is_relative_to(root):
                break
            try:
                found = [(place / FILE_NAME).stat()]
            except OSError:
                continue
            for each in place.glob(f"*{LIST_SUFFIX}"):  # one of them may be its list of sitters
                with suppress(OSError):
                    found.append(each.stat())
            return (
                place / FILE_NAME,
                sum(status.st_ino for status in found),
                max(status.st_mtime_ns for status in found),
                max(status.st_ctime_ns for status in found),
            )
        return None


def judged_at(ledger: Ledger, folder: Path) -> datetime | None:
    """When the first photo in `folder` was judged last. Raises LedgerFailed."""
    there = ledger.files.in_folder(folder)
    last = ledger.decisions.latest(there[0].path) if there else None
    return last.decided_at if last is not None else None


def _moment(seen: Seen) -> datetime:
    """When the file came to be here as it is: an older file that was moved here changed its status."""
    return datetime.fromtimestamp(max(seen[2], seen[3]) / NANOSECONDS, UTC)
