"""Run the real pipeline over portraits, on all cores, and pair each result with its truth."""

from __future__ import annotations

import multiprocessing
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from math import hypot
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.terms.measurement import Value
from eyeline.workers.examine import Examined, examine, identify, warm_up
from tests.accuracy.portraits import Person, Portrait

SAME_PERSON_WITHIN = 1.0
"""Farthest that the measured eyes may lie from the true ones, in eye distances, to be the same person's."""


@dataclass(frozen=True)
class Pair:
    """One portrait, what eyeline measured, and the person it took for the sitter (None: found nobody)."""

    portrait: Portrait
    examined: Examined
    person: Person | None

    def value(self, name: str) -> Value:
        measurement = self.examined.measurements.get(name)
        return None if measurement is None else measurement.value

    def number(self, name: str) -> float | None:
        value = self.value(name)
        return None if value is None or isinstance(value, str) else float(value)

    def missing(self, name: str) -> str:
        measurement = self.examined.measurements.get(name)
        return "no such measure" if measurement is None else measurement.missing or ""

    def pupil_errors(self) -> tuple[float, float] | None:
        """Distance of each pupil from the truth, in true eye distances."""
        points, person = self.examined.points, self.person
        if points is None or person is None:
            return None
        width, height = self.examined.frame.width, self.examined.frame.height
        pairs = ((points.pupil_left, person.pupil_left), (points.pupil_right, person.pupil_right))
        left, right = (
            hypot(found[0] * width - true[0], found[1] * height - true[1]) / person.interpupillary_px
            for found, true in pairs
        )
        return left, right


def run(paths: Sequence[Path], workers: int | None = None) -> list[Examined | EyelineError]:
    """Examine every path; the order is kept."""
    with ProcessPoolExecutor(
        workers, mp_context=multiprocessing.get_context("spawn"), initializer=warm_up
    ) as pool:
        return list(pool.map(_examine, paths))


def pairs_of(portraits: Sequence[Portrait]) -> list[Pair]:
    """Run the pipeline over `portraits` and pair it with their truth; a file that is no photo is named."""
    results = run([portrait.path for portrait in portraits])
    pairs = []
    for portrait, result in zip(portraits, results, strict=True):
        if isinstance(result, EyelineError):
            print(f"left out: {result}", file=sys.stderr)
        else:
            pairs.append(_pair(portrait, result))
    return pairs


def _examine(path: Path) -> Examined | EyelineError:
    try:
        return examine(identify(path))
    except EyelineError as error:
        return error


def _pair(portrait: Portrait, result: Examined) -> Pair:
    if result.points is None:
        return Pair(portrait, result, None)
    person, distance = portrait.nearest(
        result.points.eye_x * result.frame.width, result.points.eye_y * result.frame.height
    )
    return Pair(portrait, result, person if distance <= SAME_PERSON_WITHIN else None)
