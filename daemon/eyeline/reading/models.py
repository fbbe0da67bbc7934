"""The models of mediapipe 0.10.21, loaded once per process.

0.10.21 is the last release whose wheel carries its models, so nothing is fetched at run time.
"""

from __future__ import annotations

import os
from functools import cache
from typing import Any

os.environ.setdefault("GLOG_minloglevel", "3")
os.environ.setdefault("TF_CPP_MIN_LOG_LEVEL", "3")

LEAST_FACE_CONFIDENCE = 0.5
"""Score from which the full-range detector's box counts as a face (its authors' default)."""

LEAST_MESH_CONFIDENCE = 0.2
"""Score at which the mesh accepts the face in a crop that the detector has already chosen."""


@cache
def face_detector() -> Any:
    """The full-range detector: faces down to about 5 % of the frame's height."""
    from mediapipe.python.solutions.face_detection import FaceDetection

    return FaceDetection(model_selection=1, min_detection_confidence=LEAST_FACE_CONFIDENCE)


@cache
def face_mesh() -> Any:
    """The face mesh with irises: 478 landmarks."""
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
    from mediapipe.python.solutions.selfie_segmentation import SelfieSegmentation

    return SelfieSegmentation(model_selection=0)
