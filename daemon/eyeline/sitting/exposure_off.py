"""How far a face is off this sitter's usual exposure, and whether light or skin accounts for it.

The same person under less light darkens together with the backdrop or the clothes; the next sitter, whose
skin is darker, does not. Where only the face differs, nothing is claimed: nobody's skin is a misfire.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log2
from statistics import median

from eyeline.sitting.colour_difference import luminance_of
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement

NAME = "exposure_off_stops"

LEAST_PEERS = 3
"""Frames from which a median tells what is usual: of two that differ, neither is the usual one."""

EVEN_STOPS = 0.5
"""Difference of a face up to which no other evidence is asked for: a turn of the head makes as much."""

LEAST_SHARE = 0.5
"""Share of the face's difference that the backdrop must show too: less light on the sitter is mostly less
light on what stands behind, and another skin is none."""

CLOTHES_STOPS = 0.7
"""Clothes speak for a change of light where they changed as the face did, up to this much: each framing
shows another part of them, while another sitter's clothes are of any brightness."""

DARKEST_LIGHTNESS, LIGHTEST_LIGHTNESS = 10.0, 96.0
"""L* beyond which a surface does not show a stop more or less: black paper stays black (L* 10 is a
luminance of 0.011, some five stops above the first 8-bit step), burnt-out white stays white."""

FEW = f"fewer than {LEAST_PEERS} frames of this sitter in this light"
UNTIMED = "the file does not say when it was taken, so nobody knows which other frames are of the same sitter"
FACE_ALONE = (
    "only the face differs from the frames around it, not the light beside it: it may be another sitter"
)


def exposures_off(shots: Sequence[Shot]) -> list[Measurement]:
    """`exposure_off_stops` of each of `shots`, which are the frames of one look.

    Stops, signed, + = brighter than the median face. Missing with its reason where a frame has no time
    and no named sitting, where the peers are too few, or where the face alone differs.
    """
    peers = [shot for shot in shots if knows_its_sitter(shot)]
    usual = {what: _usual(peers, what) for what in ("face", "background", "clothes")}
    return [_exposure_off(shot, usual) for shot in shots]


def _exposure_off(shot: Shot, usual: dict[str, float | None]) -> Measurement:
    taken = shot.measurements.get("face_luminance")
    face = shot.number("face_luminance")
    if face is None:
        reason = None if taken is None else taken.missing
        return Measurement(NAME, None, reason or "the face's luminance was not measured")
    if not knows_its_sitter(shot):
        return Measurement(NAME, None, UNTIMED)
    if usual["face"] is None:
        return Measurement(NAME, None, FEW)
    if face <= 0:
        return Measurement(NAME, None, "the face is black")
    off = log2(face / usual["face"])
    if abs(off) > EVEN_STOPS and not _light_changed(shot, off, usual):
        return Measurement(NAME, None, FACE_ALONE)
    return Measurement(NAME, round(off, 3))


def _light_changed(shot: Shot, off: float, usual: dict[str, float | None]) -> bool:
    """Whether backdrop or clothes changed with a face that is `off` stops; true where neither can tell."""
    backdrop, clothes = (_stops_off(shot, what, usual[what]) for what in ("background", "clothes"))
    if backdrop is None and clothes is None:
        return True
    return (backdrop is not None and backdrop / off >= LEAST_SHARE) or (
        clothes is not None and abs(clothes - off) <= CLOTHES_STOPS
    )


def _stops_off(shot: Shot, what: str, usual: float | None) -> float | None:
    """Stops by which `what` differs; None where it is not seen, or burnt out and might differ by more."""
    own = _luminance(shot, what)
    if own is None or usual is None or own <= 0 or own > luminance_of(LIGHTEST_LIGHTNESS):
        return None
    return log2(own / usual)


def _usual(peers: Sequence[Shot], what: str) -> float | None:
    """The median luminance of `what`; None where too few frames show it, or where it could not tell."""
    found = [value for shot in peers if (value := _luminance(shot, what))]
    if len(found) < LEAST_PEERS:
        return None
    middle = median(found)
    if what == "face":
        return middle
    tells = luminance_of(DARKEST_LIGHTNESS) <= middle <= luminance_of(LIGHTEST_LIGHTNESS)
    return middle if tells else None


def _luminance(shot: Shot, what: str) -> float | None:
    if what == "face":
        return shot.number("face_luminance")
    lightness = shot.number(f"{what}_lightness")
    return None if lightness is None else luminance_of(lightness)


def knows_its_sitter(shot: Shot) -> bool:
    """Whether anything but its place in the folder says which frames are of the same sitter."""
    return shot.seconds is not None or shot.sitting is not None
