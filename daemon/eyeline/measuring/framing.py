"""Where the sitter stands within a frame, or within any rectangle cut from it.

One formula serves the frame as shot and every crop that is tried: all functions take an array of
windows, float64 (N, 4) of left, top, width, height in fractions of the upright frame, and answer
for all N at once. Definitions and signs: docs/measures.md, "Framing".
"""

from __future__ import annotations

from collections.abc import Container, Mapping

import numpy as np
from numpy.typing import NDArray

from eyeline.measuring.sitters import Sitters, sitters_of
from eyeline.terms.measurement import Measurement, Quantity
from eyeline.terms.points import Points

Numbers = NDArray[np.float64]
Words = NDArray[np.int8]
Columns = Numbers | Words

WHOLE = np.array([[0.0, 0.0, 1.0, 1.0]])
"""The frame as shot, as an array of one window."""

SQUARE_TOLERANCE = 0.02
"""Sides within 2 % of one another make a square (docs/measures.md)."""

LOOK_GAZE_DEG = 8.0
LOOK_FACE_DEG = 10.0
"""Beyond these the gaze, else the face, points to a side (docs/measures.md, `lead_room`)."""

CLOSE_UP_HEAD = 0.65
"""Fraction of the frame's height beyond which a head makes a close-up (docs/measures.md, `shot_scale`)."""

HEADS_BELOW_CHIN = (1.4, 2.6, 5.5)
"""Upper borders of headshot, half-length and three-quarter, in head heights shown below the chin."""

CALM_ASPECT = 3
"""A calm rectangle lies between 1:3 and 3:1 in pixels (docs/measures.md, `copy_space`)."""

COPY_SPACE_SHARE = 0.12
"""Fraction of the frame that a calm rectangle needs to count as copy space (docs/measures.md)."""

SAFE_MARGIN = 0.05
"""Share of the frame's width and height that stays free about a text, at the frame's edges and beside the
sitter alike: the graphics safe area of EBU R 95 (from memory); trimming and screens' corners eat there."""

LEAST_LINE = 0.2
"""Fraction of the frame's width that a line of text needs: 20 letters of WCAG's large size (18 point or 24
CSS pixels, half as wide as high) across a share card of 1200 pixels. With `SAFE_MARGIN` on both sides it is
the 30 % of the width that the makers of the rendered sets call an empty side."""

HEAD_ABOVE_EYES = 0.51
"""Share of the head's height, with hair, that lies above the eyes (ANSUR II; common practice)."""

BOTTOM_EDGE = 0.999
"""Fraction of the frame's height from which a window still shows what stands on the bottom edge."""

FRAME_FORMATS = ("landscape", "portrait", "square")
SHOT_SCALES = ("close-up", "headshot", "half-length", "three-quarter", "full-length")
COPY_SPACES = ("left", "right", "both", "none")
WORDS = {"frame_format": FRAME_FORMATS, "shot_scale": SHOT_SCALES, "copy_space": COPY_SPACES}
"""What the measures that answer in words say; in arrays, a word is its place here, -1 = missing."""

_FORMAT_PLACES = np.arange(3, dtype=np.int8)
_COPY_PLACES = np.array([COPY_SPACES.index(word) for word in ("none", "left", "right", "both")], np.int8)

QUANTITIES = (
    Quantity("frame_format", "word", "shape of the upright frame", words=FRAME_FORMATS),
    Quantity("eye_line", "fraction", "height of the eye midpoint below the top edge"),
    Quantity("eye_x", "fraction", "eye midpoint from the left edge"),
    Quantity("third_distance", "fraction", "distance of the eye midpoint from the nearer third line"),
    Quantity("centre_distance", "fraction", "distance of the eye midpoint from the vertical midline"),
    Quantity("headroom", "fraction", "crown to the top edge; 0 where the frame cuts the head"),
    Quantity("crown_cut", "bool", "the top edge cuts hair or head"),
    Quantity("chin_room", "fraction", "chin to the bottom edge; 0 where the frame cuts it"),
    Quantity("head_height", "fraction", "crown to chin"),
    Quantity("eye_to_chin", "fraction", "eye midpoint to chin"),
    Quantity(
        "head_beyond_top",
        "fraction of head height",
        "share of a head of usual height over this face that lies above the top edge; negative = air",
    ),
    Quantity("room_left", "fraction", "head to the left edge; negative where the frame cuts the head"),
    Quantity("room_right", "fraction", "head to the right edge; negative where the frame cuts the head"),
    Quantity("head_width", "fraction", "extent of the head with hair between brow and mouth level"),
    Quantity("edge_room", "fraction of head width", "the smaller of the rooms beside the head"),
    Quantity("lead_room", "fraction", "room ahead of the look minus room behind it"),
    Quantity("shot_scale", "word", "how much of the sitter the frame shows", words=SHOT_SCALES),
)

