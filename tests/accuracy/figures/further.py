"""The measures of the contract for which the truth has a number or a word but the issuer of the goals named
none: so that no measure stands unchecked. What has no truth at all is named in `WITHOUT_TRUTH`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import log2

import numpy as np

from tests.accuracy.figures.row import Row, Truth, errors
from tests.accuracy.judged import Judged
from tests.accuracy.pipeline import Pair
from tests.accuracy.portraits import Person

WITHOUT_TRUTH = (
    "face_crushed, separation, glasses_glare, catchlight, teeth_showing, focus_behind, copy_space_left, "
    "copy_space_right, copy_space_contrast, white_balance_off, backdrop_off: the rendered frames say nothing "
    "of them; their tests (tests/measuring, tests/sitting) hold them against laws and published formulas. "
    "scene_code follows from people and shot_scale; series is in tests/sitting/test_shoot.py."
)

CALM_BACKGROUNDS = ("paper", "gradient", "wall")
"""The others are busy (README of the rendered sets)."""

LEAST_STREAK_PX = 4.0
"""True streaks from this length are told from stillness: shorter ones are less than the renders' own blur."""

GAZE_OFF_LENS_DEG, FACE_OFF_LENS_DEG = 8.0, 10.0
"""Where a look leads (docs/measures.md, lead_room)."""


def further_rows(pairs: Sequence[Pair]) -> list[Row]:
    """Framing that follows from other measures, lids, mouth, sharpness, light, background, distance."""
    return [
        *_framing(pairs),
        _number(pairs, "eye_opening_left", lambda _, p: p.eye_aspect_sitter_right, "", 3),
        _number(pairs, "eye_opening_right", lambda _, p: p.eye_aspect_sitter_left, "", 3),
        _told_apart(pairs, "mouth_opening", "open", "closed", _mouth),
        _told_apart(pairs, "smile", "smile", "closed", _mouth),
        *_sharpness(pairs),
        _face_luminance(pairs),
        _told_apart(pairs, "background_detail", "busy", "calm", _background),
        _relative(pairs, "subject_distance_m", lambda _, p: p.camera_distance_m),
    ]


def exposure_row(judged: Sequence[Judged]) -> Row:
    """`exposure_off_stops` against the exposures that the frames of one sitter were given."""
    of_sitter: dict[str, list[float]] = {}
    for each in judged:
        if each.pair.person is not None:
            exposure = each.pair.portrait.truth["exposure_ev"]
            of_sitter.setdefault(each.pair.person.sitter, []).append(exposure)
    wrong, counted = [], 0
    for each in judged:
        if each.pair.person is None:
            continue
        counted += 1
        (value,) = (m.value for m in each.photo.measurements if m.name == "exposure_off_stops")
        if isinstance(value, float | int):
            true = each.pair.portrait.truth["exposure_ev"] - np.median(of_sitter[each.pair.person.sitter])
            wrong.append(abs(value - true))
    return _percentiles("exposure_off_stops", np.array(wrong), counted, " stop", 2)


def _framing(pairs: Sequence[Pair]) -> list[Row]:
    def thirds(_: Pair, p: Person) -> float:
        return min(abs(p.eye_x - 1 / 3), abs(p.eye_x - 2 / 3))

    def edge(pair: Pair, p: Person) -> float:
        x0, _, x1, _ = p.head_box
        return float(min(p.room_left, p.room_right) / ((x1 - x0) / pair.portrait.truth["width"]))

    truths: list[tuple[str, Truth]] = [
        ("third_distance", thirds),
        ("centre_distance", lambda _, p: abs(p.eye_x - 0.5)),
        ("eye_to_chin", lambda _, p: None if p.chin_room < 0 else p.eye_to_chin),
        ("edge_room", edge),
        ("lead_room", lambda _, p: true_lead_room(p)),
    ]
    rows = [_number(pairs, name, truth, " %", 2, 100.0) for name, truth in truths]
    return [
        _word(pairs, "frame_format", lambda pair, _: true_format(pair)),
        *rows,
        _word(pairs, "shot_scale", true_scale),
    ]


def true_format(pair: Pair) -> str:
    width, height = pair.portrait.truth["width"], pair.portrait.truth["height"]
    if max(width, height) <= 1.02 * min(width, height):
        return "square"
    return "landscape" if width > height else "portrait"


def true_lead_room(person: Person) -> float | None:
    """Room ahead of the true look less that behind; None where neither eyes nor face lead."""
    for yaw, least in ((person.gaze_yaw, GAZE_OFF_LENS_DEG), (person.head_yaw_los, FACE_OFF_LENS_DEG)):
        if abs(yaw) >= least:
            ahead, behind = person.room_right, person.room_left
            return float(ahead - behind if yaw > 0 else behind - ahead)
    return None


def true_scale(pair: Pair, person: Person) -> str | None:
    """The contract's words from the true points: how many heads the frame shows below the chin."""
    if person.crown_cut or person.chin_room <= 0 or person.head_height_with_hair > 0.65:
        return "close-up"
    heads = person.chin_room / person.head_height_with_hair
    for most, word in ((1.4, "headshot"), (2.6, "half-length"), (5.5, "three-quarter")):
        if heads <= most:
            return word
    return "full-length" if pair.portrait.truth["kind"] == "full" else "three-quarter"


