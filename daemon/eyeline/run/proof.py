"""What goes out to a client to choose from, kept so that an answer means one of those frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo, SentOut
from eyeline.selecting.name import frame_name


@dataclass(frozen=True, slots=True)
class ProofRow:
    """A frame that went out. `number`: by which a client calls it; `chosen`: the client's words for it, None
    where no answer names it."""

    number: str
    path: Path
    made_as: str
    at: datetime
    chosen: str | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """What went out of some folders. `twice`: numbers that more than one of the frames has."""

    rows: tuple[ProofRow, ...]
    twice: tuple[str, ...]


def send_out(ledger: Ledger, photos: Sequence[Photo], made_as: str, now: datetime) -> None:
    """Keep that `photos` went out to a client together. `made_as`: the file or list that they are in."""
    ledger.proofs.add(SentOut(each.frame.path, each.frame.digest, made_as, now) for each in photos)


def proof_of(ledger: Ledger, folders: Sequence[Path]) -> Proof:
    """What went out of `folders`, and what of it was chosen."""
    chosen = {each.path: each.words for folder in folders for each in ledger.choices.under(folder)}
    rows = []
    for folder in folders:
        for sent in ledger.proofs.under(folder):
            number = frame_name(sent.path.name).digits or sent.path.stem
            rows.append(ProofRow(number, sent.path, sent.made_as, sent.at, chosen.get(sent.path)))
    numbers = [row.number.lstrip("0") for row in rows]
    twice = dict.fromkeys(row.number for row in rows if numbers.count(row.number.lstrip("0")) > 1)
    return Proof(tuple(rows), tuple(twice))
