"""The built-in measures in the order in which they are taken."""

from __future__ import annotations

from collections.abc import Iterable

from eyeline.measuring import (
    background,
    camera_height,
    catchlight,
    copy_space,
    covers,
    eye_blur,
    eyes,
    face_light,
    fingerprint,
    focus_behind,
    frame_white,
    framing_as_shot,
    glare,
    head,
    light_ratio,
    mouth,
    noise,
    other_faces,
    people,
    scene_code,
    separation,
    slate_code,
    subject_distance,
)
from eyeline.terms.measurement import Measure, Quantity

MEASURES_EDITION = 5
"""Raised by a release that changes any number or reason of the built-in measures: what is kept of a photo
under another edition is measured anew by the next `eyeline run` over it."""

BUILT_IN: tuple[Measure, ...] = (
    people.MEASURE,
    covers.MEASURE,
    head.MEASURE,
    eyes.MEASURE,
    mouth.MEASURE,
    framing_as_shot.MEASURE,
    scene_code.MEASURE,
    noise.MEASURE,
    eye_blur.MEASURE,
    other_faces.MEASURE,
    focus_behind.MEASURE,
    face_light.MEASURE,
    frame_white.MEASURE,
    light_ratio.MEASURE,
    separation.MEASURE,
    glare.MEASURE,
    catchlight.MEASURE,
    copy_space.MEASURE,
    background.MEASURE,
    fingerprint.MEASURE,
    camera_height.MEASURE,
    subject_distance.MEASURE,
    slate_code.MEASURE,
)
"""A measure stands after those that it needs. To add one, write its file and put it here."""


def quantities(measures: Iterable[Measure]) -> tuple[Quantity, ...]:
    """Everything that `measures` answer."""
    return tuple(quantity for measure in measures for quantity in measure.quantities)
