"""A client's answer against the frames of some folders."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePath

from eyeline.deciding.judge_folder import measured_exposures
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Choice, Photo, SentOut
from eyeline.run.nothing_measured import nothing_measured
from eyeline.selecting.answer import Answer, answer_in
from eyeline.selecting.found import Meant, frames_meant
from eyeline.selecting.table import answer_in_table


@dataclass(frozen=True, slots=True)
class Offer:
    """The frames that an answer can mean. `proof`: those that went out; where there are any, no others."""

    photos: tuple[Photo, ...]
    proof: tuple[SentOut, ...]

    @property
    def paths(self) -> tuple[Path, ...]:
        """Their files, in order."""
        return tuple(photo.frame.path for photo in self.photos)


def offer(ledger: Ledger, folders: Sequence[Path]) -> Offer:
    """What lies in `folders` and was measured. Raises EyelineError where that is nothing."""
    photos = measured_exposures(ledger, folders)
    if not photos:
        raise nothing_measured(folders)
    sent = tuple(each for folder in folders for each in ledger.proofs.under(folder))
    shown = {each.path for each in sent} | {each.digest for each in sent}
    went_out = [each for each in photos if each.frame.path in shown or each.frame.digest in shown]
    return Offer(tuple(went_out or photos), sent if went_out else ())


def understood(text: str) -> Answer:
    """The answer in `text`, a table or prose."""
    return answer_in_table(text) or answer_in(text)


def meant(answer: Answer, offered: Offer, settled: Sequence[tuple[str, Sequence[PurePath]]] = ()) -> Meant:
    """The frames that the answer means among those that are offered; see `selecting.found`."""
    return frames_meant(answer, offered.paths, settled)


def last_answer(ledger: Ledger, folders: Iterable[Path]) -> list[Choice]:
    """What the last answer for `folders` that is not taken back chose."""
    chosen = [each for folder in folders for each in ledger.choices.under(folder)]
    latest: datetime | None = max((each.at for each in chosen), default=None)
    return [each for each in chosen if each.at == latest]
