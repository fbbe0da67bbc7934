"""The view of what is set aside: a table of contents by reason."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from eyeline.pages.review.spread import Laid, Spread

SOUND = 3
"""Stars that "keep it" gives: from there on a frame serves a line of the brief (common practice)."""


@dataclass(frozen=True, slots=True)
class Aside:
    """Frames that are set aside for one reason, in the order taken."""

    reason: str
    laid: tuple[Laid, ...]

    @property
    def sentence(self) -> str:
        """The reason as a heading."""
        return self.reason[:1].upper() + self.reason[1:]


def set_aside(spread: Spread, own_stars: Callable[[Laid], int | None]) -> tuple[Aside, ...]:
    """What is set aside in `spread`, the commonest reason first; `own_stars`: what a person gave a frame,
    whose three are enough to keep it and whose one or two set it aside."""
    found: dict[str, list[Laid]] = {}
    for part in spread.parts:
        for laid in part.laid:
            own = own_stars(laid)
            if own is not None:
                if own < SOUND:
                    found.setdefault("your own stars", []).append(laid)
            elif laid.is_set_aside:
                found.setdefault(part.why_aside(laid), []).append(laid)
    ordered = sorted(found.items(), key=lambda each: -len(each[1]))
    return tuple(Aside(reason, tuple(frames)) for reason, frames in ordered)
