"""eyeline's primitives against the published results of the reference implementation of ISO/IEC 29794-5:2024.

Source: github.com/BSI-OFIQ/OFIQ-Project, commit a16a990e (2025-06-25), MIT licence,
data/tests/expected_results/expected_results.csv, all 28 rows: raw values and the integer scores that were
published for them (`iso_29794_5.csv` here). The pictures are not public with it, so what is checked is
arithmetic: a face, a frame or a patch of skin made to the published raw values must come out of eyeline's own
functions with the published scores, by the standard's own mapping, which the project's sources spell out.

Checked are the twelve measures that stand on a primitive that eyeline has too, 336 scores:

- head size, margins above, below, left and right: `framing` (84 + 56). The standard's T is the distance from
  the eye midpoint to the chin, which is `eye_to_chin` of an upright head;
- inter-eye distance: `pupils` over the cosine of the yaw of `posture` (28);
- yaw, pitch, roll of the head: `posture` and `decompose` (84);
- mouth closed: `mouth_opening`, told over the mouth's width where the standard has T (28);
- mean and variance of the luminance: `luminance` (56).

Not checked, because eyeline measures something else: eyes open (its openings come from the eye's pixels, not
from lid landmarks), illumination uniformity (an intersection of histograms; eyeline has the ratio of light),
over- and under-exposure (shares of luminance beyond a byte; eyeline asks which channel is lost), and a single
face (a ratio of box areas; eyeline counts faces).
"""

from __future__ import annotations

import csv
from math import cos, dist, exp, floor, pi, radians, sin
from pathlib import Path

import numpy as np
import pytest

from eyeline.measuring.face_shape import posture, usual_face
from eyeline.measuring.framing import framing
from eyeline.measuring.head import head_angles
from eyeline.measuring.mouth import CORNERS, INNER_LOWER, INNER_UPPER, mouth_opening
from eyeline.measuring.pupils import CENTRES, RIMS, pupils
from eyeline.measuring.rotation import compose, decompose
from eyeline.measuring.srgb import luminance
from eyeline.terms.points import Points

Row = dict[str, float]

EYE_CORNERS = ((33, 133), (362, 263))
"""Corners of each eye in mediapipe's mesh, in the order of `CENTRES`: the standard's eye is their middle."""
CHIN = 152
PIXELS = 10_000


def published() -> list[Row]:
    with (Path(__file__).parent / "iso_29794_5.csv").open() as lines:
        return [
            {name: float(text) for name, text in row.items() if name != "row"}
            for row in csv.DictReader(lines)
        ]


def nearest(score: float) -> int:
    """The score as the project rounds it, halves up, within 0 to 100."""
    return min(100, max(0, floor(score + 0.5)))


def sigmoid(x: float, x0: float, w: float) -> float:
    return 1 / (1 + exp((x0 - x) / w))


def head_size_score(t_over_height: float) -> int:
    return nearest(200 * (1 - sigmoid(abs(t_over_height - 0.45), 0, 0.05)))


def margin_above_score(over_t: float) -> int:
    return nearest(100 * sigmoid(over_t, 1.4, 0.1))


def margin_below_score(over_t: float) -> int:
    return nearest(100 * sigmoid(over_t, 1.8, 0.1))


def side_margin_score(over_eyes: float) -> int:
    return nearest(100 * sigmoid(over_eyes, 0.9, 0.1))


def inter_eye_score(pixels: float) -> int:
    return nearest(100 * sigmoid(pixels, 70, 20))


def pose_score(angle_deg: float) -> int:
    return nearest(100 * max(0.0, cos(radians(angle_deg))) ** 2)


def mouth_score(over_t: float) -> int:
    return nearest(100 * (1 - sigmoid(over_t, 0.2, 0.06)))


def luminance_mean_score(mean: float) -> int:
    return nearest(100 * sigmoid(mean, 0.2, 0.05) * (1 - sigmoid(mean, 0.8, 0.05)))


def luminance_variance_score(variance: float) -> int:
    return nearest(100 * sin(pi * 60 * variance / (60 * variance + 1)))


def framed(row: Row) -> Points:
    """An upright head whose eyes lie as far from the edges as was published."""
    eyes = row["margin_above"] * row["head_size"]
    between = 1 / (row["margin_left"] + 1 + row["margin_right"])
    left = row["margin_left"] * between
    return Points(
        pupil_left=(left, eyes),
        pupil_right=(left + between, eyes),
        chin=(left + between / 2, eyes + row["head_size"]),
        chin_cut=False,
        crown_y=max(0.0, eyes - row["head_size"]),
        crown_cut=False,
        crown_missing=None,
        head_left=left - between / 2,
        head_right=left + 1.5 * between,
    )


def posed(row: Row) -> tuple[np.ndarray, float]:
    """Landmarks (478, 3) of the usual face turned and sized as was published, its irises in the middle of the
    eyes' corners and its lips as far apart; and its T, in pixels.
    """
    face = usual_face().points.copy()
    for centre, rim, corners in zip(CENTRES, RIMS, EYE_CORNERS, strict=True):
        face[[centre, *rim]] += face[list(corners)].mean(axis=0) - face[centre]
    t = dist(face[list(CENTRES)].mean(axis=0), face[CHIN])
    half = np.array([0, row["mouth_opening"] * t / 2, 0])
    middle = face[[INNER_UPPER, INNER_LOWER]].mean(axis=0)
    face[INNER_UPPER], face[INNER_LOWER] = middle + half, middle - half
    scale = row["inter_eye_distance"] / dist(*face[list(CENTRES)])
    turned = face @ compose(row["yaw"], row["pitch"], row["roll"]).T * scale
    return (turned * [1, -1, -1] + [900, 1000, 0]).astype(np.float32), t * scale


