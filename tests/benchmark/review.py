"""What the page costs: `python -m tests.benchmark.review [--frames 500 2000 10000] [--one-folder]`.

The bundled shoot is measured once and entered into a ledger as often as it takes, each copy with pictures and
a time of its own; nothing of it is opened again. `eyeline review` then runs over it as a process of its own.
Told are, for each number of frames: seconds of processor time, all threads and the start included, until the
first picture is answered, then until the first brief, and until all frames lie on the table; the process'
largest memory, at first and with every view asked for; and for each view the processor time that one answer
takes, median and worst of ROUNDS. Tuning asks for another range each time. Prints a table; asserts no time.
"""

from __future__ import annotations

import argparse
import http.client
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from hashlib import blake2b
from pathlib import Path

from eyeline.ledger.records import Photo
from eyeline.pages.review.spread import key_of
from eyeline.previews.drawing import Kind
from eyeline.run.card_reader import bundled_photos
from eyeline.run.once import Listener, run_once
from eyeline.run.session import Session, open_session
from eyeline.settings.configuration import load_configuration
from eyeline.terms.file_status import FileStatus
from tests.cli.conftest import environment

ROUNDS = 7
IN_A_FOLDER = 500
SETTINGS = 'workers = 1\nledger = "ledger.sqlite3"\nrules = "rules"\npreviews = "previews"\n'


@dataclass(frozen=True)
class Costs:
    """`picture_s`, `brief_s`, `laid_s`: processor time of the process by then. `first_mb`: memory before a
    frame is laid. `views`: processor ms of one answer, median and worst."""

    frames: int
    picture_s: float
    brief_s: float
    laid_s: float
    first_mb: float
    memory_mb: float
    views: dict[str, tuple[float, float]]

    @property
    def kb_a_frame(self) -> float:
        """What a frame adds to the largest memory."""
        return (self.memory_mb - self.first_mb) * 1024 / self.frames


def shoot_of(home: Path, count: int, one_folder: bool = False) -> list[Path]:
    """A ledger in `home` with `count` frames under `home/shoots`, as if all were measured and written."""
    (home / "config.toml").write_text(SETTINGS)
    configuration = load_configuration(home / "config.toml")
    first = home / "first"
    first.mkdir()
    for path in bundled_photos():
        os.link(path, first / path.name) if _same_disk(path, home) else _copy(path, first / path.name)
    with open_session(configuration, [first], (), True, lambda _: None) as session:
        run_once(session, [first], Listener(lambda _: None, _nothing, _nothing))
    return many(home, first, count, one_folder)


def many(home: Path, first: Path, count: int, one_folder: bool = False) -> list[Path]:
    """Enter what was measured in the folder `first` into the ledger of `home` until there are `count`."""
    configuration = load_configuration(home / "config.toml")
    with open_session(configuration, [first], (), True, lambda _: None) as session:
        photos = session.ledger.photos.in_folder(first)
        of = len(photos)
        with session.ledger.transaction():
            return [_entered(session, home, photos[n % of], n, of, one_folder) for n in range(count)]


