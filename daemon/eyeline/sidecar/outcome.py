"""What became of one sidecar, and the words for it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from eyeline.sidecar.ownership import Edits
from eyeline.sidecar.written import Written


class Result(Enum):
    """WRITTEN; PLANNED (a dry run would write); UNCHANGED (it says so already); KEPT (all that there is to
    say is the photographer's already); DOUBT (see `ownership`); REFUSED (it cannot be written safely).
    """

    WRITTEN = "written"
    PLANNED = "planned"
    UNCHANGED = "unchanged"
    KEPT = "kept"
    DOUBT = "doubt"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one sidecar.

    `sentence`: for people. `left`: what was left to the photographer. `digest_before`, `digest_after`:
    BLAKE2b hex of the file, None where there is none. `written`: the record to keep and to hand in next
    time; None when there is nothing to remember. `may_pass`: REFUSED for a cause that may pass by itself, as
    a full disk does.
    """

    result: Result
    sidecar: Path
    sentence: str
    left: tuple[str, ...] = ()
    digest_before: str | None = None
    digest_after: str | None = None
    written: Written | None = None
    may_pass: bool = False


def digest_of(content: bytes | None) -> str | None:
    """BLAKE2b hex of a sidecar's bytes, as in `Outcome`; None where there is no file."""
    return None if content is None else hashlib.blake2b(content, digest_size=32).hexdigest()


def in_words(edits: Edits) -> str:
    """Describe the edits."""
    parts = []
    if edits.rating is not None:
        parts.append("no rating" if edits.rating == "" else f"rating {edits.rating}")
    for count, one, verb in (
        (len(edits.add_keywords), "keyword", "added"),
        (len(edits.remove_keywords), "keyword", "removed"),
        (len(edits.add_scenes), "scene code", "added"),
        (len(edits.remove_scenes), "scene code", "removed"),
        (len(edits.add_regions), "region", "set"),
        (len(set(edits.remove_regions) - {r.id for r in edits.add_regions}), "region", "removed"),
    ):
        if count:
            parts.append(f"{count} {one}{'s' if count > 1 else ''} {verb}")
    return ", ".join(parts) or "the history entry"


def but_left(left: tuple[str, ...]) -> str:
    """What was left to the photographer, as the end of a sentence."""
    return f"; left to the photographer: {', '.join(left)}" if left else ""
