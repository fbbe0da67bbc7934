"""Who does not fit into a team's grid, in words, and what it would take."""

from __future__ import annotations

from collections.abc import Mapping

from eyeline.judging.rulebook import Ideal, Rulebook
from eyeline.judging.wording import ideal_in_words, per_cent, value_beside
from eyeline.sitting.team_crop import SIDES, Cropped, HeadPlace
from eyeline.sitting.team_page import ideal_of, is_alike, page_format
from eyeline.terms.measurement import Quantity

SIDE_DEG = 3.0
"""Turn of the head from which it has a side: half of what a head pose from one picture is sure of."""

_DEGREES = Quantity("", "deg", "")


def _light(own_stops: float, team_stops: float) -> str:
    """Where in the frame the face is brighter, and where the team's are; positive stops: on its right."""
    own, team = (round(abs(stops), 1) for stops in (own_stops, team_stops))
    side, theirs = ("right" if stops > 0 else "left" for stops in (own_stops, team_stops))
    if not own:
        return f"both sides of the face are alike, the team's {theirs} is {team} stops brighter"
    where = "" if side == theirs else f" on the {theirs}"
    other = f"the team's {team}{where}" if team else "the team's on neither"
    return f"the face is {own} stops brighter on the {side} of the frame, {other}"


def _beside(degrees: float, ideal: Ideal) -> str:
    return f"{value_beside(degrees, ideal, _DEGREES)}, the page wants {ideal_in_words(ideal, _DEGREES)}"


FAR = 3.0
"""So many times what the page allows a difference of colour is seen from across the room."""


def _how_far(difference: float, allowed: float) -> str:
    """A difference of colour (CIEDE2000) in words."""
    return "of another colour than" if difference > FAR * allowed else "a little off in colour from"


def framing_misfits(crop: Cropped, place: HeadPlace, page: Rulebook) -> list[str]:
    """What of the crop is not where the team has its heads, or too small, and what it would take."""
    found, wanted = [], page_format(page)
    if not is_alike(crop.place, place, page):
        room = " and ".join(
            f"{short} px more {side}" for short, side in zip(crop.short, SIDES, strict=True) if short
        )
        found.append(
            f"head {per_cent(crop.place.head_height)} of the height, eyes {per_cent(crop.place.eye_line)} "
            f"down and {per_cent(crop.place.eye_x)} across, the team {per_cent(place.head_height)}, "
            f"{per_cent(place.eye_line)} and {per_cent(place.eye_x)}: it would take {room}"
        )
    if crop.height < wanted.height or crop.width < wanted.width:
        found.append(f"{crop.width} × {crop.height} px, wants {wanted.width} × {wanted.height}: stand nearer")
    return found


def other_misfits(
    measured: Mapping[str, float | None],
    side: int,
    own_light: float | None,
    light: float | None,
    page: Rulebook,
) -> list[str]:
    """What no crop mends: turn, tilt, backdrop and light by `measured`, and what it would take.

    `side`: which way the team turns, see `team.Team`. `own_light`, `light`: stops between the cheeks of this
    sitter and of the team.
    """
    found = []
    turn, tilt, backdrop = (measured[name] for name in ("head_yaw_deg", "head_roll_deg", "backdrop_off"))
    ideal = ideal_of(page, "head_yaw_deg")
    if side and turn is not None and turn < -SIDE_DEG:
        own, theirs = ("left", "right") if side > 0 else ("right", "left")
        found.append(f"turned to camera {own}, the team to camera {theirs}: another frame or a new one")
    elif ideal is not None and turn is not None and turn > ideal.ideal_high:
        found.append(f"turned by {_beside(turn, ideal)}: turn it back")
    ideal = ideal_of(page, "head_roll_deg")
    if ideal is not None and tilt is not None and tilt > ideal.ideal_high:
        found.append(f"tilted by {_beside(tilt, ideal)}: straighten it")
    ideal = ideal_of(page, "backdrop_off")
    if ideal is not None and backdrop is not None and backdrop > ideal.ideal_high:
        found.append(
            f"the backdrop is {_how_far(backdrop, ideal.ideal_high)} the team's: take the same one, lit alike"
        )
    ideal = ideal_of(page, "light_off_stops")
    off = measured["light_off_stops"]
    if ideal is not None and off is not None and off > ideal.ideal_high and own_light is not None:
        found.append(f"{_light(own_light, light or 0.0)}: set the key light as for the others")
    return found
