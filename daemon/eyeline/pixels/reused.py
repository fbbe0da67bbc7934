"""Memory for one large picture after another, without asking the system for it each time."""

from __future__ import annotations

import weakref
from collections import deque

import numpy as np
from numpy.typing import NDArray

LARGEST_KEPT_BYTES = 200_000_000
"""A picture of 66 megapixels. What larger ones took goes back to the system: they are rare."""

_spare: deque[bytearray] = deque(maxlen=1)


def picture_memory(size: int) -> NDArray[np.uint8]:
    """`size` bytes, (size,), that hold anything: those of an earlier picture, once no array shows them.

    Fresh memory is handed out by the system page by page, filled with zeros, at the first touch: for 24
    megapixels of RGB a fourth of the time that decoding them takes.
    """
    try:
        owner = _spare.pop()
    except IndexError:
        owner = bytearray()
    if len(owner) < size:
        owner = bytearray(size)
    # Every view of `memory`, and every view of a view, holds `memory` itself.
    memory = np.frombuffer(owner, np.uint8)
    if len(owner) <= LARGEST_KEPT_BYTES:
        weakref.finalize(memory, _spare.append, owner).atexit = False
    return memory[:size]
