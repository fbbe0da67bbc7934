"""The models load, take several pictures at once, and are what the conversion makes of mediapipe's."""

from __future__ import annotations

import importlib
import os
import sys
from importlib.resources import files
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from eyeline.reading import models

ROOT = Path(__file__).parents[2]

SIDES = {
    "full_range_detector": 192,
    "short_range_detector": 128,
    "face_mesh": 192,
    "silhouette": 256,
    "palm_detector": 192,
}


def wheels() -> list[Path]:
    """Wheels of mediapipe 0.10.21 at hand: where `sh service/bootstrap test` keeps one."""
    folder = Path(os.environ.get("EYELINE_MEDIAPIPE_WHEEL", ROOT / ".bootstrap/mediapipe"))
    return sorted(folder.glob("mediapipe-0.10.21-*.whl"))


def conversion() -> ModuleType:
    sys.path.insert(0, str(ROOT / "training"))
    try:
        return importlib.import_module("convert_face_models")
    finally:
        sys.path.pop(0)


@pytest.mark.parametrize("name", models.ALL)
def test_several_pictures_at_once_answer_as_one_by_one(name: models.Name) -> None:
    random = np.random.default_rng(4)
    rgb = random.integers(0, 256, (3, SIDES[name], SIDES[name], 3), dtype=np.uint8)
    together = models.answers(name, rgb)
    for i in range(3):
        for whole, alone in zip(together, models.answers(name, rgb[i : i + 1]), strict=True):
            np.testing.assert_allclose(whole[i : i + 1], alone, atol=1e-3)


@pytest.mark.skipif(not wheels(), reason="no wheel of mediapipe 0.10.21 at hand")
@pytest.mark.parametrize("name", models.ALL)
def test_the_stored_model_is_what_the_conversion_makes_of_mediapipes(name: models.Name) -> None:
    convert = conversion()
    source = convert.SOURCES[name]
    made = convert.converted(source, convert.model_in(wheels()[0], source))
    assert made == (files("eyeline.reading") / f"{name}.onnx").read_bytes()