def greys(mean: float, variance: float) -> np.ndarray:
    """Grey pixels (n, 3) whose light, linear by IEC 61966-2-1, has `mean` and `variance`."""
    light = np.arange(256) / 255
    light = np.where(light <= 0.04045, light / 12.92, ((light + 0.055) / 1.055) ** 2.4)
    wanted = (0.1 * mean, mean, mean + 2 * variance / (0.9 * mean))
    levels = [int(np.abs(light - level).argmin()) for level in wanted]
    powers = np.array([np.ones(3), light[levels], light[levels] ** 2])
    shares = np.linalg.solve(powers, [1, mean, variance + mean**2])
    counts = np.rint(shares * PIXELS).astype(int)
    return np.repeat(np.repeat(np.array(levels, np.uint8), counts)[:, None], 3, axis=1)


@pytest.mark.parametrize("row", published())
def test_framing_gives_the_published_scores(row: Row) -> None:
    points = framed(row)
    found = framing(points, np.array([[0.0, 0.0, 1.0, 1.0]]), 1000, 1250, 0)
    eye_line, eye_to_chin, eye_x = (float(found[name][0]) for name in ("eye_line", "eye_to_chin", "eye_x"))
    assert head_size_score(eye_to_chin) == row["head_size_score"]
    assert margin_above_score(eye_line / eye_to_chin) == row["margin_above_score"]
    # Measured along a head that leans a little, the two margins and T do not add up to the height exactly.
    below = (1 - eye_line) / eye_to_chin
    assert below == pytest.approx(row["margin_below"], rel=0.003)
    assert margin_below_score(below) == pytest.approx(row["margin_below_score"], abs=1)
    between = points.pupil_right[0] - points.pupil_left[0]
    left, right = eye_x / between - 0.5, (1 - eye_x) / between - 0.5
    assert (left, right) == pytest.approx((row["margin_left"], row["margin_right"]))
    assert side_margin_score(left) == row["margin_left_score"]
    assert side_margin_score(right) == row["margin_right_score"]


@pytest.mark.parametrize("row", published())
def test_a_turned_face_gives_the_published_scores(row: Row) -> None:
    landmarks, t = posed(row)
    angles = decompose(posture(landmarks).rotation)
    scores = [int(row[f"{axis}_score"]) for axis in ("yaw", "pitch", "roll")]
    assert [pose_score(angle) for angle in angles] == scores
    # What was learned on top of it corrects the mesh of real faces by a few degrees; this one needs none.
    assert [pose_score(angle) for angle in head_angles(landmarks)] == pytest.approx(scores, abs=1)
    # The standard divides by the cosine of the yaw alone; roll and pitch make half a per cent here.
    eyes = pupils(landmarks).interpupillary_px / cos(radians(angles[0]))
    assert eyes == pytest.approx(row["inter_eye_distance"], rel=0.006)
    assert inter_eye_score(eyes) == row["inter_eye_distance_score"]
    upright = posture(landmarks)
    mouth_width = dist(*upright.upright[list(CORNERS)]) * upright.scale
    opening = mouth_opening(landmarks) * mouth_width / t
    assert opening == pytest.approx(row["mouth_opening"], rel=0.01, abs=1e-5)
    assert mouth_score(opening) == row["mouth_opening_score"]


@pytest.mark.parametrize("row", published())
def test_luminance_gives_the_published_scores(row: Row) -> None:
    light = luminance(greys(row["luminance_mean"], row["luminance_variance"])).astype(np.float64)
    assert (light.mean(), light.var()) == pytest.approx(
        (row["luminance_mean"], row["luminance_variance"]), rel=2e-3
    )
    assert luminance_mean_score(light.mean()) == row["luminance_mean_score"]
    assert luminance_variance_score(light.var()) == row["luminance_variance_score"]


def test_the_mappings_themselves() -> None:
    """Worked values of the same source, where the 28 rows all have the same score."""
    assert [head_size_score(x) for x in (0.25, 0.30, 0.35, 0.40, 0.45)] == [4, 9, 24, 54, 100]
    assert [inter_eye_score(x) for x in (30, 50, 70, 90, 110, 120, 150)] == [12, 27, 50, 73, 88, 92, 98]
    angles = (0, 5, 8, 10, 15, 20, 30, 45, 60, 90)
    assert [pose_score(x) for x in angles] == [100, 99, 98, 97, 93, 88, 75, 50, 25, 0]


@pytest.mark.parametrize(("yaw", "projected"), [(30.0, 86.60), (0.0, 100.0), (-45.0, 70.71)])
def test_a_face_turned_aside_has_the_eye_distance_it_has_face_on(yaw: float, projected: float) -> None:
    """Worked example of the same source: 86.60 px at a yaw of 30° are 100 px face on."""
    face_on = {"inter_eye_distance": 100.0, "mouth_opening": 0.0, "yaw": yaw, "pitch": 0.0, "roll": 0.0}
    landmarks, _ = posed(face_on)
    seen = pupils(landmarks).interpupillary_px
    assert seen == pytest.approx(projected, abs=0.01)
    assert seen / cos(radians(decompose(posture(landmarks).rotation)[0])) == pytest.approx(100, abs=0.1)
