"""The models of mediapipe 0.10.21, loaded once per process.

0.10.21 is the last release whose wheel carries its models, so nothing is fetched at run time.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from types import ModuleType
from typing import Any

os.environ.setdefault("GLOG_minloglevel", "3")
os.environ.setdefault("TF_CPP_MIN_LOG_LEVEL", "3")

LEAST_FACE_CONFIDENCE = 0.5
"""Score from which the full-range detector's box counts as a face (its authors' default)."""

LEAST_MESH_CONFIDENCE = 0.2
"""Score at which the mesh accepts the face in a crop that the detector has already chosen."""


@contextmanager
def _without_matplotlib() -> Iterator[None]:
    """mediapipe imports matplotlib for drawings that nobody makes here. Importing it takes half a second and
    leaves a list of fonts in the user's home, so an empty module stands in for it meanwhile.
    """
    names = ("matplotlib", "matplotlib.pyplot")
    if names[0] in sys.modules:  # a guest measure has it already
        yield
        return
    for name in names:
        sys.modules[name] = ModuleType(name)
    sys.modules[names[0]].pyplot = sys.modules[names[1]]  # type: ignore[attr-defined]
    try:
        yield
    finally:
        for name in names:
            del sys.modules[name]


@cache
def face_detector() -> Any:
    """The full-range detector: faces down to about 5 % of the frame's height."""
    with _without_matplotlib():
        from mediapipe.python.solutions.face_detection import FaceDetection

    return FaceDetection(model_selection=1, min_detection_confidence=LEAST_FACE_CONFIDENCE)


@cache
def face_mesh() -> Any:
    """The face mesh with irises: 478 landmarks."""
    with _without_matplotlib():
        from mediapipe.python.solutions.face_mesh import FaceMesh

    return FaceMesh(
        static_image_mode=True,
        max_num_faces=1,
        refine_landmarks=True,
        min_detection_confidence=LEAST_MESH_CONFIDENCE,
    )


@cache
def person_silhouette() -> Any:
    """The person silhouette, 256 × 256."""
    with _without_matplotlib():
        from mediapipe.python.solutions.selfie_segmentation import SelfieSegmentation

    return SelfieSegmentation(model_selection=0)
