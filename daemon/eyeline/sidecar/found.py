"""The XMP of one photo as it was read: which file carries it, its bytes, what they say."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from eyeline.sidecar.carrier import read_whole
from eyeline.sidecar.meaning import EMPTY, Document, parse
from eyeline.sidecar.naming import Listing, Naming, Place, locate, usual_carrier
from eyeline.sidecar.outcome import Outcome, Result, digest_of
from eyeline.sidecar.present import Present, present
from eyeline.sidecar.written import Written


@dataclass(frozen=True)
class Found:
    """What carries the XMP of a photo, its `content` (None: there is none), and what that means."""

    place: Place
    content: bytes | None
    document: Document

    @property
    def path(self) -> Path:
        """The file that carries it, or is to carry it."""
        return self.place.path

    @cached_property
    def digest(self) -> str | None:
        """BLAKE2b hex of `content`, None where there is none."""
        return digest_of(self.content)

    @cached_property
    def present(self) -> Present:
        """What it says in the fields that eyeline writes."""
        return present(self.document)

    def left(self, result: Result, sentence: str, left: tuple[str, ...], written: Written | None) -> Outcome:
        """The outcome where the file stays as it was found."""
        return Outcome(result, self.path, sentence, left, self.digest, self.digest, written)

    def edited(self, sentence: str, left: tuple[str, ...], after: bytes | None, written: Written) -> Outcome:
        """The outcome where the file now holds `after`."""
        digest = digest_of(after)
        written = replace(written, digest=digest or "")
        return Outcome(Result.WRITTEN, self.path, sentence, left, self.digest, digest, written)


@dataclass(frozen=True, slots=True)
class Lookup:
    """How the XMP of `photo` is found, again each time that another program came between.

    `listing`: of the photo's folder, where a pass has one; else the folder is listed each time.
    """

    photo: Path
    naming: Naming
    listing: Listing | None = None

    @property
    def usual(self) -> Path:
        """The file that carries it where there is none yet."""
        return usual_carrier(self.photo, self.naming)

    def place(self) -> Place:
        """Where it is. Raises UnsafeSidecar, OSError."""
        if self.listing is None:
            return locate(self.photo, self.naming)
        return self.listing.locate(self.photo, self.naming)

    def find(self) -> Found:
        """Read it as it is now. Raises UnsafeSidecar, OSError, Interrupted."""
        return found_at(self.place())


def found_at(place: Place) -> Found:
    """Read the XMP at `place`. Raises UnsafeSidecar, OSError, Interrupted."""
    content = read_whole(place.path)
    return Found(place, content, parse(content, place.path) if content is not None else EMPTY)
