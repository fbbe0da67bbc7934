"""Workers that crash, hang or exhaust memory, for real: a guest measure does it to photos of certain names.

The worker is replaced, the photo measured once more with nothing else in hand and without the measures of
plug-ins; if that fails as well, it is given up. All others go on.
"""

from __future__ import annotations

import queue
import shutil
import struct
import zlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from eyeline.errors import EyelineError, WorkerLost
from eyeline.intake.status import status_of
from eyeline.ledger import Ledger, Photo
from eyeline.workers.engine import Engine
from eyeline.workers.examine import LEFT_OUT
from eyeline.workers.ingest import Ingest
from eyeline.workers.pool import WorkerPool
from tests.stations.cluster import stations

pytestmark = pytest.mark.slow

SHOOT = Path(__file__).resolve().parents[2] / "shoot"

BUDGET_SECONDS = 20.0
MEMORY_BYTES = 900_000_000
"""Room for the models and a photo of ordinary size, not for 144 million pixels."""

ALONE_BYTES = 1_100_000_000
"""The same for the second try."""

FATAL = ("crashes", "hangs", "greedy")
"""Photos over which the plug-in takes its worker along: as many as it takes to leave it out."""

GUEST = """
import os, signal, time
from pathlib import Path
import numpy as np
from eyeline.terms.measurement import FrameMeasure, Measurement, Quantity

LOG = Path({log!r})

def trouble(subject):
    name = subject.frame.path.stem
    with LOG.open("a") as log:
        log.write(name + "\\n")
    if name == "exits":
        raise SystemExit(0)
    if name == "crashes":
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
    """12,000 × 12,000 black pixels: under the limit of pixels, 430 MB decoded, thrice that on the way."""
    side = 12_000

    def chunk(name: bytes, content: bytes) -> bytes:
        checksum = zlib.crc32(name + content)
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", checksum)

    packer = zlib.compressobj(1)
    rows = b"".join(packer.compress(bytes(1 + 3 * side)) for _ in range(side)) + packer.flush()
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b""))


IN_SHORT = ("crashes", "fine", "greedy", "fine_too")
"""What is tried of stations in CI; the others too with `--engine dask`."""


@contextmanager
def processes(pool: WorkerPool, *_: Path) -> Iterator[Engine]:
    yield pool


@pytest.mark.parametrize("engine_of", [processes, stations])
def test_each_costs_its_own_photo_only(
    tmp_path: Path,
    log: Path,
    engine_of: Callable[..., AbstractContextManager[Engine]],
    request: pytest.FixtureRequest,
) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    names: tuple[str, ...] = ("crashes", "exits", "fine", "hangs", "fine_too", "greedy", "fine_without")
    if engine_of is stations and request.config.getoption("--engine") == "processes":
        names = IN_SHORT
    photos = [
        Path(shutil.copy(SHOOT / f"NL1_10{10 + number}.jpg", folder / f"{name}.jpg"))
        for number, name in enumerate(names)
    ]
    large_png(folder / "large.png")
    photos.append(folder / "large.png")
    missing: dict[str, str | None] = {}
    failed: dict[str, EyelineError] = {}

    def measure(photo: Photo) -> None:
        (trouble,) = (each for each in photo.measurements if each.name == "trouble")
        missing[photo.frame.path.stem] = trouble.missing

    def fail(path: Path, error: EyelineError) -> None:
        failed[path.stem] = error

    answers: queue.SimpleQueue[object] = queue.SimpleQueue()
    with (
        Ledger(tmp_path / "ledger.sqlite3", datetime.now(UTC)) as ledger,
        WorkerPool(1, BUDGET_SECONDS, MEMORY_BYTES, ALONE_BYTES) as pool,
        engine_of(pool, folder) as engine,
    ):
        ingest = Ingest(engine, ledger, measure, fail, answers)
        for path in photos:
            look = status_of(path)
            assert look is not None
            assert ingest.take(path, look)
            while len(ingest):
                ingest.receive(answers.get(timeout=240))  # type: ignore[arg-type]
    assert sorted(missing) == sorted(names), failed
    assert sorted(failed) == ["large"]
    assert isinstance(failed["large"], WorkerLost)
    assert "memory" in failed["large"].what
    assert failed["large"].cure
    left_out = {name for name in names if missing[name] == LEFT_OUT}
    assert left_out == set(names) & {*FATAL, "fine_without"}
    assert "exits" not in names or "SystemExit" in str(missing["exits"])
    assert missing["fine"] is missing["fine_too"] is None
    assert sorted(log.read_text().split()) == sorted(set(names) - {"fine_without"}), "once a photo, if at all"
