"""Framing against the published results of the reference implementation of ISO/IEC 29794-5:2024.

Source: github.com/BSI-OFIQ/OFIQ-Project, commit a16a990e (2025-06-25), MIT licence,
data/tests/expected_results/expected_results.csv, all 28 rows: raw values and the integer scores that were
published for them. The pictures are not public with it, so what is checked is arithmetic: a face put into a
frame by the published raw values must come out of eyeline's framing with the published scores, by the
standard's own mapping. Shared primitives are the eye midpoint, the chin and the edges of the frame; the
standard's T is the distance from the one to the other, which is `eye_to_chin` of an upright head. Its
luminance, illumination and lid measures look at other regions than eyeline's and have no row here.
"""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from eyeline.measuring.framing import framing
from eyeline.terms.points import Points

# T over the image's height; margin above and below the eye midpoint over T; the three published scores.
PUBLISHED = (
    (0.224851, 2.426863, 2.022937, 2, 100, 90),
    (0.209942, 2.401876, 2.364051, 2, 100, 100),
    (0.185504, 2.491129, 2.903195, 1, 100, 100),
    (0.176257, 2.520487, 3.156945, 1, 100, 100),
    (0.18622, 1.915176, 3.458512, 1, 99, 100),
    (0.225763, 1.741202, 2.688153, 2, 97, 100),
    (0.180528, 2.809487, 2.729805, 1, 100, 100),
    (0.248645, 1.548853, 2.474971, 4, 82, 100),
    (0.238479, 2.470235, 1.725211, 3, 100, 32),
    (0.166626, 2.200024, 3.801665, 1, 100, 100),
    (0.210091, 1.768317, 2.994444, 2, 98, 100),
    (0.201075, 1.979702, 2.996707, 1, 100, 100),
    (0.204089, 1.928526, 2.974259, 1, 99, 100),
    (0.215554, 2.269089, 2.370346, 2, 100, 100),
    (0.257166, 2.140145, 1.750326, 4, 100, 38),
    (0.210711, 2.230722, 2.518101, 2, 100, 100),
    (0.172441, 3.208191, 2.595051, 1, 100, 100),
    (0.197248, 2.562638, 2.507311, 1, 100, 100),
    (0.165638, 2.307622, 3.734152, 1, 100, 100),
    (0.224826, 1.818983, 2.631345, 2, 99, 100),
    (0.222656, 2.033863, 2.459582, 2, 100, 100),
    (0.215607, 1.918722, 2.71934, 2, 99, 100),
    (0.207003, 2.392823, 2.440775, 2, 100, 100),
    (0.197116, 2.306325, 2.766835, 1, 100, 100),
    (0.230215, 2.116965, 2.226854, 2, 100, 99),
    (0.134956, 2.740027, 4.669623, 0, 100, 100),
    (0.202228, 1.983116, 2.961797, 1, 100, 100),
    (0.147008, 3.551485, 3.251169, 0, 100, 100),
)


def sigmoid(x: float, x0: float, w: float) -> float:
    return 1 / (1 + exp((x0 - x) / w))


def head_size_score(t_over_height: float) -> int:
    return round(200 * (1 - sigmoid(abs(t_over_height - 0.45), 0, 0.05)))


def margin_above_score(over_t: float) -> int:
    return round(100 * sigmoid(over_t, 1.4, 0.1))


def margin_below_score(over_t: float) -> int:
    return round(100 * sigmoid(over_t, 1.8, 0.1))


def face(t_over_height: float, above: float) -> Points:
    """An upright head in the middle of the width, its eyes `above` T below the top edge."""
    eyes = above * t_over_height
    return Points(
        pupil_left=(0.45, eyes),
        pupil_right=(0.55, eyes),
        chin=(0.5, eyes + t_over_height),
        chin_cut=False,
        crown_y=max(0.0, eyes - t_over_height),
        crown_cut=False,
        crown_missing=None,
        head_left=0.35,
        head_right=0.65,
    )


@pytest.mark.parametrize("row", PUBLISHED)
def test_framing_gives_the_published_scores(row: tuple[float, ...]) -> None:
    size, above, below, *scores = row
    found = framing(face(size, above), np.array([[0.0, 0.0, 1.0, 1.0]]), 1000, 1250, 0)
    eye_line, eye_to_chin = (float(found[name][0]) for name in ("eye_line", "eye_to_chin"))
    below_over_t = (1 - eye_line) / eye_to_chin
    assert head_size_score(eye_to_chin) == scores[0]
    assert margin_above_score(eye_line / eye_to_chin) == scores[1]
    # Measured along a head that leans a little, the two margins and T do not add up to the height exactly.
    assert below_over_t == pytest.approx(below, rel=0.003)
    assert margin_below_score(below_over_t) == pytest.approx(scores[2], abs=1)


@pytest.mark.parametrize(
    ("t_over_height", "score"), [(0.25, 4), (0.30, 9), (0.35, 24), (0.40, 54), (0.45, 100)]
)
def test_the_mapping_itself(t_over_height: float, score: int) -> None:
    """Worked values of the same source."""
    assert head_size_score(t_over_height) == score
