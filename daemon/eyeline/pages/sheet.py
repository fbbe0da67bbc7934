"""What a sheet shows: frames of sitters, each with all that is said about it. Plain data, no layout."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from eyeline.ledger.records import Photo
from eyeline.pages.stave import Hung, hung
from eyeline.run.brief import FolderBrief
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import Crop


@dataclass(frozen=True, slots=True, eq=False)
class SheetFrame:
    """One frame. `number`: what a person calls it. `stars`: 1 to 5, None for no portrait.

    `words`: eyeline's keywords; `own_words`, `stars_are_own`, `own_crops` (names of formats): the
    photographer's own hand. `crops`: the preferred first. `binds`: the reason that holds its stars down.
    `series`: the same text for all of a series. `known`: its measures by name, with those of the set.
    """

    photo: Photo
    number: str
    genre: str
    stars: int | None
    words: tuple[str, ...]
    binds: str
    crops: tuple[Crop, ...]
    series: str | None
    known: Mapping[str, Measurement]
    stars_are_own: bool = False
    own_words: tuple[str, ...] = ()
    own_crops: tuple[str, ...] = ()

    @property
    def hung(self) -> Hung:
        """How it hangs from the eyes."""
        return hung(self.photo.frame.width, self.photo.frame.height, self.photo.points)


@dataclass(frozen=True, slots=True, eq=False)
class SheetSitter:
    """The frames of one sitter, in their order. `label`: a number or a name, "" for frames without a face.
    `since`: ISO 8601 by the camera's clock, None where no file says when it was taken."""

    label: str
    since: str | None
    frames: tuple[SheetFrame, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A sheet. `in_all`: frames there are, of which `sitters` hold those that were asked for; `asked`: what
    that was in words, "" for all. `brief`: how far it is, None where no brief was written; its
    frames are named by their paths from `home`."""

    title: str
    sitters: tuple[SheetSitter, ...]
    in_all: int
    asked: str = ""
    brief: FolderBrief | None = None
    home: Path | None = None

    @property
    def frames(self) -> tuple[SheetFrame, ...]:
        """All frames, sitter by sitter."""
        return tuple(frame for sitter in self.sitters for frame in sitter.frames)