def _entered(session: Session, home: Path, photo: Photo, number: int, of: int, one_folder: bool) -> Path:
    folder = home / "shoots" / (f"{number // IN_A_FOLDER:03}" if not one_folder else "all")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"NL_{number:06}.jpg"
    path.write_bytes(b"x")
    digest = blake2b(path.name.encode()).hexdigest()
    taken = photo.frame.capture.taken_at
    moved = None
    if taken is not None:
        moment = datetime.fromisoformat(taken[:19]) + timedelta(hours=2 * (number // of))
        moved = moment.isoformat() + taken[19:]
    capture = replace(photo.frame.capture, taken_at=moved)
    frame = replace(photo.frame, path=path, digest=digest, capture=capture)
    now, status, ledger = datetime.now(UTC), FileStatus.of(path.stat()), session.ledger
    ledger.files.remember(path, status, now)
    ledger.photos.record(replace(photo, frame=frame))
    ledger.files.measured(path, status, digest, frame.orientation, now)
    ledger.files.written(path, now)
    previews = session.configuration.small_versions
    for kind in Kind:
        kept = previews.file(photo.frame.digest, photo.frame.orientation, kind)
        if kept is not None:
            link = previews.folder / digest[:2] / f"{digest}-{frame.orientation}.{kind}.jpg"
            link.parent.mkdir(exist_ok=True)
            os.link(kept, link)
    return path


def costs(home: Path, paths: Sequence[Path]) -> Costs:
    """Run the page over `paths` and ask it."""
    with served(home) as (process, host, cookie):
        first_mb = largest_mb(process.pid)

        def answered(address: str) -> http.client.HTTPResponse:
            connection = http.client.HTTPConnection(host, timeout=600)
            connection.request("GET", address, headers={"Cookie": cookie})
            return connection.getresponse()

        def ask(address: str) -> bytes:
            answer = answered(address)
            body = answer.read()
            answer.close()
            return body if answer.status == 200 else b""

        while (shown := answered("/frames")).status != 303:
            time.sleep(0.05)
        first = (shown.getheader("location") or "").rpartition("/")[2]
        assert ask(f"/picture/{first}/large")[:2] == b"\xff\xd8"
        picture_s = processor_ms(process.pid) / 1000
        assert b"<h1" in ask("/")
        brief_s = processor_ms(process.pid) / 1000
        told = answered("/live")
        while f'"frames": {len(paths)},'.encode() not in told.readline():
            pass
        laid_s = processor_ms(process.pid) / 1000
        told.close()
        frame = key_of(paths[len(paths) // 2])
        views = {}
        for name, address in (
            ("brief", "/"),
            ("frame", f"/frame/{frame}"),
            ("crop", f"/crop/{frame}/4x5"),
            ("set aside", "/aside"),
            ("tune", "/tune?genre=corporate+headshot&low.headroom={}"),
            ("tune, judged", "/tune/judged?genre=corporate+headshot&low.headroom={}"),
        ):
            taken = []
            for round_ in range(ROUNDS):
                before = processor_ms(process.pid)
                ask(address.format(5 - round_ / 10))
                taken.append(processor_ms(process.pid) - before)
            views[name] = statistics.median(taken), max(taken)
        most_mb = largest_mb(process.pid)
        return Costs(len(paths), picture_s, brief_s, laid_s, first_mb, most_mb, views)


@contextmanager
def served(home: Path) -> Iterator[tuple[subprocess.Popen[str], str, str]]:
    """`eyeline review` over the shoots in `home`: process, host, cookie."""
    command = [sys.executable, "-m", "eyeline", "review", home / "shoots", "--config", home / "config.toml"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment(home)) as process:
        try:
            assert process.stdout is not None
            address = next(found[0] for line in process.stdout if (found := re.search(r"http://\S+", line)))
            host = address.split("/")[2]
            connection = http.client.HTTPConnection(host, timeout=60)
            connection.request("GET", "/" + address.split("/", 3)[3])
            cookie = (connection.getresponse().getheader("set-cookie") or "").split(";")[0]
            yield process, host, cookie
        finally:
            process.terminate()
            process.wait(60)


def processor_ms(pid: int) -> float:
    """Processor time of all threads of a process so far (proc(5), stat)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def largest_mb(pid: int) -> float:
    """The most memory that a process has had (proc(5), VmHWM)."""
    found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{pid}/status").read_text())
    assert found is not None
    return int(found[1]) / 1024


def _same_disk(path: Path, home: Path) -> bool:
    return path.stat().st_dev == home.stat().st_dev


def _copy(path: Path, target: Path) -> None:
    target.write_bytes(path.read_bytes())


def _nothing(*_: object) -> None:
    pass


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--frames", nargs="+", type=int, default=[500, 2_000, 10_000])
    parser.add_argument("--one-folder", action="store_true")
    arguments = parser.parse_args()
    for number, count in enumerate(arguments.frames):
        with tempfile.TemporaryDirectory(prefix="eyeline-") as folder:
            found = costs(Path(folder), shoot_of(Path(folder), count, arguments.one_folder))
        if not number:
            views = " | ".join(f"{each}, ms (worst)" for each in found.views)
            print(
                "| frames | first picture, s | first brief, s | all laid, s | MB at first | MB at most "
                f"| kB a frame | {views} |"
            )
            print("| --- " * (7 + len(found.views)) + "|")
        views = " | ".join(f"{median:.0f} ({worst:.0f})" for median, worst in found.views.values())
        print(
            f"| {count} | {found.picture_s:.1f} | {found.brief_s:.1f} | {found.laid_s:.1f} "
            f"| {found.first_mb:.0f} | {found.memory_mb:.0f} | {found.kb_a_frame:.0f} | {views} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
