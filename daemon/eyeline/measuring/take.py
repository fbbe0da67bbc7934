"""Take measures of a subject, in order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from math import isfinite

import numpy as np

from eyeline.errors import is_out_of_memory
from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measure, Measurement, Subject

NO_SITTER = "no face was found"
NO_FEATURES = "a face was found, but no landmarks in it"
"""The reasons for every measure of the sitter when there is none, or nothing but a box."""

Stopwatch = Callable[[], float]
"""Seconds on a clock that only moves forward; handed in, since the core has no clock."""


def take(
    subject: FrameSubject, measures: Sequence[Measure], stopwatch: Stopwatch | None = None
) -> tuple[dict[str, Measurement], dict[str, float]]:
    """Take `measures` of `subject` in their order; each sees what those before it found.

    A measure that raises (a bug of its own, or of a guest) makes its quantities missing, with the
    exception named in the reason, and the rest goes on. Raises MemoryError where memory runs out: with more
    of it the measure may well succeed, so its absence would be no fact about the photo.

    Returns
    -------
    known
        Measurement by quantity name.
    milliseconds
        Milliseconds by the name of each measure's first quantity; empty without a `stopwatch`.
    """
    known: dict[str, Measurement] = {}
    milliseconds: dict[str, float] = {}
    for measure in measures:
        start = stopwatch() if stopwatch else 0.0
        known |= _take_one(measure, subject, known)
        if stopwatch:
            milliseconds[measure.quantities[0].name] = 1000 * (stopwatch() - start)
    return known, milliseconds


def _take_one(
    measure: Measure, subject: FrameSubject, known: Mapping[str, Measurement]
) -> dict[str, Measurement]:
    names = [quantity.name for quantity in measure.quantities]
    frame, picture, seen, sitter = subject.frame, subject.picture, subject.seen, subject.sitter
    if isinstance(measure, FrameMeasure):
        answer = partial(measure.function, FrameSubject(frame, picture, seen, sitter, dict(known)))
    elif sitter is not None:
        answer = partial(measure.function, Subject(frame, picture, seen, sitter, dict(known)))
    else:
        reason = NO_SITTER if seen.sitter is None else NO_FEATURES
        return {name: Measurement(name, None, reason) for name in names}
    try:
        taken = {measurement.name: measurement for measurement in answer()}
    except (Exception, SystemExit) as error:  # one broken measure must not cost the photo its others
        if is_out_of_memory(error):
            raise MemoryError(f"out of memory in the measure of {names[0]}") from error
        reason = f"the measure failed: {type(error).__name__}: {error}"
        return {name: Measurement(name, None, reason) for name in names}
    return {name: _plain(taken.get(name), name) for name in names}


def _plain(measurement: Measurement | None, name: str) -> Measurement:
    """The measurement with a value that every room can keep: a finite plain number, a bool or a word."""
    if measurement is None:
        return Measurement(name, None, "the measure gave no answer")
    answered: object = measurement.value
    value: object = answered.item() if isinstance(answered, np.generic) else answered
    if value is None or isinstance(value, bool | str | int):
        return Measurement(name, value, measurement.missing)
    if isinstance(value, float) and isfinite(value):
        return Measurement(name, value)
    return Measurement(name, None, f"the measure answered {value!r}, which is no number")