COPY_SPACE = ("copy_space", "copy_space_left", "copy_space_right")
"""Measured here for a crop; for the frame as shot by the pixels, see `copy_space`."""

EVERYTHING = frozenset((*(each.name for each in QUANTITIES), *COPY_SPACE))
"""All that `framing_of_many` can answer."""


def look_side(gaze_yaw_deg: float | None, head_yaw_deg: float | None) -> int:
    """Side of the look: +1 = frame right, -1 = frame left, 0 = into the lens, or not known.

    The eyes decide when they are off the lens to a side, else the face (docs/measures.md, "the look").
    """
    for yaw, border in ((gaze_yaw_deg, LOOK_GAZE_DEG), (head_yaw_deg, LOOK_FACE_DEG)):
        if yaw is not None and abs(yaw) >= border:
            return 1 if yaw > 0 else -1
    return 0


def look_of(known: Mapping[str, Measurement]) -> int:
    """Side of the look from measurements, see `look_side`; a gaze that is `unsure` does not count."""
    gaze, gaze_yaw, head_yaw = (
        None if (taken := known.get(name)) is None else taken.value
        for name in ("gaze", "gaze_yaw_deg", "head_yaw_deg")
    )
    return look_side(
        float(gaze_yaw) if isinstance(gaze_yaw, (int, float)) and gaze != "unsure" else None,
        float(head_yaw) if isinstance(head_yaw, (int, float)) else None,
    )


def framing(
    points: Points, windows: Numbers, width_px: float, height_px: float, look: int = 0
) -> dict[str, Columns]:
    """Framing measures of the sitter in each of `windows`, float64 (N, 4).

    `width_px`, `height_px`: of the whole upright frame. `look`: see `look_side`. Answers one array
    (N,) for each quantity of docs/measures.md's table and for `copy_space`, `copy_space_left`,
    `copy_space_right`: float64 with NaN for what cannot be taken (a bool is 0 or 1); for a word, int8,
    its place in `WORDS` of that measure, -1 for what cannot be taken.
    """
    sitter = sitters_of([points], [width_px], [height_px], [look])
    return {name: column[0] for name, column in framing_of_many(sitter, windows[None], EVERYTHING).items()}


def framing_of_many(sitters: Sitters, windows: Numbers, wanted: Container[str]) -> dict[str, Columns]:
    """Framing measures of P sitters, each in N windows of its own frame, float64 (P, N, 4).

    As `framing`, but arrays (P, N); what takes long and is not `wanted` is left out.
    """
    left, top, width, height = np.moveaxis(windows, -1, 0)
    right, bottom = left + width, top + height
    face = np.where(sitters.chin_y > sitters.eye_y, sitters.chin_y - sitters.eye_y, np.nan)
    eye_x = (sitters.eye_x - left) / width
    chin_cut = (sitters.chin_y > bottom) | sitters.chin_cut
    chin_room = np.where(chin_cut, 0.0, (bottom - sitters.chin_y) / height)
    cut = (sitters.crown_y < top) | sitters.crown_cut
    crown_cut = np.where(np.isnan(sitters.crown_y), np.nan, cut)
    head_height = np.where(cut | chin_cut, np.nan, (sitters.chin_y - sitters.crown_y) / height)
    room_left = (sitters.head_left - left) / width
    room_right = (right - sitters.head_right) / width
    head_width = np.where(
        sitters.head_right > sitters.head_left, sitters.head_right - sitters.head_left, np.nan
    )
    found: dict[str, Columns] = {
        "eye_line": (sitters.eye_y - top) / height,
        "eye_x": eye_x,
        "third_distance": np.minimum(np.abs(eye_x - 1 / 3), np.abs(eye_x - 2 / 3)),
        "centre_distance": np.abs(eye_x - 0.5),
        "headroom": np.where(cut, 0.0, (sitters.crown_y - top) / height),
        "crown_cut": crown_cut,
        "chin_room": chin_room,
        "head_height": head_height,
        "eye_to_chin": np.where(chin_cut, np.nan, (sitters.chin_y - sitters.eye_y) / height),
        "head_beyond_top": np.where(
            chin_cut, np.nan, HEAD_ABOVE_EYES - (1 - HEAD_ABOVE_EYES) * (sitters.eye_y - top) / face
        ),
        "room_left": room_left,
        "room_right": room_right,
        "head_width": head_width / width,
        "edge_room": np.minimum(room_left, room_right) / (head_width / width),
        "lead_room": np.where(sitters.look == 0, np.nan, sitters.look * (room_right - room_left)),
    }
    if "frame_format" in wanted:
        found["frame_format"] = _formats(width * sitters.width_px, height * sitters.height_px)
    if "shot_scale" in wanted:
        found["shot_scale"] = _shot_scales(
            crown_cut, chin_cut, chin_room, head_height, (bottom >= BOTTOM_EDGE) & sitters.feet_in_frame
        )
    if any(name in wanted for name in COPY_SPACE):
        calm_left, calm_right = _calm_shares(sitters, left, top, right, bottom)
        found |= {
            "copy_space": _copy_spaces(calm_left, calm_right),
            "copy_space_left": calm_left,
            "copy_space_right": calm_right,
        }
    return found


