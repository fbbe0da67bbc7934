"""Photos of every kind through the real command line and through the measures.

Checked against the same frame as a JPEG: its decoded pixels, written losslessly by another program or put
into a DNG as they are, must measure the same number for number.
"""

from __future__ import annotations

import io
import json
import struct
import time
import zlib
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pillow_heif
import pytest
from numpy.typing import NDArray
from PIL import Image

from eyeline.intake.identity import image_digest
from eyeline.workers.examine import Examined, examine, identify
from tests.cli.conftest import SHOOT, copy_frames, run_here
from tests.cli.test_watch import SETTINGS, daemon, stop
from tests.reading.dng import dng
from tests.waiting import wait_until

pytestmark = pytest.mark.slow

FRAME = "NL1_1002.jpg"

FROM_THE_CAMERA = {"camera_height", "subject_distance_m", "clipping_source"}
"""What is told by capture data, which these files have not, and what differs on purpose."""


@cache
def upright() -> NDArray[np.uint8]:
    """The frame, decoded by OpenCV (which turns it by EXIF), RGB."""
    return np.asarray(cv2.cvtColor(cv2.imread(str(SHOOT / FRAME)), cv2.COLOR_BGR2RGB), np.uint8)


@cache
def as_jpeg() -> Examined:
    return examine(identify(SHOOT / FRAME))


def png(rgb: NDArray[np.generic]) -> bytes:
    return bytes(cv2.imencode(".png", rgb[..., ::-1])[1])


def tiff(rgb: NDArray[np.generic]) -> bytes:
    return bytes(cv2.imencode(".tif", rgb[..., ::-1])[1])


def heic(rgb: NDArray[np.uint8]) -> bytes:
    target = io.BytesIO()
    pillow_heif.from_pillow(Image.fromarray(rgb)).save(target, quality=95)
    return target.getvalue()


def raw(rgb: NDArray[np.uint8]) -> bytes:
    return dng(rgb, (SHOOT / FRAME).read_bytes(), Image.open(SHOOT / FRAME).size)


EXACT = {
    "png": lambda: png(upright()),
    "tif": lambda: tiff(upright().astype(np.uint16) * 257),
    "dng": lambda: raw(upright()),
}


@pytest.mark.parametrize("suffix", EXACT)
def test_the_same_pixels_measure_the_same_in_every_kind(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"{Path(FRAME).stem}.{suffix}"
    path.write_bytes(EXACT[suffix]())
    examined = examine(identify(path))
    want, found = as_jpeg().measurements, examined.measurements
    assert want.keys() == found.keys()
    differing = {
        name: (want[name], found[name]) for name in want.keys() - FROM_THE_CAMERA if want[name] != found[name]
    }
    assert differing == {}
    assert found["clipping_source"].value == ("preview" if suffix == "dng" else "file")
    assert examined.points == as_jpeg().points


def bomb() -> bytes:
    def chunk(name: bytes, content: bytes) -> bytes:
        checksum = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", checksum)

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


def run(home: Path, folder: Path) -> tuple[int, dict[str, dict[str, Any]], str]:
    ran = run_here(home, "run", folder, "--json")
    lines = [json.loads(line) for line in ran.stdout.splitlines()]
    return ran.returncode, {str(Path(line["file"]).relative_to(folder)): line for line in lines}, ran.stderr


def test_a_folder_of_all_kinds(tmp_path: Path) -> None:
    """RAW and JPEG in sibling folders get one verdict, a HEIC its own, a bomb one message."""
    home, folder = tmp_path / "home", tmp_path / "shoot"
    home.mkdir()
    copy_frames(folder / "JPG", FRAME)
    (folder / "RAW").mkdir()
    (folder / "RAW" / "NL1_1002.DNG").write_bytes(raw(upright()))
    (folder / "NL1_1031.heic").write_bytes(heic(upright()))
    (folder / "bomb.png").write_bytes(bomb())
    originals = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    code, decided, told = run(home, folder)
    assert code == 1
    assert "bomb.png" in told
    assert "181 million" in told
    assert sorted(decided) == ["JPG/NL1_1002.jpg", "NL1_1031.heic", "RAW/NL1_1002.DNG"]
    jpeg, dng_file = decided["JPG/NL1_1002.jpg"], decided["RAW/NL1_1002.DNG"]
    assert jpeg["reasons"] == dng_file["reasons"]
    assert jpeg["stars"] == dng_file["stars"]
    sidecars = sorted(str(path.relative_to(folder)) for path in folder.rglob("*.xmp"))
    assert sidecars == ["JPG/NL1_1002.xmp", "NL1_1031.xmp", "RAW/NL1_1002.xmp"]
    assert {path: path.read_bytes() for path in originals} == originals


def test_the_daemon_embeds_once_and_is_not_woken_by_itself_for_ever(tmp_path: Path) -> None:
    """Its own write is an event on a watched photo: taken in, found unchanged, left alone."""
    card = tmp_path / "card"
    card.mkdir()
    (tmp_path / "config.toml").write_text(SETTINGS + 'write = "embedded"\n')
    with daemon(tmp_path, card) as process:
        (frame,) = copy_frames(card, "NL1_1005.jpg")
        before = frame.read_bytes()
        wait_until(lambda: frame.read_bytes() != before)
        written = frame.stat()
        time.sleep(6)  # several quiet times: a second write would have come by now
        assert (frame.stat().st_ino, frame.stat().st_mtime_ns) == (written.st_ino, written.st_mtime_ns)
        assert stop(process) == 0
    assert image_digest(frame.read_bytes()) == image_digest(before)
    assert [path.name for path in card.iterdir()] == [frame.name]
    assert (tmp_path / "err.txt").read_text() == ""
