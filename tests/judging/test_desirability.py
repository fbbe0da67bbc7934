"""Desirability by the published worked examples (Derringer & Suich 1980; NIST/SEMATECH e-Handbook).

Numbers from the e-Handbook, section 5.5.3.2.2, and from the paper as quoted by two accounts.
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.optimize import minimize

from eyeline.judging.columns import Columns
from eyeline.judging.desirability import lift, target_range
from eyeline.judging.rulebook import Criterion, Ideal, Rulebook, Stars
from eyeline.judging.score import score

TYRE = """-1 -1 -1 102 900 470 67.5
1 -1 -1 120 860 410 65
-1 1 -1 117 800 570 77.5
1 1 -1 198 2294 240 74.5
-1 -1 1 103 490 640 62.5
1 -1 1 132 1289 270 67
-1 1 1 132 1270 410 78
1 1 1 139 1090 380 70
-1.633 0 0 102 770 590 76
1.633 0 0 154 1690 260 70
0 -1.633 0 96 700 520 63
0 1.633 0 163 1540 380 75
0 0 -1.633 116 2184 520 65
0 0 1.633 153 1784 290 71
0 0 0 133 1300 380 70
0 0 0 133 1300 380 68.5
0 0 0 140 1145 430 68
0 0 0 142 1090 430 68
0 0 0 145 1260 390 69
0 0 0 142 1344 390 70"""
"""The tyre tread experiment as the e-Handbook prints it: x1 x2 x3, then Y1 to Y4."""

SWAPPED_RUNS = (0, 3, 4, 7)
"""Runs 1, 4, 5, 8, whose x3 the e-Handbook prints with the wrong sign: only so does the paper's own
optimum follow from the table."""


def larger_is_better(value: Any, low: float, target: float, shape: float = 1.0) -> Any:
    """The paper's one-sided function: 0 up to `low`, 1 from `target`, ((y - L) / (T - L))**s between."""
    return target_range(value, low, target, np.inf, np.inf, shape_below=shape)


def smaller_is_better(value: Any, target: float, high: float, shape: float = 1.0) -> Any:
    """The other: 1 up to `target`, 0 from `high`, ((y - U) / (T - U))**t between."""
    return target_range(value, -np.inf, -np.inf, target, high, shape_above=shape)


def rulebook(ideals: list[Ideal], weights: list[float]) -> Rulebook:
    """A genre without floor, so that its score is the plain geometric mean of the paper."""
    return Rulebook(
        name="worked example",
        why="",
        caution="",
        keyword=None,
        floor=0.0,
        unmet=1.0,
        stars=Stars(0.2, 0.4, 0.6, 0.8),
        criteria=tuple(
            Criterion(ideal.measure, (ideal,), weight, False, None, None, "", frozenset({ideal.measure}))
            for ideal, weight in zip(ideals, weights, strict=True)
        ),
        faults=(),
        requirements=(),
        keywords=(),
        formats=(),
        crop_minimum=0.0,
        crown_may_be_cut=False,
        crops_as=None,
        digest="",
    )


def judged(responses: Any, ideals: list[Ideal], weights: Any) -> np.ndarray[Any, Any]:
    """The score that photos get whose measures are `responses` (n, k)."""
    rows = np.atleast_2d(np.asarray(responses, float))
    columns = Columns(len(rows), {ideal.measure: rows[:, i] for i, ideal in enumerate(ideals)}, {}, {})
    return score(
        rulebook(ideals, list(np.broadcast_to(np.asarray(weights, float), len(ideals)))), columns
    ).value


def overall(desirabilities: list[float], weights: Any) -> float:
    """The score of one photo whose criteria are worth `desirabilities`: measures that are their own worth."""
    ideals = [Ideal(f"y{i}", 0, 1, np.inf, np.inf) for i in range(len(desirabilities))]
    return float(judged(desirabilities, ideals, weights)[0])


TYRE_IDEALS = [
    Ideal("y1", 120, 170, np.inf, np.inf),
    Ideal("y2", 1000, 1300, np.inf, np.inf),
    Ideal("y3", 400, 500, 500, 600),
    Ideal("y4", 60, 67.5, 67.5, 75),
]


