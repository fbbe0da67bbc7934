"""The face that `face_clipped` is checked on: laid by the truth, without a landmark that eyeline found."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from eyeline.measuring.face_shape import usual_face
from tests.accuracy.figures.clipped import CHIN, PUPILS, face_by_truth
from tests.accuracy.portraits import Person, shoot


def _seen_in_a_mirror(person: Person, width: float) -> Person:
    swapped = {
        "head_yaw_los": -person.head_yaw_los,
        "head_roll": -person.head_roll,
        "pupil_left": [width - person.pupil_right[0], person.pupil_right[1]],
        "pupil_right": [width - person.pupil_left[0], person.pupil_left[1]],
        "chin": [width - person.chin[0], person.chin[1]],
    }
    return replace(person, truth=person.truth | swapped)


def test_it_lies_on_the_true_pupils_and_chin_of_every_frame() -> None:
    """A tenth of the eye distance is left to people's own proportions."""
    for portrait in shoot():
        (person,) = portrait.people
        known = np.array([person.pupil_left, person.pupil_right, person.chin])
        off = face_by_truth(person)[[*PUPILS, CHIN]] - known
        assert np.hypot(*off.T).max() <= 0.1 * person.interpupillary_px, portrait.path.name


def test_a_mirror_mirrors_it() -> None:
    for portrait in shoot()[::9]:
        (person,) = portrait.people
        width = portrait.truth["width"]
        there = face_by_truth(_seen_in_a_mirror(person, width))[usual_face().mirror]
        expected = face_by_truth(person) * (-1, 1) + (width, 0)
        assert np.abs(there - expected).max() <= 0.02 * person.interpupillary_px, portrait.path.name