def _sharpness(pairs: Sequence[Pair]) -> list[Row]:
    def still(pair: Pair, p: Person) -> bool:
        return (
            bool(p.eyes_visible) and pair.portrait.truth["motion_px"] == 0 and p.true_eye_blur_sigma_px >= 0.7
        )

    def streaked(pair: Pair, p: Person) -> bool:
        return bool(p.eyes_visible) and pair.portrait.truth["motion_px"] >= LEAST_STREAK_PX

    def turned(value: float, true: float) -> float:
        return abs((value - true + 90) % 180 - 90)

    found = errors(pairs, "motion_direction_deg", lambda p, _: p.portrait.truth["motion_angle"], streaked)
    directions = np.array([turned(error, 0.0) for error in found.signed])
    return [
        _relative(pairs, "eye_blur_far_px", lambda _, p: p.true_eye_blur_sigma_px, still),
        _relative(pairs, "eye_blur_iris", lambda _, p: p.true_eye_blur_sigma_px / p.iris_diameter_px, still),
        _relative(pairs, "motion_blur_px", lambda pair, _: pair.portrait.truth["motion_px"], streaked),
        _percentiles("motion_direction_deg", directions, found.counted, "°", 1),
        _false_streaks(pairs),
        _relative(
            pairs, "noise_sigma", lambda _, p: p.noise_sigma_true, lambda _, p: p.noise_sigma_true >= 0.5
        ),
    ]


def _false_streaks(pairs: Sequence[Pair]) -> Row:
    """Frames that nothing moved in, but in which a streak is told that the rules would act on."""
    still = [p for p in pairs if p.person is not None and p.portrait.truth["motion_px"] == 0]
    alarms = sum((p.number("motion_blur_px") or 0.0) >= LEAST_STREAK_PX for p in still)
    return Row("motion told where none is", len(still), None, f"{alarms} of {len(still)}", "", None)


def _face_luminance(pairs: Sequence[Pair]) -> Row:
    """Against the cheeks of the finished picture: other parts of the face, so some distance is no error."""

    def true(_: Pair, p: Person) -> float | None:
        red, green, blue = (_linear(level) for level in p.cheek_srgb)
        # ITU-R BT.709 weights, as in WCAG's relative luminance.
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    found = errors(
        pairs, "face_luminance", true, lambda _, p: max(p.cheek_srgb) < 250 and min(p.cheek_srgb) > 5
    )
    stops = [
        abs(log2(value / (value - signed)))
        for pair, signed in zip(found.pairs, found.signed, strict=True)
        if (value := pair.number("face_luminance")) and value > signed
    ]
    return _percentiles("face_luminance, against the cheeks", np.array(stops), found.counted, " stop", 2)


def _linear(level: float) -> float:
    """IEC 61966-2-1, from 8 bits."""
    value = level / 255
    return float(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)


def _mouth(_: Pair, person: Person) -> str:
    return str(person.mouth)


def _background(pair: Pair, _: Person) -> str:
    return "calm" if pair.portrait.truth["background"] in CALM_BACKGROUNDS else "busy"


def _told_apart(
    pairs: Sequence[Pair], name: str, more: str, less: str, word: Callable[[Pair, Person], str]
) -> Row:
    """How well a measure orders two kinds of frames: the area under the ROC curve."""
    known: dict[str, list[float]] = {more: [], less: []}
    counted = 0
    for pair in pairs:
        if pair.person is None or (kind := word(pair, pair.person)) not in known:
            continue
        counted += 1
        if (value := pair.number(name)) is not None:
            known[kind].append(value)
    high, low = np.array(known[more]), np.array(known[less])
    measured = (len(high) + len(low)) / counted if counted else None
    if not len(high) or not len(low):
        return Row(name, counted, measured, "–", "", None)
    wins = high[:, None] - low[None, :]
    area = float(np.mean((wins > 0) + 0.5 * (wins == 0)))
    return Row(name, counted, measured, f"{more} told from {less}: AUC {area:.3f}", "", None)


def _word(pairs: Sequence[Pair], name: str, truth: Callable[[Pair, Person], str | None]) -> Row:
    known = [(truth(p, p.person), p.value(name)) for p in pairs if p.person is not None]
    told = [(a, b) for a, b in known if a is not None and b is not None]
    counted = sum(a is not None for a, _ in known)
    right = sum(a == b for a, b in told)
    figure = f"{right / len(told):.1%} right" if told else "none measured"
    return Row(name, counted, len(told) / counted if counted else None, figure, "", None)


def _number(
    pairs: Sequence[Pair], name: str, truth: Truth, unit: str, digits: int, scale: float = 1.0
) -> Row:
    found = errors(pairs, name, truth)
    return _percentiles(name, found.values * scale, found.counted, unit, digits)


def _relative(
    pairs: Sequence[Pair],
    name: str,
    truth: Truth,
    where: Callable[[Pair, Person], bool] = lambda *_: True,
) -> Row:
    """Error as a share of the truth."""
    found = errors(pairs, name, truth, where)
    true = [
        abs((pair.number(name) or 0.0) - signed)
        for pair, signed in zip(found.pairs, found.signed, strict=True)
    ]
    return _percentiles(name, found.values / np.array(true) * 100, found.counted, " % of it", 1)


def _percentiles(name: str, wrong: np.ndarray, counted: int, unit: str, digits: int) -> Row:
    measured = len(wrong) / counted if counted else None
    if not len(wrong):
        return Row(name, counted, measured, "none measured" if counted else "no such frame", "", None)
    middle, high = np.percentile(wrong, (50, 95))
    figure = f"median {middle:.{digits}f}{unit}, 95th {high:.{digits}f}{unit}"
    return Row(name, counted, measured, figure, "", None)
