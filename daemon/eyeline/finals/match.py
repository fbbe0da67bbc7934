"""Which frame a final is of: that of its number, or taken when it was, if the picture agrees; else by the
picture alone."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass

from eyeline.finals.registration import Registered, Shown, by_look, fingerprint, register

SHORTLIST = 8
"""Frames that look most like the final and are registered first; the others only where none of them fits."""

AGREES = 0.85
"""How alike the blocks have to be where the number says the same: retouching may repaint much."""

ALIKE = 0.97
"""How alike they have to be for a frame to be thought of at all where only the picture tells."""

CERTAIN = 0.985
STILL_PX = 0.4
"""The same for the one that it is, and how far its features may have drifted. Of 31 finals made of the
bundled shoot's frames of even place none had less than 0.987 with its own frame, and two more than 0.30 px;
of the frames beside it that had moved none had more than 0.987 and none less than 0.44 px."""

LEAST_LEAD = 0.015
"""By which the best frame has to lead all others: where only a gaze differs, it does not."""


@dataclass(frozen=True, slots=True)
class Match:
    """`place`: of the frame, None where none fits or two do. `rivals`: places of the frames that fit alike.
    `named`: whether the number, or when it was taken, said so too."""

    place: int | None
    registered: Registered | None = None
    rivals: tuple[int, ...] = ()
    named: bool = False


def match(
    final: Shown,
    frames: int,
    numbered: Sequence[int],
    shown_at: Callable[[int], Shown | None],
    beside_gaps: Container[int] = (),
) -> Match:
    """Which of so many `frames` the final is of. `numbered`: places of those whose number it bears, or that
    were taken when it was; `shown_at`: a frame as it is compared, None where it cannot be read.
    `beside_gaps`: places beside which a frame is missing, which may be the one, and look the same."""
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
        tried += _tried(final, part, shown_at)
        if all(each[0] < ALIKE for each in tried):
            continue
        # Its own frame may look less like the cropped final than a neighbour that looks like that frame.
        best = shown_at(max(tried, key=lambda each: each[0])[1])
        known = {*part, *order[:SHORTLIST], *numbered}
        beside = [others[row] for row in by_look(best.grey, prints)] if best is not None else []
        tried += _tried(final, [place for place in beside if place not in known][:SHORTLIST], shown_at)
        found = _the_one(sorted((each for each in tried if each[0] >= ALIKE), key=lambda each: -each[0]))
        if found.place is not None and found.place in beside_gaps:
            return Match(None, None, (found.place,))
        return found
    return Match(None)


def _the_one(alike: Sequence[tuple[float, int, Registered]]) -> Match:
    """Which of the frames that look like the final, best first, it is of; or that nobody can tell."""
    agreement, place, registered = alike[0]
    near = [each for each in alike if agreement - each[0] < LEAST_LEAD]
    if len(near) == 1 and agreement >= CERTAIN and registered.drift_px <= STILL_PX:
        return Match(place, registered)
    return Match(None, None, tuple(each[1] for each in near))


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
