"""Who sat in which photo, where that was said, and who sits now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.errors import printable
from eyeline.ledger.conversion import path_bytes, path_of, span, storable, utc_text
from eyeline.ledger.database import Database

_IS_TEXT = "CASE json_type({0}, '$.{1}') WHEN 'text' THEN json_extract({0}, '$.{1}') END"


@dataclass(frozen=True, slots=True)
class SeatRow:
    """A measured photo as far as it matters who sits in it.

    `people`: faces found; `lightness`: of the backdrop, L*; `code`: what a code held up to the camera says.
    `sitter`: what was said of it, `said_at`: by which saying, None where the photo was moved to its sitter
    later.
    """

    path: Path
    digest: str
    taken_at: str | None
    serial: str | None
    people: int | None
    lightness: float | None
    code: str | None
    sitter: str | None
    said_at: str | None


class Sitters:
    """What was said of photos, by the digest of their image data: renaming a file changes nothing.

    Every method raises LedgerFailed.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def seat(
        self, photos: Iterable[tuple[Path, str]], sitter: str, said_at: str | None, now: datetime
    ) -> None:
        """Note that `sitter` sits in `photos`, each path and digest; `said_at` None: moved there later, which
        takes the place of what was noted before. A saying takes the place of nothing."""
        again = """DO UPDATE SET path = excluded.path, printable = excluded.printable,
            sitter = excluded.sitter, said_at = excluded.said_at, noted_at = excluded.noted_at"""
        with self._database.transaction():
            for path, digest in photos:
                self._database.change(
                    f"""INSERT INTO sitters VALUES (?, ?, ?, ?, ?, ?)
                        ON CONFLICT (digest) {again if said_at is None else "DO NOTHING"}""",
                    (digest, path_bytes(path), printable(path), storable(sitter), said_at, utc_text(now)),
                )

    def seat_now(self, folder: Path, sitter: str, now: datetime) -> None:
        """Note that `sitter` sits from `now` on in what arrives under `folder`."""
        self._database.change(
            "INSERT OR REPLACE INTO seated_now VALUES (?, ?, ?, ?)",
            (path_bytes(folder), printable(folder), storable(sitter), utc_text(now)),
        )

    def all_seated_now(self) -> dict[Path, tuple[str, str]]:
        """Who sits under which folder, and the saying's moment."""
        rows = self._database.rows("SELECT * FROM seated_now")
        return {path_of(row["folder"]): (row["sitter"], row["said_at"]) for row in rows}

    def seated_now(self, folder: Path) -> tuple[str, str] | None:
        """Who sits under `folder`, and the saying's moment; None where nobody said."""
        row = self._database.row("SELECT * FROM seated_now WHERE folder = ?", (path_bytes(folder),))
        return (row["sitter"], row["said_at"]) if row else None

    def under(self, folder: Path) -> list[SeatRow]:
        """Every measured photo under `folder`, by path."""
        start, end = span(folder)
        rows = self._database.rows(
            f"""SELECT files.path, digest, json_extract(capture, '$.taken_at') taken_at,
                    json_extract(capture, '$.serial') serial,
                    CASE json_type(measurements, '$.people') WHEN 'integer'
                        THEN json_extract(measurements, '$.people') END people,
                    CASE WHEN json_type(measurements, '$.background_lightness') IN ('real', 'integer')
                        THEN json_extract(measurements, '$.background_lightness') END lightness,
                    {_IS_TEXT.format("measurements", "slate_code")} code, sitter, said_at
                FROM files JOIN photos USING (digest, orientation) LEFT JOIN sitters USING (digest)
                WHERE files.path > ? AND files.path < ? ORDER BY files.path""",
            (start, end),
        )
        return [SeatRow(path_of(row["path"]), *(row[name] for name in SeatRow.__slots__[1:])) for row in rows]
