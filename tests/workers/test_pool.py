"""Workers that crash, hang or exhaust memory, for real: a guest measure does it to photos of certain names.

The worker is replaced, the photo tried once more with nothing else in hand, then given up; all others go on.
"""

from __future__ import annotations

import queue
import shutil
import struct
import zlib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from eyeline.errors import EyelineError, WorkerLost
from eyeline.intake.look import look_at
from eyeline.ledger import Ledger, Photo
from eyeline.workers.ingest import Ingest
from eyeline.workers.pool import WorkerPool

pytestmark = pytest.mark.slow

SHOOT = Path(__file__).resolve().parents[2] / "shoot"

BUDGET_SECONDS = 20.0
MEMORY_BYTES = 1_500_000_000
"""Room for the models and a photo of ordinary size, not for 250 million pixels."""

GUEST = """
import os, signal, time
from pathlib import Path
import numpy as np
from eyeline.terms.measurement import FrameMeasure, Measurement, Quantity

LOG = Path({log!r})

def trouble(subject):
    name = subject.frame.path.stem
    seen = LOG.read_text().split() if LOG.exists() else []
    with LOG.open("a") as log:
        log.write(name + "\\n")
    if name == "crashes" or (name == "crashes_once" and name not in seen):
        os.kill(os.getpid(), signal.SIGSEGV)
    if name == "hangs":
        time.sleep(3600)
    if name == "greedy":
        np.ones(2**32)
    return [Measurement("trouble", name)]

MEASURE = FrameMeasure((Quantity("trouble", "word", "none"),), trouble, "common practice")
"""


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A guest measure on the path of every process that is started from here; where it notes its calls."""
    guest = tmp_path / "guest"
    kept = guest / "eyeline_trouble-1.dist-info"
    kept.mkdir(parents=True)
    log = tmp_path / "calls.txt"
    (guest / "eyeline_trouble.py").write_text(GUEST.format(log=str(log)))
    (kept / "METADATA").write_text("Metadata-Version: 2.1\nName: eyeline-trouble\nVersion: 1\n")
    (kept / "entry_points.txt").write_text("[eyeline.measures]\ntrouble = eyeline_trouble:MEASURE\n")
    monkeypatch.syspath_prepend(guest)
    return log


def large_png(path: Path) -> None:
    """15,800 × 15,800 black pixels: under the limit of pixels, 750 MB when decoded, twice that on the way."""
    side = 15_800

    def chunk(name: bytes, content: bytes) -> bytes:
        checksum = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", checksum)

    packer = zlib.compressobj(1)
    rows = b"".join(packer.compress(bytes(1 + 3 * side)) for _ in range(side)) + packer.flush()
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b""))


def test_each_costs_its_own_photo_only(tmp_path: Path, log: Path) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    names = ("crashes", "hangs", "fine", "crashes_once", "greedy", "fine_too")
    photos = [
        Path(shutil.copy(SHOOT / f"NL1_10{10 + number}.jpg", folder / f"{name}.jpg"))
        for number, name in enumerate(names)
    ]
    large_png(folder / "large.png")
    photos.append(folder / "large.png")
    measured: list[str] = []
    failed: dict[str, EyelineError] = {}

    def measure(photo: Photo) -> None:
        measured.append(photo.frame.path.stem)

    def fail(path: Path, error: EyelineError) -> None:
        failed[path.stem] = error

    answers: queue.SimpleQueue[object] = queue.SimpleQueue()
    with (
        Ledger(tmp_path / "ledger.sqlite3", datetime.now(UTC)) as ledger,
        WorkerPool(1, BUDGET_SECONDS, MEMORY_BYTES) as pool,
    ):
        ingest = Ingest(pool, 1, ledger, measure, fail, answers)
        for path in photos:
            look = look_at(path)
            assert look is not None
            assert ingest.take(path, look)
        while len(ingest):
            ingest.receive(answers.get(timeout=240))  # type: ignore[arg-type]
    assert sorted(measured) == ["crashes_once", "fine", "fine_too"], failed
    assert sorted(failed) == ["crashes", "greedy", "hangs", "large"]
    assert all(isinstance(error, WorkerLost) for error in failed.values()), failed
    assert "died" in failed["crashes"].what
    assert "too long" in failed["hangs"].what
    assert "memory" in failed["large"].what
    assert "memory" in failed["greedy"].what
    assert all(error.cure for error in failed.values())
    calls = log.read_text().split()
    assert calls.count("crashes") == 2
    assert calls.count("hangs") == 2
    assert calls.count("greedy") == 2
    assert calls.count("crashes_once") == 2
    assert calls.count("fine") == calls.count("fine_too") == 1
    assert sorted(calls[-4:]) == ["crashes", "crashes_once", "greedy", "hangs"], (
        "the second try was not alone"
    )
