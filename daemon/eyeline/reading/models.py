"""The models of faces and hands, each loaded when first used and kept for the life of the process.

They are mediapipe's (Apache-2.0, see NOTICE), converted to ONNX by training/convert_face_models.py. All take
pictures as uint8 (n, side, side, 3), upright sRGB, and answer in float32.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from onnxruntime import InferenceSession

Name = Literal["full_range_detector", "short_range_detector", "face_mesh", "silhouette", "palm_detector"]

EVERY_PHOTO: tuple[Name, ...] = ("full_range_detector", "short_range_detector", "face_mesh", "silhouette")
"""What looks at every photo."""

ALL: tuple[Name, ...] = (*EVERY_PHOTO, "palm_detector")

ERRORS_ONLY = 3
"""onnxruntime's level of logging; below it are notes about the machine that nobody can act upon."""


@cache
def session(name: Name) -> InferenceSession:
    """The model of that name, ready to run on one thread: the workers are what runs at the same time."""
    from onnxruntime import GraphOptimizationLevel, InferenceSession, SessionOptions

    options = SessionOptions()
    options.intra_op_num_threads = 1
    options.inter_op_num_threads = 1
    options.log_severity_level = ERRORS_ONLY
    options.enable_cpu_mem_arena = False  # as fast without, and a worker holds a tenth less memory
    options.graph_optimization_level = GraphOptimizationLevel.ORT_ENABLE_ALL
    path = files("eyeline.reading") / f"{name}.onnx"
    return InferenceSession(path.read_bytes(), options, providers=["CPUExecutionProvider"])


def answers(name: Name, rgb: NDArray[np.uint8]) -> list[NDArray[np.float32]]:
    """What the model says of pictures `rgb`, uint8 (n, side, side, 3): its outputs in their order."""
    return list(session(name).run(None, {"rgb": rgb}))


def load_all() -> None:
    """Load every model that looks at every photo, so that the first need not wait for them."""
    for name in EVERY_PHOTO:
        session(name)