def tyre_desirabilities(y: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """The four desirabilities of the example, for responses (..., 4)."""
    return np.stack(
        [
            larger_is_better(y[..., 0], 120, 170),
            larger_is_better(y[..., 1], 1000, 1300),
            target_range(y[..., 2], 400, 500, 500, 600),
            target_range(y[..., 3], 60, 67.5, 67.5, 75),
        ],
        axis=-1,
    )


def quadratic(x: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """All terms of a full quadratic in three factors."""
    a, b, c = np.moveaxis(x, -1, 0)
    return np.stack([np.ones_like(a), a, b, c, a * a, b * b, c * c, a * b, a * c, b * c], axis=-1)


def test_a_response_on_the_way_to_its_target_follows_the_shape() -> None:
    for shape, expected in ((0.5, 0.707107), (1.0, 0.5), (2.0, 0.25)):
        assert larger_is_better(15, 10, 20, shape) == pytest.approx(expected, abs=1e-6)
    assert larger_is_better([10, 20, 25], 10, 20).tolist() == [0, 1, 1]
    assert smaller_is_better([5, 10, 15, 20], 10, 20).tolist() == [1, 1, 0.5, 0]


def test_each_side_of_a_target_has_its_own_shape() -> None:
    assert target_range([15, 35], 10, 20, 30, 40, 2.0, 0.5).tolist() == pytest.approx([0.25, 0.5**0.5])


def test_a_limit_at_its_ideal_is_a_step() -> None:
    assert target_range([0.9, 1.0, 2.0, 2.1], 1, 1, 2, 2).tolist() == [0, 1, 1, 0]


def test_a_missing_value_stays_missing() -> None:
    assert np.isnan(target_range([np.nan], 0, 1, 2, 3)).all()
    assert np.isnan(larger_is_better([np.nan], 0, 1)).all()
    assert np.isnan(target_range([np.nan], 1, 1, 2, 2)).all()


def test_geometric_mean_of_the_handbook_and_of_the_paper() -> None:
    assert overall([0.34, 1.0, 0.49, 0.76], 1) == pytest.approx(0.5965, abs=5e-4)
    assert overall([0.189, 1.000, 0.656, 0.932], 1) == pytest.approx(0.5830, abs=5e-4)


def test_weights_count_relative_to_one_another_only() -> None:
    d = [0.5, 0.8, 0.6]
    assert overall(d, 1) == pytest.approx(0.621447, abs=1e-6)
    assert overall(d, [1, 2, 4]) == pytest.approx(0.634653, abs=1e-6)
    assert overall(d, [10, 20, 40]) == pytest.approx(0.634653, abs=1e-6)


def test_a_zero_mutes_all_unless_its_weight_is_zero() -> None:
    assert overall([0.0, 1.0], [1, 1]) == 0
    assert overall([0.0, 0.25], [0, 1]) == pytest.approx(0.25)


def test_a_missing_criterion_takes_its_weight_along() -> None:
    assert overall([np.nan, 0.5, 0.8], [7, 1, 1]) == pytest.approx((0.5 * 0.8) ** 0.5)
    assert overall([np.nan, np.nan], 1) == 0  # nothing to go by


def test_the_handbooks_polynomials_at_its_optimum() -> None:
    a, b, c = -0.10, 0.15, -1.0
    terms = np.array([1, a, b, c, a * a, b * b, c * c, a * b, a * c, b * c])
    y = np.array(
        [
            terms @ [139.12, 16.49, 17.88, 2.21, -4.01, -3.45, -1.57, 5.12, -7.88, -7.13],
            terms @ [1261.13, 268.15, 246.5, -102.6, -83.57, -124.92, 199.2, 69.37, -104.38, -94.13],
            terms[:4] @ [417.5, -99.67, -31.4, -27.42],
            terms @ [68.91, -1.41, 4.32, 0.21, 1.56, 0.058, -0.32, -1.62, 0.25, -0.12],
        ]
    )
    d = tyre_desirabilities(y)
    assert d == pytest.approx([0.3292, 1, 0.5018, 0.7662], abs=1e-4)
    assert judged(y, TYRE_IDEALS, 1) == pytest.approx(0.59646, abs=1e-4)
    assert d == pytest.approx([0.34, 1.0, 0.49, 0.76], abs=0.02)  # as printed by the handbook


def test_tyre_tread_end_to_end_finds_the_papers_optimum() -> None:
    """Table -> least squares -> greatest desirability: 0.58327 at (-0.0525, 0.148, -0.868)."""
    table = np.array([[float(each) for each in line.split()] for line in TYRE.splitlines()])
    table[SWAPPED_RUNS, 2] *= -1
    model, *_ = np.linalg.lstsq(quadratic(table[:, :3]), table[:, 3:], rcond=None)

    def scored(x: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        return judged(quadratic(x) @ model, TYRE_IDEALS, 1)

    paper = np.array([-0.050, 0.145, -0.868])
    assert quadratic(paper) @ model == pytest.approx([129.43, 1300.08, 465.74, 68.00], rel=2e-4)
    assert scored(paper) == pytest.approx(0.58326, abs=1e-4)

    axis = np.linspace(-1, 1, 41)
    grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    start = grid[np.argmax(scored(grid))]
    best = minimize(
        lambda x: -scored(x)[0], start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-10}
    )
    assert -best.fun == pytest.approx(0.58327, abs=5e-4)
    assert best.x == pytest.approx([-0.0525, 0.148, -0.868], abs=0.01)


@given(
    some.lists(some.floats(0, 1), min_size=1, max_size=6),
    some.floats(0.01, 100),
    some.integers(0, 5),
    some.floats(0, 1),
)
def test_the_mean_lies_between_and_never_falls_when_a_criterion_improves(
    values: list[float], scale: float, place: int, better: float
) -> None:
    weights = np.arange(1, len(values) + 1)
    before = float(overall(values, weights))
    assert min(values) - 1e-9 <= before <= max(values) + 1e-9
    assert float(overall(values, weights * scale)) == pytest.approx(before, abs=1e-9)
    improved = list(values)
    improved[place % len(values)] = max(better, improved[place % len(values)])
    assert float(overall(improved, weights)) >= before - 1e-12


@given(some.floats(0, 1), some.floats(0, 1), some.floats(0, 0.5))
def test_a_floor_keeps_the_order(one: float, other: float, floor: float) -> None:
    lifted = lift(np.array([one, other]), floor)
    assert (lifted >= floor - 1e-12).all() and (lifted <= 1 + 1e-12).all()
    assert (lifted[0] <= lifted[1]) == (one <= other) or np.isclose(lifted[0], lifted[1])
