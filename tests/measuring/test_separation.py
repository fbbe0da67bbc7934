"""Contrast of the head's edge against what lies next to it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeline.measuring.separation import edge_contrast, measure_separation
from eyeline.terms.face import Silhouette
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement
from tests.measuring.subjects import BARE, sitter, subject_of

ROWS, COLUMNS = np.mgrid[:200, :200]
HEAD = np.hypot(ROWS - 110, COLUMNS - 100) < 60


def _measured(head_level: int, background_level: int) -> Measurement:
    """A flat disc of a head on a flat background, through the measure itself."""
    rgb = np.where(HEAD, head_level, background_level)[..., None].repeat(3, axis=2).astype(np.uint8)
    face = replace(BARE, box=(60.0, 70.0, 140.0, 170.0))
    silhouette = Silhouette(HEAD.astype(np.float32), 0.0, 0.0, 200.0, 200.0)
    (found,) = measure_separation(subject_of(Picture(rgb, rgb), sitter(face, head=silhouette)))
    return found


@pytest.mark.parametrize(
    ("head", "background", "ratio"),
    [(0, 255, 21.0), (0x77, 255, 4.478089), (0x80, 0, 5.317210), (0x95, 255, 2.995346)],
)
def test_flat_head_on_flat_background_has_the_contrast_of_the_two(
    head: int, background: int, ratio: float
) -> None:
    """Pairs of the WCAG table."""
    assert _measured(head, background).value == pytest.approx(ratio, rel=1e-3)


def test_a_head_of_the_backgrounds_own_grey_does_not_stand_out() -> None:
    assert _measured(90, 90).value == pytest.approx(1.0)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_which_of_the_two_is_brighter_does_not_count(head: float, background: float) -> None:
    here = np.where(HEAD, head, background).astype(np.float32)
    there = np.where(HEAD, background, head).astype(np.float32)
    one = edge_contrast(here, HEAD, ~HEAD, 6, 2)
    assert one == pytest.approx(edge_contrast(there, HEAD, ~HEAD, 6, 2), rel=1e-4)


def test_a_background_far_from_the_head_does_not_count() -> None:
    near = np.hypot(ROWS - 110, COLUMNS - 100) < 75
    light = np.where(HEAD, 0.0, np.where(near, 0.2, 1.0)).astype(np.float32)
    assert edge_contrast(light, HEAD, ~HEAD, 6, 2) == pytest.approx(5.0, rel=0.01)


def test_without_an_edge_there_is_no_contrast() -> None:
    light = np.full((200, 200), 0.5, np.float32)
    assert edge_contrast(light, np.ones((200, 200), bool), np.zeros((200, 200), bool), 6, 2) is None
