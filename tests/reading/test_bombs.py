"""Photos that lie about their size, or take for ever, are refused before memory and time are spent."""

from __future__ import annotations

import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from eyeline.errors import UnreadablePhoto
from eyeline.exiftool import ExifTool
from eyeline.reading.jpeg import MOST_SCANS, START_OF_SCAN, jpeg_stream
from tests.reading.dng import dng
from tests.reading.test_open_photo import heic, jpeg, opened, saved

BOMB_PX = 30_000


def png_header(width: int, height: int) -> bytes:
    def chunk(name: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        )

    pixels = zlib.compress(bytes(10_000_000), 9)
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


def patched(data: bytes, old: tuple[int, int], form: str) -> bytes:
    """`data` with its size (width, height) replaced wherever it stands as struct `form`."""
    for value in old:
        data = data.replace(struct.pack(form, value), struct.pack(form, BOMB_PX))
    return data


def bombs() -> dict[str, tuple[str, bytes]]:
    plain = np.zeros((1234, 1235, 3), np.uint8)
    small = Image.fromarray(plain)
    frame = jpeg(plain)
    at = frame.index(b"\xff\xc0") + 5
    lying = frame[:at] + struct.pack(">HH", BOMB_PX, BOMB_PX) + frame[at + 4 :]
    tiff = saved(small, "TIFF", compression="tiff_deflate")
    raw = dng(plain)
    return {
        "PNG": ("png", png_header(BOMB_PX, BOMB_PX)),
        "JPEG": ("jpg", lying),
        "TIFF": ("tif", patched(patched(tiff, (1235, 1234), "<I"), (1235, 1234), "<H")),
        "HEIC": ("heic", patched(heic(plain), (1235, 1234), ">I")),
        "DNG": ("dng", patched(raw, (1235, 1234), "<I")),
        "preview": ("dng", patched(dng(plain, lying, (BOMB_PX, BOMB_PX)), (1235, 1234), "<I")),
    }


MEMORY = 700_000_000  # bytes

MOST_MILLION_PIXELS = {"PNG": 181, "TIFF": 181, "JPEG": 285, "DNG": 153}
"""2,000 MB over 11, 11, 7 and 13 bytes a pixel."""


def test_a_jpeg_of_thousands_of_scans_is_refused_before_it_is_decoded(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    """A progressive JPEG (ITU-T T.81, annex G) may have any number of scans; Pillow's encoder writes ten."""
    whole = saved(Image.fromarray(np.zeros((400, 400, 3), np.uint8)), "JPEG", progressive=True)
    path = tmp_path / "a.jpg"
    assert opened(exiftool, path, whole).decode().pixels.shape == (400, 400, 3)
    last = whole.rindex(b"\xff\xda")
    scan = whole[last:-2]
    with pytest.raises(UnreadablePhoto, match="passes over the whole picture"):
        opened(exiftool, path, whole[:-2] + 3000 * scan + whole[-2:])


@pytest.mark.parametrize("comment", [b"", b"\xff\xfe\x00\x03x"], ids=["", "of one letter"])
def test_the_bound_of_scans_is_exact_wherever_they_begin(comment: bytes) -> None:
    """A comment (T.81, B.2.4.5) of an odd length moves all that follows by an odd number of bytes."""
    whole = saved(Image.fromarray(np.zeros((400, 400, 3), np.uint8)), "JPEG", progressive=True)
    whole = whole[:2] + comment + whole[2:]
    scan = whole[whole.rindex(START_OF_SCAN) : -2]
    more = MOST_SCANS - whole.count(START_OF_SCAN)
    jpeg_stream(whole[:-2] + more * scan + whole[-2:], 1)
    with pytest.raises(UnreadablePhoto, match="passes over the whole picture"):
        jpeg_stream(whole[:-2] + (more + 1) * scan + whole[-2:], 1)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "HEIC", "DNG", "preview"])
def test_a_bomb_is_refused_before_memory_is_spent(tmp_path: Path, kind: str) -> None:
    """In a process of its own, which may take 700 MB of private memory: 30,000 × 30,000 would need 2.7 GB."""
    suffix, data = bombs()[kind]
    path = tmp_path / f"a.{suffix}"
    path.write_bytes(data)
    code = f"""
import resource, sys
from pathlib import Path
from eyeline.errors import UnreadablePhoto
from eyeline.workers.examine import examine, identify
import pi_heif, rawpy
resource.setrlimit(resource.RLIMIT_DATA, ({MEMORY}, {MEMORY}))
try:
    frame = identify(Path(sys.argv[1]))
    examine(frame)
except UnreadablePhoto as error:
    print(error.what)
"""
    done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stdout.strip(), "it was not refused"
    if kind in MOST_MILLION_PIXELS:
        assert f"{MOST_MILLION_PIXELS[kind]} million" in done.stdout
