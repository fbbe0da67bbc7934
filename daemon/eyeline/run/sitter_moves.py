"""Photos moved to the sitter who is in them: "these twelve are number 17"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.judge_folder import measured_photos
from eyeline.errors import BadConfiguration
from eyeline.run.nothing_measured import nothing_measured

NO_SITTERS = "the brief there does not count per sitter"
NO_SITTERS_CURE = 'Write per = "sitter" into a line of its eyeline.toml, or sitters = "said" above all lines'


@dataclass(frozen=True, slots=True)
class Moved:
    """How many photos were moved to whom; `folders`: those to be judged anew, since who follows in the list
    may follow elsewhere. `doubt`: what is to be said where the list has no such sitter."""

    photos: int
    sitter: str
    called: str
    doubt: str
    home: Path
    folders: tuple[Path, ...]


def move(decider: Decider, text: str, paths: Sequence[Path]) -> Moved:
    """Move the photos at or under `paths` to the sitter that `text` names, a number or a name.

    Raises
    ------
    EyelineError
        When one of `paths` is not measured.
    BadConfiguration
        When the brief there does not count per sitter, or is another for some of `paths`.
    """
    paths = [path.resolve() for path in paths]
    for path in paths:
        if not measured_photos(decider.ledger, [path]):
            raise nothing_measured([path])
    photos = measured_photos(decider.ledger, paths)
    rules = decider.folder_rules(photos[0].frame.path.parent)
    seats = rules.seats
    if rules.fault is not None:
        raise rules.fault
    if seats is None:
        raise BadConfiguration(NO_SITTERS, rules.path or photos[0].frame.path.parent, NO_SITTERS_CURE)
    for photo in photos:
        if not photo.frame.path.is_relative_to(seats.home):
            raise BadConfiguration(
                "another brief speaks of it", photo.frame.path, "Move photos brief by brief"
            )
    label = seats.label(text)
    decider.ledger.sitters.seat(
        [(photo.frame.path, photo.frame.digest) for photo in photos], label, None, datetime.now(UTC)
    )
    folders = dict.fromkeys(each.path.parent for each in decider.ledger.files.under(seats.home))
    return Moved(len(photos), label, seats.words(label), seats.doubt(label), seats.home, tuple(folders))
