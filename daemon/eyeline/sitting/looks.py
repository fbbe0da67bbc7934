"""Looks: frames of a sitting with the same clothes, backdrop and light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, log2
from statistics import median

from eyeline.sitting.colour_difference import Lab, at_middle_lightness, luminance_of
from eyeline.sitting.shot import Shot

MOST_BACKDROP_CHROMA = 8.0
"""Distance of two backdrops in (a*, b*), both brought to L* 50, up to which they are one: a gradient or a
wall in uneven light differs by 2 to 4 from framing to framing, two rolls of coloured paper by over 15."""

MOST_CLOTHES_CHROMA = 12.0
"""The same for clothes, of which each framing shows another part."""

MOST_LIGHT_STOPS = 1.3
"""Change of the light on the backdrop against that on the face, in stops, up to which the light is the
same: a head that turns from the key loses about a stop."""

LASTING_FRAMES = 3
"""Frames that must agree on a change: one or two that differ are misfires or somebody in the way. At the
end of a sitting fewer will do, since nobody knows yet what follows."""

MEMORY_FRAMES = 9
"""The latest frames of a look, whose medians stand for it: a backdrop drifts as the sitter moves."""


@dataclass(frozen=True, slots=True)
class Appearance:
    """What tells looks apart; None where a frame does not show it.

    `backdrop`, `clothes`: (a*, b*) at L* 50. `backdrop_stops`: light of the backdrop over the face's.
    """

    backdrop: tuple[float, float] | None
    clothes: tuple[float, float] | None
    backdrop_stops: float | None


def looks(shots: Sequence[Shot], rows: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Part the frames `rows` of one sitting, in the order taken, into looks, each a run of frames.

    A look ends where the next `LASTING_FRAMES` frames (or all that are left) differ from it. Exposure
    alone makes no new look.
    """
    seen = [appearance(shots[row]) for row in rows]
    found: list[tuple[int, ...]] = []
    start = 0
    agreed = seen[:1]
    for place in range(1, len(rows)):
        known = typical(agreed[-MEMORY_FRAMES:])
        if not differ(known, seen[place]):
            agreed.append(seen[place])
        elif all(differ(known, each) for each in seen[place : place + LASTING_FRAMES]):
            found.append(tuple(rows[start:place]))
            start, agreed = place, [seen[place]]
    return (*found, tuple(rows[start:])) if rows else ()


def appearance(shot: Shot) -> Appearance:
    """What `shot` shows of clothes, backdrop and light."""
    backdrop, clothes = colour(shot, "background"), colour(shot, "clothes")
    face = shot.number("face_luminance")
    stops = None
    if backdrop is not None and face is not None and face > 0 and backdrop[0] > 0:
        stops = log2(luminance_of(backdrop[0]) / face)
    return Appearance(
        None if backdrop is None else at_middle_lightness(backdrop)[1:],
        None if clothes is None else at_middle_lightness(clothes)[1:],
        stops,
    )


def colour(shot: Shot, what: str) -> Lab | None:
    """The CIELAB colour of `what`: background or clothes."""
    lightness, a, b = (shot.number(f"{what}_{axis}") for axis in ("lightness", "a", "b"))
    return None if lightness is None or a is None or b is None else (lightness, a, b)


def typical(seen: Sequence[Appearance]) -> Appearance:
    """The medians of what several frames show."""
    stops = [each.backdrop_stops for each in seen if each.backdrop_stops is not None]
    return Appearance(
        _middle([each.backdrop for each in seen if each.backdrop is not None]),
        _middle([each.clothes for each in seen if each.clothes is not None]),
        median(stops) if stops else None,
    )


def differ(one: Appearance, other: Appearance) -> bool:
    """Whether two frames have different looks, as far as both show it."""
    return (
        _apart(one.backdrop, other.backdrop, MOST_BACKDROP_CHROMA)
        or _apart(one.clothes, other.clothes, MOST_CLOTHES_CHROMA)
        or (
            one.backdrop_stops is not None
            and other.backdrop_stops is not None
            and abs(one.backdrop_stops - other.backdrop_stops) > MOST_LIGHT_STOPS
        )
    )


def _middle(colours: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    return (median(a for a, _ in colours), median(b for _, b in colours)) if colours else None


def _apart(one: tuple[float, float] | None, other: tuple[float, float] | None, most: float) -> bool:
    return one is not None and other is not None and hypot(one[0] - other[0], one[1] - other[1]) > most
