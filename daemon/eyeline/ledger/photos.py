"""What was measured, by photo: a file that is renamed, moved or copied keeps its measures."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from eyeline.ledger.conversion import (
    DIRECTLY_IN,
    directly_in,
    from_json,
    json_text,
    measurements_from_json,
    measurements_to_json,
    moment_of,
    path_bytes,
    path_of,
    span,
    storable,
    to_json,
    utc_text,
)
from eyeline.ledger.database import Database
from eyeline.ledger.records import Photo
from eyeline.terms.frame import Capture, Frame
from eyeline.terms.points import Points

_PAGE_ROWS = 200  # a row is some 4 kB
_WITH_PATH = "SELECT photos.*, files.path FROM files JOIN photos USING (digest, orientation)"


class Photos:
    """Photos by the digest of their image data and their orientation.

    The digest leaves metadata out, so two files of one digest may be turned differently; what was
    measured in one upright picture does not hold for the other. Every method raises LedgerFailed.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def record(self, photo: Photo) -> None:
        """Keep `photo`, in place of what was measured in it before.

        Raises ValueError where a number is infinite or not a number or a measure is named twice,
        TypeError where a value is no plain Python value; nothing is stored then.
        """
        frame = photo.frame
        self._database.change(
            "INSERT OR REPLACE INTO photos VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                frame.digest,
                frame.orientation,
                frame.width,
                frame.height,
                frame.stored_width,
                frame.stored_height,
                to_json(frame.capture),
                measurements_to_json(photo.measurements),
                to_json(photo.points) if photo.points is not None else None,
                storable(photo.why_sitter),
                json_text(dict(photo.milliseconds)),
                utc_text(photo.measured_at),
                photo.measures_edition,
            ),
        )

    def of(self, frame: Frame) -> Photo | None:
        """What was measured in the image data of `frame`, turned as it is, under whatever name.

        The answer holds `frame` itself, so path and capture are those of today.
        """
        row = self._database.row(
            "SELECT * FROM photos WHERE digest = ? AND orientation = ?", (frame.digest, frame.orientation)
        )
        return replace(self._photo(row, frame.path), frame=frame) if row else None

    def at(self, path: Path) -> Photo | None:
        """What was measured in the file at `path` as it was last remembered."""
        row = self._database.row(f"{_WITH_PATH} WHERE files.path = ?", (path_bytes(path),))
        return self._photo(row, path) if row else None

    def keys(self) -> set[tuple[str, int]]:
        """Digest and orientation of every photo."""
        rows = self._database.rows("SELECT digest, orientation FROM photos")
        return {(row["digest"], row["orientation"]) for row in rows}

    def editions_in(self, folder: Path) -> dict[Path, int]:
        """The edition of the measures of each measured file that lies in `folder` itself."""
        rows = self._database.rows(
            f"""SELECT files.path, measures_edition FROM files JOIN photos USING (digest, orientation)
                WHERE {DIRECTLY_IN.format("files.path")}""",
            directly_in(folder),
        )
        return {path_of(row["path"]): int(row["measures_edition"]) for row in rows}

    def in_folder(self, folder: Path) -> list[Photo]:
        """Every measured photo whose file lies in `folder` itself, by path."""
        rows = self._database.rows(
            f"{_WITH_PATH} WHERE {DIRECTLY_IN.format('files.path')} ORDER BY files.path", directly_in(folder)
        )
        return [self._photo(row, path_of(row["path"])) for row in rows]

    def under(self, folder: Path) -> Iterator[Photo]:
        """Every measured photo whose file is under `folder`, by path."""
        after, end = span(folder)
        while True:
            rows = self._database.rows(
                f"{_WITH_PATH} WHERE files.path > ? AND files.path < ? ORDER BY files.path LIMIT ?",
                (after, end, _PAGE_ROWS),
            )
            for row in rows:
                yield self._photo(row, path_of(row["path"]))
            if len(rows) < _PAGE_ROWS:
                return
            after = rows[-1]["path"]

    def _photo(self, row: sqlite3.Row, path: Path) -> Photo:
        with self._database.held(f"what was measured in photo {row['digest']}"):
            return Photo(
                frame=Frame(
                    path=path,
                    digest=row["digest"],
                    width=row["width"],
                    height=row["height"],
                    stored_width=row["stored_width"],
                    stored_height=row["stored_height"],
                    orientation=row["orientation"],
                    capture=from_json(row["capture"], Capture),
                ),
                measurements=measurements_from_json(row["measurements"]),
                points=from_json(row["points"], Points) if row["points"] is not None else None,
                why_sitter=row["why_sitter"],
                milliseconds=json.loads(row["milliseconds"]),
                measured_at=moment_of(row["measured_at"]),
                measures_edition=row["measures_edition"],
            )
