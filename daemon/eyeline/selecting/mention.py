"""Which frames that a client named are wanted, and which belong to a refusal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from eyeline.selecting.name import FrameName


@dataclass(frozen=True, slots=True)
class Asked:
    """A frame, or all from `first` to `last`, and the client's own `words` for it."""

    first: FrameName
    last: FrameName | None
    words: str


@dataclass(slots=True)
class Mention:
    """A frame or span in the text. `run`: which refusal it belongs to; `firmly`: by more than a comma."""

    asked: Asked
    run: int | None = None
    firmly: bool = True
    refused_by_verdict: bool = False


def wanted_and_not(
    mentions: Sequence[Mention], everything: bool, doubts: list[str]
) -> tuple[list[Mention], list[Mention]]:
    """Which of the `mentions` are wanted and which are refused: what follows a refusal after a comma is so
    where it was asked for. `doubts` gets what cannot be told, a sentence each."""
    wanted = [each for each in mentions if each.run is None and not each.refused_by_verdict]
    unwanted = [each for each in mentions if each.refused_by_verdict]
    for run in dict.fromkeys(each.run for each in mentions if each.run is not None):
        members = [each for each in mentions if each.run == run and not each.refused_by_verdict]
        means_something = everything or any(_meets(each, wanted) for each in members if each.firmly)
        for each in members:
            if each.firmly or everything or _meets(each, wanted):
                unwanted.append(each)
            elif means_something:
                wanted.append(each)
            elif not wanted:
                unwanted.append(each)
            else:
                doubts.append(f"“{each.asked.words}” follows a “not”: is it wanted?")
    order = {id(each): row for row, each in enumerate(mentions)}
    wanted.sort(key=lambda each: order[id(each)])
    return wanted, unwanted


def _meets(mention: Mention, others: list[Mention]) -> bool:
    return any(_overlap(mention.asked, other.asked) for other in others)


def _overlap(one: Asked, other: Asked) -> bool:
    if one.first.letters and other.first.letters and one.first.letters != other.first.letters:
        return False
    (low, high), (from_, to) = _ends(one), _ends(other)
    return low <= to and from_ <= high


def _ends(asked: Asked) -> tuple[int, int]:
    return int(asked.first.digits or -1), int((asked.last or asked.first).digits or -1)
