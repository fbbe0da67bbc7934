"""Where small versions lie: a folder of JPEG files, private to the user, bounded, the oldest going first."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from eyeline.previews.drawing import Kind
from eyeline.system.whole_file import write_swiftly

PRIVATE_FOLDER = 0o700
PRIVATE_FILE = 0o600
END_OF_IMAGE = b"\xff\xd9"
"""The last two bytes of a whole JPEG (ITU-T T.81, B.1.1.3)."""

LEFT_AFTER_PRUNING = 0.9
"""Share of the bound that pruning leaves, so that it is not due again with the next photo."""


_OWN_NAME = re.compile(rf"\.?[0-9a-f]{{8,}}-[1-8]\.({'|'.join(Kind)})\.jpg(\.[0-9]+\.new)?")


@dataclass(frozen=True, slots=True)
class Previews:
    """Small versions in `folder`, `most_bytes` in all; 0: none are kept.

    A photo is named by the digest of its image data and its orientation, as in the ledger. Safe to use from
    several processes: each file is there whole or not at all.
    """

    folder: Path
    most_bytes: int

    def file(self, digest: str, orientation: int, kind: Kind) -> Path | None:
        """Where that small version lies; None where there is none, or none that is whole."""
        path = self._path(digest, orientation, kind)
        try:
            with path.open("rb") as file:
                file.seek(-len(END_OF_IMAGE), os.SEEK_END)
                return path if file.read() == END_OF_IMAGE else None
        except OSError:  # none, or shorter than that
            return None

    def keep(self, digest: str, orientation: int, pictures: Mapping[Kind, bytes]) -> int:
        """Keep `pictures` of a photo; how many bytes that were. Raises OSError, nothing half done."""
        if not self.most_bytes:
            return 0
        for kind, content in pictures.items():
            path = self._path(digest, orientation, kind)
            try:
                write_swiftly(path, content, PRIVATE_FILE)
            except FileNotFoundError:
                self._make_folder(path.parent)
                write_swiftly(path, content, PRIVATE_FILE)
        return sum(map(len, pictures.values()))

    def forget(self, photos: Iterable[tuple[str, int]]) -> int:
        """Erase what is kept of `photos`, each a digest and an orientation; of how many something was
        kept. Raises OSError.
        """
        erased = 0
        for digest, orientation in photos:
            found = [path for kind in Kind if (path := self._path(digest, orientation, kind)).exists()]
            for path in found:
                path.unlink(missing_ok=True)
            erased += bool(found)
        return erased

    def size(self) -> tuple[int, int]:
        """Photos of which something is kept, and bytes in all."""
        files = [(path, status.st_size) for path, status in self._files()]
        return len({path.name.split(".")[0] for path, _ in files}), sum(size for _, size in files)

    def prune(self) -> int:
        """Erase the oldest until `LEFT_AFTER_PRUNING` of the bound are left; how many bytes were erased.

        Nothing is done while the bound holds. What a process that died left half written counts and goes too.
        """
        files = sorted(self._files(), key=lambda each: each[1].st_mtime_ns)
        kept = sum(status.st_size for _, status in files)
        if kept <= self.most_bytes:
            return 0
        before = kept
        for path, status in files:
            if kept <= LEFT_AFTER_PRUNING * self.most_bytes:
                break
            with suppress(OSError):
                path.unlink(missing_ok=True)
                kept -= status.st_size
        return before - kept

    def _path(self, digest: str, orientation: int, kind: Kind) -> Path:
        return self.folder / digest[:2] / f"{digest}-{orientation}.{kind}.jpg"

    def _make_folder(self, folder: Path) -> None:
        is_new = not self.folder.exists()
        folder.mkdir(PRIVATE_FOLDER, parents=True, exist_ok=True)
        if is_new:  # as a parent it was made with the usual rights
            self.folder.chmod(PRIVATE_FOLDER)

    def _files(self) -> Iterator[tuple[Path, os.stat_result]]:
        """What is kept. Nothing else counts or goes, wherever somebody lets `folder` point to."""
        for folder in self.folder.glob("[0-9a-f][0-9a-f]"):
            with suppress(OSError):
                for each in os.scandir(folder):
                    if _OWN_NAME.fullmatch(each.name):
                        with suppress(OSError):
                            yield Path(each.path), each.stat(follow_symlinks=False)


class Bound:
    """Keeps a store within its bound while photos are measured, counting its files now and then."""

    RECOUNT_SHARE = 0.02
    """Share of the bound that may come in between two counts: other processes keep pictures too."""

    def __init__(self, previews: Previews) -> None:
        self._previews = previews
        self._since_counted: float = previews.most_bytes  # so that the first photo has all counted

    def grew(self, by_bytes: int) -> None:
        """So much came in; what is too much goes."""
        if not by_bytes:
            return
        self._since_counted += by_bytes
        if self._since_counted >= self.RECOUNT_SHARE * self._previews.most_bytes:
            self._since_counted = 0
            self._previews.prune()
