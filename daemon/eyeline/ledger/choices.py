"""What clients chose: which frame, when, by which words, and from where the answer came."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import moment_of, path_bytes, path_of, span, storable, utc_text
from eyeline.ledger.database import Database
from eyeline.ledger.records import Choice


class Choices:
    """A row for each frame of each answer; one that is taken back stays, with the moment at which it was.

    Every method raises LedgerFailed.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, choice: Choice) -> None:
        """Keep `choice`."""
        self._database.change(
            """INSERT INTO choices (path, printable, digest, words, source, wrote, at)
               VALUES (?, ?, ?, ?, ?, ?, ?)""",
            (
                path_bytes(choice.path),
                printable(choice.path),
                choice.digest,
                storable(choice.words),
                storable(choice.source),
                int(choice.wrote),
                utc_text(choice.at),
            ),
        )

    def under(self, folder: Path) -> list[Choice]:
        """What was chosen of all that lies under `folder` and is not taken back, in the order of answers."""
        rows = self._database.rows(
            "SELECT * FROM choices WHERE path > ? AND path < ? AND taken_back_at IS NULL ORDER BY id",
            span(folder),
        )
        return [
            Choice(
                path_of(row["path"]),
                row["digest"],
                row["words"],
                row["source"],
                bool(row["wrote"]),
                moment_of(row["at"]),
            )
            for row in rows
        ]

    def add_in_vain(self, folder: Path, words: str, source: str, now: datetime) -> None:
        """Keep that an answer for `folder` named `words`, and that no frame there is called so."""
        self._database.change(
            "INSERT INTO named_in_vain (path, printable, words, source, at) VALUES (?, ?, ?, ?, ?)",
            (path_bytes(folder), printable(folder), storable(words), storable(source), utc_text(now)),
        )

    def in_vain(self, folder: Path) -> list[str]:
        """Words that answers for `folder`, and for folders under it, named in vain, each once."""
        rows = self._database.rows(
            "SELECT words FROM named_in_vain WHERE path = ? OR (path > ? AND path < ?) ORDER BY id",
            (path_bytes(folder), *span(folder)),
        )
        return list(dict.fromkeys(row["words"] for row in rows))

    def take_back_in_vain(self, folder: Path, answered_at: datetime) -> None:
        """Forget what the answer of `answered_at` for `folder` named in vain."""
        self._database.change(
            "DELETE FROM named_in_vain WHERE path = ? AND at = ?", (path_bytes(folder), utc_text(answered_at))
        )

    def take_back(self, paths: Iterable[Path], answered_at: datetime | None, now: datetime) -> None:
        """Note that frames are chosen no more: by the answer of `answered_at`, None = by any."""
        with self._database.transaction():
            for path in paths:
                self._database.change(
                    """UPDATE choices SET taken_back_at = :now WHERE path = :path AND taken_back_at IS NULL
                       AND (:at IS NULL OR at = :at)""",
                    {
                        "now": utc_text(now),
                        "path": path_bytes(path),
                        "at": utc_text(answered_at) if answered_at is not None else None,
                    },
                )
