"""What the small networks share: a layer of 3 × 3 convolutions in plain numpy."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

Layer = NDArray[np.float32]

FLAT_LEVELS = 4.0
"""8-bit levels added to the deviation that a patch is divided by: a blank patch stays blank."""


def convolved(layer: Layer, weight: Layer, bias: Layer, stride: int) -> Layer:
    """`layer` (n, c, h, w) under `weight` (k, c, 3, 3) and `bias` (k,), padded by zeros: (n, k, h / stride,
    w / stride).
    """
    padded = np.pad(layer, ((0, 0), (0, 0), (1, 1), (1, 1)))
    windows = sliding_window_view(padded, (1, 1, 3, 3))[:, :, ::stride, ::stride, 0, 0]
    n, _, height, width = windows.shape[:4]
    flat = windows.transpose(0, 2, 3, 1, 4, 5).reshape(n * height * width, -1)
    answer = flat @ weight.reshape(len(weight), -1).T + bias
    return np.asarray(answer.reshape(n, height, width, -1).transpose(0, 3, 1, 2))
