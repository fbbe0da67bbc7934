"""Photos made of numbers: a sound portrait, and the same with some numbers changed."""

from collections.abc import Sequence

from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import Judgement, judge
from eyeline.measuring.framing import WHOLE, framing, look_side
from eyeline.terms.measurement import Measurement, Value
from eyeline.terms.points import Points
from tests.judging.shipped import BRIEF, QUANTITIES, rules, vocabulary
from tests.judging.truth import plain

HEAD_WIDTH = 0.75
"""Width of the head box over head height, pixels: hair and ears included."""

SOUND: dict[str, Value] = {
    "people": 1,
    "others": 0,
    "head_yaw_deg": 9.0,
    "head_pitch_deg": 0.0,
    "head_roll_deg": 0.0,
    "gaze_yaw_deg": 0.0,
    "gaze_pitch_deg": 0.0,
    "gaze": "camera",
    "gaze_confidence": 0.97,
    "eyes_open": 0.97,
    "mouth_opening": 0.02,
    "teeth_showing": False,
    "glasses_glare": 0.0,
    "catchlight": True,
    "eye_blur_px": 0.5,
    "eye_blur_iris": 0.013,
    "face_clipped": 0.0,
    "face_crushed": 0.0,
    "light_ratio_stops": 0.8,
    "separation": 2.0,
    "copy_space": "none",
    "copy_space_left": 0.0,
    "copy_space_right": 0.0,
    "camera_height": "level",
    "exposure_off_stops": 0.0,
    "sitter_white": 0.8,
    "frame_white": 0.9,
}


def sitter(
    eye_line: float, head_height: float, eye_x: float = 0.5, width: int = 1600, height: int = 2000
) -> Points:
    """Points of a head of `head_height` with its eyes at (`eye_x`, `eye_line`), by the usual shares."""
    half = HEAD_WIDTH * head_height * height / width / 2
    chin = eye_line + 0.49 * head_height
    crown = eye_line - 0.51 * head_height
    return Points(
        pupil_left=(eye_x - half / 3, eye_line),
        pupil_right=(eye_x + half / 3, eye_line),
        chin=(eye_x, chin),
        chin_cut=chin > 1,
        crown_y=max(crown, 0.0),
        crown_cut=crown < 0,
        crown_missing=None,
        head_left=eye_x - half,
        head_right=eye_x + half,
    )


def photo(
    points: Points | None = None, width: int = 1600, height: int = 2000, **changed: Value
) -> dict[str, Measurement]:
    """Measurements of a sound portrait with `points`, and `changed` values in place of sound ones."""
    where = points if points is not None else sitter(0.34, 0.44)
    values = {**SOUND, **changed}
    gaze_yaw, head_yaw = values["gaze_yaw_deg"], values["head_yaw_deg"]
    look = look_side(
        float(gaze_yaw) if gaze_yaw is not None else None, float(head_yaw) if head_yaw is not None else None
    )
    framed = framing(where, WHOLE, width, height, look)
    framing_values = {name: plain(name, column[0]) for name, column in framed.items() if name not in SOUND}
    return {
        name: Measurement(name, value, "cannot be told" if value is None else None)
        for name, value in {**framing_values, **values}.items()
    }


def judged(
    photos: Sequence[dict[str, Measurement]], genres: Sequence[str] = BRIEF, five_stars: bool = False
) -> Judgement:
    """The photos judged on shipped genres."""
    books = [rules().genre(name) for name in genres]
    columns = columns_of(photos, QUANTITIES.values())
    return judge(columns, books, vocabulary(), QUANTITIES, five_stars=five_stars)
