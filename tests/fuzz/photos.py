"""Mutated photos of every kind through the workers: a frame that is measured, or one clear message."""

from __future__ import annotations

import io
import os
import random
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
from PIL import Image

from eyeline.errors import UnreadablePhoto, WorkerLost
from eyeline.terms.frame import Frame
from eyeline.workers.examine import Examined
from eyeline.workers.pool import WorkerPool, outcome
from tests.cli.conftest import SHOOT
from tests.crashes.ingest import children
from tests.fuzz.figures import Figures, resident_mib
from tests.fuzz.mutate import binary
from tests.reading.dng import dng
from tests.reading.raw_layouts import LAYOUTS

SIZE_PX = (420, 280)
"""Small enough for thousands of cases, large enough for a face to be found."""

UNFORESEEN = "measuring it failed"
"""How `outcome` begins what it says of an exception that nobody foresaw."""


@cache
def examples() -> dict[str, bytes]:
    """A whole photo of each kind, by suffix."""
    with Image.open(SHOOT / "NL1_1002.jpg") as opened:
        exif = opened.getexif().tobytes()
        picture = opened.convert("RGB").resize(SIZE_PX, Image.Resampling.LANCZOS)
    rgb = np.asarray(picture)
    jpeg = _saved(picture, "JPEG", exif=exif, comment=b"drawn")
    deep = cv2.imencode(".tif", rgb[..., ::-1].astype(np.uint16) * 257)[1]
    heic = io.BytesIO()
    pillow_heif.from_pillow(picture).save(heic, quality=80)
    examples = {
        "jpg": jpeg,
        "progressive.jpg": _saved(picture, "JPEG", progressive=True),
        "cmyk.jpg": _saved(picture.convert("CMYK"), "JPEG"),
        "png": _saved(picture, "PNG"),
        "tif": _saved(picture, "TIFF", compression="tiff_lzw"),
        "deep.tif": bytes(deep),
        "heic": heic.getvalue(),
        "dng": dng(rgb),
        "preview.dng": dng(rgb, jpeg, SIZE_PX),
    }
    return examples | {suffix: layout(jpeg, 1) for suffix, layout in LAYOUTS.items()}


def _saved(picture: Image.Image, form: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, form, **options)
    return buffer.getvalue()


def fuzz_photos(folder: Path, cases: int, seed: int) -> Figures:
    """Identify and measure `cases` mutated photos, kinds by turns."""
    figures = Figures("photos", seed)
    kinds = list(examples().items())
    with WorkerPool(1) as pool:
        for case in range(cases):
            suffix, whole = kinds[case % len(kinds)]
            data = binary(whole, random.Random(f"{seed} {case}"))
            path = folder / f"{case}.{suffix}"
            path.write_bytes(data)
            end = outcome(path, pool.identify(path))
            if isinstance(end, Frame):
                end = outcome(path, pool.examine(end))
            what = f"photo {case} ({suffix}): {end}"
            if isinstance(end, Examined):
                figures.outcomes["measured"] += 1
            elif isinstance(end, WorkerLost):
                (figures.hangs if "too long" in end.what else figures.crashes).append(what)
            elif not isinstance(end, UnreadablePhoto) or end.what.startswith(UNFORESEEN) or not end.cure:
                figures.crashes.append(what)
            else:
                figures.outcomes["unreadable"] += 1
            if path.read_bytes() != data or list(folder.iterdir()) != [path]:
                figures.altered.append(what)
            path.unlink()
            figures.resident_mib.append(max(map(resident_mib, children(os.getpid(), "worker")), default=0.0))
    return figures
