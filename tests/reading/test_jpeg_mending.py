"""Sound JPEGs that decoders warn of are read; what is cut short is refused, whatever else is wrong with it.

Layouts by ITU-T T.81: bytes that belong to no segment before a marker (B.1.1.2), and a sequential scan whose
header has parameters of a progressive one (B.2.3). Both were found in a public collection of phone and camera
files. Pillow, which passes over them, is the second opinion on the pixels.
"""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest
from PIL import Image

from eyeline.errors import UnreadablePhoto
from eyeline.reading.jpeg import decode_jpeg
from eyeline.reading.jpeg_mending import mended

WIDTH, HEIGHT = 640, 480


def photo(**options: object) -> bytes:
    ramp = np.linspace(0, 255, WIDTH * HEIGHT, dtype=np.float64).reshape(HEIGHT, WIDTH)
    noise = np.random.default_rng(1).normal(0, 9, (HEIGHT, WIDTH, 3))
    target = io.BytesIO()
    pixels = np.clip(ramp[..., None] + noise, 0, 255).astype(np.uint8)
    Image.fromarray(pixels).save(target, "JPEG", quality=90, **options)  # type: ignore[arg-type]
    return target.getvalue()


def stray_bytes(data: bytes, marker: bytes = b"\xff\xdb", stray: bytes = bytes(range(1, 15))) -> bytes:
    at = data.index(marker)
    return data[:at] + stray + data[at:]


def progressive_parameters(data: bytes) -> bytes:
    """The first scan's header with Ss 0, Se 0, Ah 0, Al 1."""
    at = data.index(b"\xff\xda")
    end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return data[: end - 3] + bytes((0, 0, 1)) + data[end:]


def both(data: bytes) -> bytes:
    return progressive_parameters(stray_bytes(stray_bytes(data), b"\xff\xc4", b"\0\0"))


ODD = [stray_bytes, progressive_parameters, both]


@pytest.mark.parametrize("spoil", ODD)
def test_what_is_whole_is_read(spoil: Callable[[bytes], bytes]) -> None:
    sound = photo()
    spoilt = spoil(sound)
    assert spoilt != sound
    assert np.array_equal(decode_jpeg(spoilt).pixels, decode_jpeg(sound).pixels)
    with Image.open(io.BytesIO(spoilt)) as theirs:
        assert np.abs(np.asarray(theirs).astype(int) - decode_jpeg(spoilt).pixels).max() <= 1


@pytest.mark.parametrize("spoil", [lambda data: data, *ODD])
@pytest.mark.parametrize("share", [0.5, 0.9, 0.99])
def test_what_is_cut_short_is_refused(spoil: Callable[[bytes], bytes], share: float) -> None:
    whole = spoil(photo())
    with pytest.raises(UnreadablePhoto):
        decode_jpeg(whole[: int(share * len(whole))])


@pytest.mark.parametrize("spoil", [lambda data: data, *ODD])
def test_what_lost_a_piece_in_the_middle_is_refused(spoil: Callable[[bytes], bytes]) -> None:
    whole = spoil(photo())
    middle = len(whole) // 2
    with pytest.raises(UnreadablePhoto):
        decode_jpeg(whole[:middle] + whole[middle + 20_000 :])


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_blocks": 4}])
def test_a_sound_one_is_left_as_it_is(options: dict[str, object]) -> None:
    sound = photo(**options)
    assert mended(sound) == sound


@pytest.mark.parametrize("data", [b"", b"\xff\xd8", b"\xff\xd8\xff", photo()[:300], bytes(50), b"\xff" * 50])
def test_whatever_comes_in_something_comes_out(data: bytes) -> None:
    assert isinstance(mended(data), bytes)
