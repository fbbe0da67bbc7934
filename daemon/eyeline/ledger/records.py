"""What the ledger keeps, as frozen data: files, photos, decisions, problems."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.terms.file_status import FileStatus
from eyeline.terms.frame import Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.verdict import Verdict


class State(StrEnum):
    """How far a file has come. Set aside: it failed too often and waits until it changes."""

    ARRIVED = "arrived"
    MEASURED = "measured"
    WRITTEN = "written"
    POSTPONED = "postponed"
    SET_ASIDE = "set aside"


class Outcome(StrEnum):
    """What became of a decision at the sidecar."""

    WRITTEN = "written"
    UNCHANGED = "unchanged"
    KEPT = "kept the photographer's"
    DRY_RUN = "dry run"
    REFUSED = "refused"
    TAKEN_BACK = "taken back"
    CORRECTED = "corrected by you"


@dataclass(frozen=True, slots=True)
class KnownFile:
    """A file as the ledger knows it; `attempts`: how often it was claimed since it last changed.

    `digest` is None until the file was measured. `problem` says what went wrong last.
    """

    path: Path
    status: FileStatus
    state: State
    digest: str | None
    attempts: int
    not_before: datetime | None
    problem: str | None


@dataclass(frozen=True, slots=True)
class Photo:
    """What was measured in one photo, wherever its file lies now.

    `milliseconds`: of processor time by step. `measured_at`: aware. `measures_edition`: see
    `measuring.catalogue`.
    """

    frame: Frame
    measurements: tuple[Measurement, ...]
    points: Points | None
    why_sitter: str
    milliseconds: Mapping[str, float]
    measured_at: datetime
    measures_edition: int


@dataclass(frozen=True, slots=True)
class Decision:
    """One verdict on one file and what was done about it; added to the ledger, never changed.

    `refused_because` is given exactly for Outcome.REFUSED. `sidecar_before`, `sidecar_after`: digests
    of the sidecar file, None where there was none or where it is not known. `written`: JSON text by
    the sidecar room, kept as it is. `decided_at`: aware.
    """

    path: Path
    digest: str
    verdict: Verdict
    outcome: Outcome
    decided_at: datetime
    refused_because: str | None = None
    sidecar: Path | None = None
    sidecar_before: str | None = None
    sidecar_after: str | None = None
    written: str | None = None

    def __post_init__(self) -> None:
        if (self.outcome is Outcome.REFUSED) != (self.refused_because is not None):
            raise ValueError(f"{self.outcome}: a reason belongs to a refusal, and to nothing else")


@dataclass(frozen=True, slots=True)
class PreImage:
    """A sidecar before eyeline: its bytes, None where there was no file. `left_as`: digest of the file as
    eyeline left it last; one with another digest has been changed by somebody since.
    """

    content: bytes | None
    left_as: str


@dataclass(frozen=True, slots=True)
class SentOut:
    """A frame that a client was shown. `made_as`: the file or list in which it went out. `at`: aware."""

    path: Path
    digest: str
    made_as: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Choice:
    """A frame that a client chose. `words`: the client's for it. `source`: where the answer came from.

    `wrote`: whether the keyword came into the sidecar by this, and was not there before. `at`: aware.
    """

    path: Path
    digest: str
    words: str
    source: str
    wrote: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Delivery:
    """A file that was delivered: `target`, made of the frame at `path`.

    `inputs`: digest of all that it was made by; `content`: of its bytes. `size_bytes`, `modified_ns`: its
    status as it was written. `at`: aware.
    """

    target: Path
    path: Path
    digest: str
    inputs: str
    content: str
    size_bytes: int
    modified_ns: int
    at: datetime


@dataclass(frozen=True, slots=True)
class Problem:
    """What went wrong with which file, what to do about it, and when. `path` None: with no one file."""

    path: Path | None
    what: str
    cure: str
    at: datetime

    @classmethod
    def of(cls, error: EyelineError, at: datetime) -> Problem:
        """The problem that `error` tells of."""
        return cls(error.file, error.what, error.cure, at)


@dataclass(frozen=True, slots=True)
class Summary:
    """Decisions counted: by stars (None for frames that are no portrait), by what became of the sidecar; and
    the genres served."""

    stars: Mapping[int | None, int]
    outcomes: Mapping[str, int]
    genres: frozenset[str]


@dataclass(frozen=True, slots=True)
class Settled:
    """A folder in which all is decided and written.

    `inputs`: digest of all that the next pass would go by. `fresh`: sidecars that were written so short a
    time before that another write need not show in their status: path bytes in hex, digest of the content.
    `summary`: what the next pass would come to. `at`: when that was seen; aware.
    """

    inputs: str
    fresh: Mapping[str, str]
    summary: Summary
    at: datetime


@dataclass(frozen=True, slots=True)
class FolderRow:
    """A file in a folder as the ledger knows it. `measured`: changes whenever what is kept of its photo is
    written anew, None until it is measured."""

    path: Path
    status: FileStatus
    state: State
    measured: int | None


@dataclass(frozen=True, slots=True)
class Status:
    """Counts. `stars`: files by the stars of their latest decision, None for frames that are no portrait."""

    photos: int
    files: Mapping[State, int]
    stars: Mapping[int | None, int]
    decisions: int
    problems: int
    last_activity: datetime | None
    size_bytes: int
