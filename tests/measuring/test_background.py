"""How busy the background is: 0 for one even tone, more for more edges."""

from __future__ import annotations

from statistics import median

import numpy as np
import pytest

from eyeline.measuring import background
from eyeline.terms.face import Face, Seen
from tests.measuring.subjects import NOBODY, subject_of
from tests.reading.shoot_pictures import painted, picture_of, points_of, seen_in, subject, truth


def detail_of(rgb: np.ndarray, seen: Seen = NOBODY) -> object:
    (answer,) = background.MEASURE.function(subject_of(painted(rgb), seen=seen))
    return answer.value


def test_one_even_tone_has_none() -> None:
    assert detail_of(np.full((400, 600, 3), 90, np.uint8)) == pytest.approx(0, abs=0.005)


def test_more_contrast_in_the_same_pattern_is_busier() -> None:
    pattern = np.kron(np.indices((20, 30)).sum(axis=0) % 2, np.ones((20, 20)))[..., None]
    values = [
        detail_of((100 + contrast * pattern.repeat(3, 2)).astype(np.uint8)) for contrast in (4, 20, 100)
    ]
    assert values == sorted(values)
    assert 0 < values[0] < values[-1] < 1


def test_a_sitter_that_fills_the_frame_leaves_no_background_to_judge() -> None:
    face = Face((-10, -10, 610, 410), None, 0.9)
    filled = painted(np.zeros((400, 600, 3), np.uint8))
    (answer,) = background.MEASURE.function(subject_of(filled, seen=Seen((face,), face, "", None, None)))
    assert answer.missing == "the sitter fills the frame"


@pytest.mark.slow
def test_the_shoot_orders_its_backgrounds_as_its_makers_do() -> None:
    """The truth's makers call paper, gradient and wall calm; office and foliage busy."""
    by_kind: dict[str, list[float]] = {}
    for file, record in truth().items():
        (answer,) = background.MEASURE.function(subject(picture_of(file), seen_in(file), points_of(file)))
        assert isinstance(answer.value, float)
        by_kind.setdefault(record["background"], []).append(answer.value)
    middle = {kind: median(values) for kind, values in by_kind.items()}
    assert max(middle["paper"], middle["wall"], middle["gradient"]) < min(middle["office"], middle["foliage"])
