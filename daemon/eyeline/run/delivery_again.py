"""A delivered file as measured again by its own pixels, against what it was promised to show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Future
from dataclasses import replace
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.delivery.promise import broken
from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import judge
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_item import FileToMake
from eyeline.terms.measurement import Measurement
from eyeline.workers.measure_again import measure_again
from eyeline.workers.quiet import quiet_native_logs

MeasureAgain = Callable[[Path, bool], Future[Mapping[str, Measurement]]]
"""Has the file at a path measured, by every measure or by those that are promised."""


def measured_here(path: Path, every: bool) -> Future[Mapping[str, Measurement]]:
    """`MeasureAgain` in this process: a few files are done before a worker has started."""
    answer: Future[Mapping[str, Measurement]] = Future()
    try:
        with quiet_native_logs():
            answer.set_result(measure_again(path, every))
    except Exception as error:  # `outcome` tells it as that of a worker
        answer.set_exception(error)
    return answer


def compared(decider: Decider, delivered: Delivered, known: Mapping[str, Measurement]) -> Delivered:
    """`delivered` with what is `known` of the file: its numbers, and what of its promise it does not keep."""
    numbers = {name: _number(known.get(name)) for name in ("eye_line", "head_height", "eye_blur_px")}
    wrong = tuple(broken(delivered.file.promise, numbers))
    said = delivered.said
    if numbers["eye_line"] is None and delivered.file.promise.eye_line is not None:
        said = (*said, "no face was found in it again: look at it")
    if delivered.file.caution:
        said = (*said, *_by_the_issuer(decider, delivered.file, known))
    return replace(delivered, broken=wrong, said=said, measured=numbers)


def _number(measurement: Measurement | None) -> float | None:
    value = measurement.value if measurement is not None else None
    return float(value) if isinstance(value, (int, float)) else None


def _by_the_issuer(decider: Decider, file: FileToMake, known: Mapping[str, Measurement]) -> tuple[str, ...]:
    """What the issuer of an identity document would find in the exported file, by the genre's numbers."""
    rules = decider.rules
    judgement = judge(
        columns_of([known], rules.quantities.values()),
        rules.brief([file.line.genre]),
        rules.vocabulary,
        rules.quantities,
    )
    faults = [each for each in judgement.reasons(0) if each.stars_at_most is not None or each.cost > 0]
    return tuple(f"by {file.line.genre}: {each.sentence}" for each in faults[:3])
