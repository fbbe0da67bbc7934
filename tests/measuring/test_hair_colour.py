"""Hair followed upward by its colour: drawn heads, of which the silhouette sees less than there is."""

from __future__ import annotations

import numpy as np
import pytest

from eyeline.measuring.hair_colour import hair_top
from eyeline.reading.picture import reduced
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture

HEIGHT, WIDTH, FACE_PX = 800, 700, 300.0
LEFT, RIGHT, CHIN, FOREHEAD = 250, 450, 560, 260
HAIR, WALL = (60, 40, 30), (170, 175, 180)


def landmarks() -> np.ndarray:
    points = np.zeros((478, 3), np.float32)
    points[:, 0] = np.linspace(LEFT, RIGHT, 478)
    points[:, 1] = np.linspace(FOREHEAD, CHIN, 478)
    return points


def drawn(hair_from: int, wall: tuple[int, int, int] = WALL) -> Picture:
    """Hair from the row `hair_from` down to the forehead, on a wall, with a little grain."""
    rgb = np.empty((HEIGHT, WIDTH, 3), np.float64)
    rgb[:] = wall
    rgb[hair_from:FOREHEAD, LEFT - 20 : RIGHT + 20] = HAIR
    rgb[FOREHEAD:, LEFT:RIGHT] = (200, 150, 120)
    grain = np.random.default_rng(5).normal(0, 3, rgb.shape)
    levels = np.clip(rgb + grain, 0, 255).astype(np.uint8)
    return Picture(levels, reduced(levels))


def silhouette(from_row: int) -> Silhouette:
    probability = np.zeros((HEIGHT // 4, WIDTH // 4), np.float32)
    probability[from_row // 4 :, (LEFT - 20) // 4 : (RIGHT + 20) // 4] = 1.0
    return Silhouette(probability, 0.0, 0.0, float(WIDTH), float(HEIGHT))


@pytest.mark.parametrize("hair_from", [0, 30, 100])
def test_hair_that_the_silhouette_leaves_out_is_followed_up(hair_from: int) -> None:
    found = hair_top(drawn(hair_from), silhouette(150), landmarks(), 150.0, FACE_PX)
    assert found == pytest.approx(hair_from, abs=0.02 * FACE_PX)


def test_hair_at_the_very_edge_is_told_from_a_strip_of_air() -> None:
    cut, whole = (hair_top(drawn(top), silhouette(120), landmarks(), 120.0, FACE_PX) for top in (0, 12))
    assert cut == 0
    assert whole is not None
    assert whole > 0


def test_a_wall_of_the_hairs_own_colour_tells_nothing() -> None:
    assert hair_top(drawn(0, wall=HAIR), silhouette(150), landmarks(), 150.0, FACE_PX) is None


def test_a_lamp_of_the_hairs_colour_above_the_head_is_no_hair() -> None:
    picture = drawn(150)
    rgb = picture.rgb.copy()
    rgb[:150, 340:365] = HAIR
    found = hair_top(Picture(rgb, reduced(rgb)), silhouette(150), landmarks(), 150.0, FACE_PX)
    assert found == pytest.approx(150, abs=0.03 * FACE_PX)


def test_a_mirror_changes_nothing() -> None:
    picture, seen, points = drawn(40), silhouette(150), landmarks()
    flipped = np.ascontiguousarray(picture.rgb[:, ::-1])
    there = points.copy()
    there[:, 0] = WIDTH - there[:, 0]
    mirrored = Silhouette(seen.probability[:, ::-1], seen.left, seen.top, seen.right, seen.bottom)
    assert hair_top(Picture(flipped, reduced(flipped)), mirrored, there, 150.0, FACE_PX) == pytest.approx(
        hair_top(picture, seen, points, 150.0, FACE_PX) or 0.0, abs=0.02 * FACE_PX
    )
