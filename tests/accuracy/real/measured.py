"""Real photographs through the real pipeline, and shares of them with their intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scipy.stats import binomtest

from eyeline.errors import EyelineError
from eyeline.workers.examine import Examined
from tests.accuracy.pipeline import run
from tests.accuracy.real.sets import Photograph


@dataclass(frozen=True)
class Measured:
    """A photograph and its measures by name; `pupils_apart_px` is None where no face was found, `examined`
    where the file could not be read.
    """

    photograph: Photograph
    values: dict[str, object]
    pupils_apart_px: float | None
    examined: Examined | None = None

    def number(self, name: str) -> float | None:
        """The measure `name`, None where it could not be taken."""
        value = self.values.get(name)
        return float(value) if isinstance(value, int | float) else None


def measured(photographs: Sequence[Photograph], workers: int | None = None) -> list[Measured]:
    """Measure every photograph; a file that cannot be read has no measures."""
    answers = []
    for photograph, result in zip(
        photographs, run([each.path for each in photographs], workers), strict=True
    ):
        if isinstance(result, EyelineError):
            answers.append(Measured(photograph, {}, None))
            continue
        values = {name: each.value for name, each in result.measurements.items()}
        points, frame = result.points, result.frame
        apart = None
        if points is not None:
            across = (points.pupil_right[0] - points.pupil_left[0]) * frame.width
            down = (points.pupil_right[1] - points.pupil_left[1]) * frame.height
            apart = float((across**2 + down**2) ** 0.5)
        answers.append(Measured(photograph, values, apart, result))
    return answers


def share(part: int, whole: int) -> str:
    """`part` of `whole` as a share with its 95 % interval (Wilson 1927)."""
    if not whole:
        return "none"
    interval = binomtest(part, whole).proportion_ci(0.95, "wilson")
    return f"{part} of {whole}, {part / whole:.1%} ({interval.low:.1%} to {interval.high:.1%})"