def heads_cut_of_many(sitters: Sitters, windows: Numbers) -> NDArray[np.bool_]:
    """Whether windows, float64 (P, N, 4), cut through somebody else's head, for P sitters each in its own
    frame: bool (P, N).
    """
    left, top, width, height = np.moveaxis(windows, -1, 0)
    right, bottom = left + width, top + height
    cut = np.zeros(left.shape, dtype=np.bool_)
    for other_left, other_top, other_right, other_bottom in sitters.others:
        meets = (other_left < right) & (other_right > left) & (other_top < bottom) & (other_bottom > top)
        inside = (other_left >= left) & (other_right <= right) & (other_top >= top) & (other_bottom <= bottom)
        cut |= meets & ~inside
    return cut


def _formats(width_px: Numbers, height_px: Numbers) -> Words:
    square = np.maximum(width_px, height_px) <= (1 + SQUARE_TOLERANCE) * np.minimum(width_px, height_px)
    upright = height_px > width_px
    return np.asarray(_FORMAT_PLACES[np.where(square, 2, upright)])


def _copy_spaces(calm_left: Numbers, calm_right: Numbers) -> Words:
    return np.asarray(_COPY_PLACES[(calm_left >= COPY_SPACE_SHARE) + 2 * (calm_right >= COPY_SPACE_SHARE)])


def _shot_scales(
    crown_cut: Numbers,
    chin_cut: NDArray[np.bool_],
    chin_room: Numbers,
    head_height: Numbers,
    feet: NDArray[np.bool_],
) -> Words:
    heads = chin_room / head_height
    scale = np.full(heads.shape, len(SHOT_SCALES) - 1, np.int8)
    scale[~feet] = len(SHOT_SCALES) - 2
    for place in range(len(HEADS_BELOW_CHIN), 0, -1):
        scale[heads <= HEADS_BELOW_CHIN[place - 1]] = place
    scale[np.isnan(heads)] = -1
    scale[(crown_cut == 1) | chin_cut | (head_height > CLOSE_UP_HEAD)] = 0
    return scale


def _calm_shares(
    sitters: Sitters, left: Numbers, top: Numbers, right: Numbers, bottom: Numbers
) -> tuple[Numbers, Numbers]:
    """Largest calm rectangle that a line of text fits into, left and right of the sitter.

    Fraction of each window's area; `SAFE_MARGIN` along the window's own edges stays free.
    """
    aspect = sitters.width_px / sitters.height_px
    width, height = right - left, bottom - top
    area = width * height
    left, right = left + SAFE_MARGIN * width, right - SAFE_MARGIN * width
    top, bottom = top + SAFE_MARGIN * height, bottom - SAFE_MARGIN * height
    on_left, on_right = np.zeros(left.shape), np.zeros(left.shape)
    for calm, lies_right in zip(sitters.calm, sitters.calm_on_right, strict=True):
        wide = np.maximum(np.minimum(calm[2], right) - np.maximum(calm[0], left), 0.0)
        high = np.maximum(np.minimum(calm[3], bottom) - np.maximum(calm[1], top), 0.0)
        wide, high = (
            np.minimum(wide, CALM_ASPECT * high / aspect),
            np.minimum(high, CALM_ASPECT * wide * aspect),
        )
        share = np.where(wide >= LEAST_LINE * width, wide * high / area, 0.0)
        on_left = np.maximum(on_left, np.where(lies_right, 0.0, share))
        on_right = np.maximum(on_right, np.where(lies_right, share, 0.0))
    return on_left, on_right
