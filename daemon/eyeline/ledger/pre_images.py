"""Sidecars as they were before eyeline first wrote into them, so that undo can be byte for byte."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import path_bytes, path_of, span, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import PreImage

KEPT = timedelta(days=365)  # a year: jobs are reopened within a season, and a compressed sidecar is some 2 kB
_COMPRESSION = 6  # zlib's own default: sidecars shrink to a quarter, in a fraction of a millisecond


class PreImages:
    """At most one pre-image a sidecar. Every method raises LedgerFailed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, sidecar: Path, pre_image: PreImage, now: datetime) -> None:
        """Keep `pre_image` of `sidecar` (for KEPT), in place of an earlier one."""
        content = pre_image.content
        self._database.change(
            "INSERT OR REPLACE INTO pre_images VALUES (?, ?, ?, ?, ?)",
            (
                path_bytes(sidecar),
                printable(sidecar),
                zlib.compress(content, _COMPRESSION) if content is not None else None,
                pre_image.left_as,
                utc_text(now),
            ),
        )

    def of(self, sidecar: Path) -> PreImage | None:
        """The pre-image of `sidecar`, None where none is kept."""
        row = self._database.row("SELECT * FROM pre_images WHERE sidecar = ?", (path_bytes(sidecar),))
        return self._pre_image(row) if row else None

    def drop(self, sidecar: Path) -> None:
        """Keep no pre-image of `sidecar` any more."""
        self._database.change("DELETE FROM pre_images WHERE sidecar = ?", (path_bytes(sidecar),))

    def under(self, folder: Path) -> Iterator[Path]:
        """The sidecars under `folder` of which a pre-image is kept, by path."""
        for row in self._database.rows(
            "SELECT sidecar FROM pre_images WHERE sidecar >= ? AND sidecar < ? ORDER BY sidecar", span(folder)
        ):
            yield path_of(row["sidecar"])

    def prune(self, now: datetime) -> int:
        """Erase what is older than KEPT; how many that was."""
        return self._database.change("DELETE FROM pre_images WHERE kept_at < ?", (utc_text(now - KEPT),))

    def _pre_image(self, row: sqlite3.Row) -> PreImage:
        with self._database.held(f"the pre-image of {row['printable']}"):
            try:
                content = zlib.decompress(row["content"]) if row["content"] is not None else None
            except zlib.error as error:
                raise ValueError(str(error)) from error
            return PreImage(content, row["left_as"])
