"""All figures of one set, in the order of the table."""

from __future__ import annotations

from collections.abc import Sequence

from tests.accuracy.figures.blur import blur_row
from tests.accuracy.figures.camera import camera_height_row
from tests.accuracy.figures.clipped import clipped_row
from tests.accuracy.figures.copy_space import copy_space_rows
from tests.accuracy.figures.covers import false_cover_row
from tests.accuracy.figures.framing import framing_rows
from tests.accuracy.figures.gaze import gaze_rows
from tests.accuracy.figures.head import head_rows
from tests.accuracy.figures.lids import lid_rows
from tests.accuracy.figures.light import light_row
from tests.accuracy.figures.people import found_rows, people_row
from tests.accuracy.figures.pupils import pupil_row
from tests.accuracy.figures.row import Row
from tests.accuracy.pipeline import Pair


def all_rows(pairs: Sequence[Pair]) -> list[Row]:
    """The whole table for one set."""
    return [
        *found_rows(pairs),
        people_row(pairs),
        false_cover_row("face covered, though it is not", [pair.examined.measurements for pair in pairs]),
        pupil_row(pairs),
        *framing_rows(pairs),
        *head_rows(pairs),
        *gaze_rows(pairs),
        *lid_rows(pairs),
        blur_row(pairs),
        light_row(pairs),
        clipped_row(pairs),
        *copy_space_rows(pairs),
        camera_height_row(pairs),
    ]
