"""What the small networks share: a layer of 3 × 3 convolutions in plain numpy.

Layers are (channels, pictures, rows, columns): one matrix product then leads from layer to layer, without an
array being turned in between.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

Layer = NDArray[np.float32]

FLAT_LEVELS = 4.0
"""8-bit levels added to the deviation that a patch is divided by: a blank patch stays blank."""


def convolved(layer: Layer, weight: Layer, bias: Layer, stride: int) -> Layer:
    """`layer` (c, n, h, w) under `weight` (k, c, 3, 3) and `bias` (k,), padded by zeros: (k, n, h / stride,
    w / stride), rounded up.
    """
    channels, pictures, height, width = layer.shape
    padded = np.zeros((channels, pictures, height + 2, width + 2), np.float32)
    padded[:, :, 1:-1, 1:-1] = layer
    rows, columns = -(-height // stride), -(-width // stride)
    of_channel, of_picture, down, along = padded.strides
    seen = as_strided(
        padded,
        (channels, 3, 3, pictures, rows, columns),
        (of_channel, down, along, of_picture, stride * down, stride * along),
    )
    answer: Layer = weight.reshape(len(weight), -1) @ seen.reshape(9 * channels, -1)
    answer += bias[:, None]
    return answer.reshape(-1, pictures, rows, columns)


def rectified(layer: Layer) -> Layer:
    """`layer` with 0 for what is below it, in its own memory."""
    return np.maximum(layer, 0, out=layer)
