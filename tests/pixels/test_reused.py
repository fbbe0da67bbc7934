"""Memory that is used again: never while anything still shows the picture before."""

from __future__ import annotations

import gc

import numpy as np

from eyeline.pixels.reused import LARGEST_KEPT_BYTES, picture_memory

SIZE = 3 * 100 * 100


def address(memory: np.ndarray) -> int:
    return int(memory.__array_interface__["data"][0])


def test_memory_that_nobody_holds_is_used_again() -> None:
    first = picture_memory(SIZE)
    where = address(first)
    del first
    assert address(picture_memory(SIZE)) == where
    assert address(picture_memory(SIZE - 5)) == where
    assert picture_memory(SIZE - 5).shape == (SIZE - 5,)


def test_a_view_of_a_view_keeps_it() -> None:
    picture = picture_memory(SIZE).reshape(100, 100, 3)
    picture[:] = 7
    part = picture[10:20, ::2].swapaxes(0, 1)[::-1]
    del picture
    gc.collect()
    for _ in range(3):
        picture_memory(SIZE)[:] = 9
    assert (part == 7).all()


def test_two_pictures_at_once_have_memory_of_their_own() -> None:
    one, other = picture_memory(SIZE), picture_memory(SIZE)
    one[:], other[:] = 1, 2
    assert (one == 1).all()


def test_what_is_too_large_is_not_kept() -> None:
    large = picture_memory(LARGEST_KEPT_BYTES + 1)
    del large
    small = picture_memory(10)
    assert small.base is not None
    assert small.base.nbytes <= LARGEST_KEPT_BYTES
