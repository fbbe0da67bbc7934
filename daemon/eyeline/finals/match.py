"""Which frame a final is of: the one of its number if the picture agrees, else by the picture alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from eyeline.finals.registration import Registered, Shown, by_look, fingerprint, register

SHORTLIST = 8
"""Frames that look most like the final and are registered first; the others only where none of them fits."""

AGREES = 0.85
"""How alike the blocks have to be where the number says the same: retouching may repaint much."""

CERTAIN = 0.97
"""The same where only the picture tells. Of 12 finals made of the bundled shoot's frames of even place none
had less than 0.989 with its own frame and none more than 0.960 with the frames beside it."""

LEAST_LEAD = 0.015
"""By which the best frame has to lead, half of that distance: frames of one series differ in little more
than the face."""


@dataclass(frozen=True, slots=True)
class Match:
    """`place`: of the frame, None where none fits or two do. `rivals`: places of the frames that fit alike.
    `named`: whether the number said so too."""

    place: int | None
    registered: Registered | None = None
    rivals: tuple[int, ...] = ()
    named: bool = False


def match(
    final: Shown, frames: int, numbered: Sequence[int], shown_at: Callable[[int], Shown | None]
) -> Match:
    """Which of so many `frames` the final is of. `numbered`: places of those whose number it bears;
    `shown_at`: a frame as it is compared, None where it cannot be read."""
    by_number = _tried(final, numbered, shown_at)
    if len(by_number) == 1 or (len(by_number) > 1 and by_number[0][0] - by_number[1][0] >= LEAST_LEAD):
        agreement, place, registered = by_number[0]
        if agreement >= AGREES:
            return Match(place, registered, (), True)
    others = [place for place in range(frames) if place not in numbered]
    prints = [fingerprint(seen.grey) if (seen := shown_at(place)) is not None else 0 for place in others]
    order = [others[row] for row in by_look(final.grey, prints)]
    tried = by_number
    for part in (order[:SHORTLIST], order[SHORTLIST:]):
        tried = sorted([*tried, *_tried(final, part, shown_at)], key=lambda each: -each[0])
        fitting = [each for each in tried if each[0] >= CERTAIN]
        if fitting:
            best = fitting[0]
            rivals = tuple(place for agreement, place, _ in fitting if best[0] - agreement < LEAST_LEAD)
            return Match(best[1], best[2]) if len(rivals) == 1 else Match(None, None, rivals)
    return Match(None)


def _tried(
    final: Shown, places: Sequence[int], shown_at: Callable[[int], Shown | None]
) -> list[tuple[float, int, Registered]]:
    """Each of `places` that registers at all, best first."""
    found = []
    for place in places:
        seen = shown_at(place)
        registered = register(seen, final) if seen is not None else None
        if registered is not None:
            found.append((registered.agreement, place, registered))
    return sorted(found, key=lambda each: -each[0])
