"""The bundled shoot, delivered into a folder as a card reader does it: file by file, block by block."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

from eyeline.settings.shipped import shipped_folder

BLOCKS = 4
"""Parts in which each file is written, so that the daemon meets unfinished files."""

BLOCK_SECONDS = 0.01
"""Pause between two parts: about 10 MB/s for the bundled frames, a slow card."""


def bundled_photos() -> list[Path]:
    """The frames of the bundled shoot, in the order in which they were taken."""
    return sorted(shipped_folder("shoot").glob("*.jpg"))


class CardReader(threading.Thread):
    """Copies `photos` into `folder`; `delivered` grows, `is_alive()` is False when all are there."""

    def __init__(self, photos: list[Path], folder: Path) -> None:
        super().__init__(name="card reader", daemon=True)
        self._photos = photos
        self._folder = folder
        self.delivered: list[Path] = []

    def run(self) -> None:
        """Write every file under its own name, in blocks."""
        for photo in self._photos:
            data = photo.read_bytes()
            target = self._folder / photo.name
            step = len(data) // BLOCKS + 1
            with target.open("wb") as file:
                for start in range(0, len(data), step):
                    file.write(data[start : start + step])
                    file.flush()
                    os.fsync(file.fileno())
                    time.sleep(BLOCK_SECONDS)
            self.delivered.append(target)
