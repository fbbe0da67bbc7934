"""What training wrote: arrays of numbers in files of this package."""

from __future__ import annotations

from importlib.resources import files
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", np.float32, np.float64)


def arrays_in(name: str, number: type[Number]) -> dict[str, NDArray[Number]]:
    """All arrays of the file `name` (NumPy's npz) beside this module, by key, as `number`."""
    with np.load(str(files("eyeline.measuring") / name)) as stored:
        return {key: stored[key].astype(number) for key in stored.files}
