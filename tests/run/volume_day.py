"""A day of many sitters through the real daemon: `python -m tests.run.volume_day [--sitters 40 --frames 12]`.

Sitters are those of the rendered portraits: where EYELINE_SHARED points to them, of `crowd`, else of the
bundled shoot. Frames are given an order, a camera and times, and arrive one by one: a slate, the sitter's
frames, a pause. Somebody comes late, named by a code; somebody does not come at all; once the slate is
forgotten and the frames are moved. In the end the sitter that each sidecar names is compared with the one in
the picture, and the gaps that were told with those of the report; printed is also how many were told before
the next one sat down.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import cv2
import numpy as np

from tests.cli.conftest import SHOOT, environment, run_here
from tests.waiting import PATIENCE_SECONDS, wait_until

MORNING = datetime(2026, 9, 14, 9, 0, 0)
BRIEF = """\
sitter_list = "sitters.csv"
[[brief]]
genre = "corporate headshot"
per = "sitter"
[[brief]]
genre = "tight close crop"
per = "sitter"
"""
SETTINGS = """\
workers = {workers}
sitter_keyword = "number"
sitting_quiet_seconds = {quiet}
[tell]
desktop = false
file = "told.jsonl"
pause_seconds = {pause}
"""


@dataclass(slots=True)
class Played:
    """What came of the day.

    `meant`: the sitter in each picture, by file name; `named`: the one in its sidecar. `gaps`: (sitter, line)
    of the report in the end; `told`: when each was told; `left`: when the sitter after that one sat down,
    seconds of one clock.
    """

    meant: dict[str, str] = field(default_factory=dict)
    named: dict[str, str | None] = field(default_factory=dict)
    gaps: set[tuple[str, str]] = field(default_factory=set)
    told: dict[tuple[str, str], float] = field(default_factory=dict)
    left: dict[str, float] = field(default_factory=dict)

    @property
    def wrong(self) -> list[str]:
        """Frames at another sitter than the one in the picture."""
        return [name for name, sitter in self.meant.items() if self.named.get(name) != sitter]

    @property
    def in_time(self) -> set[tuple[str, str]]:
        """Gaps that were told before the next one sat down."""
        return {gap for gap in self.gaps if self.told.get(gap, 1e300) < self.left.get(gap[0], 1e300)}


def sitters(count: int, frames: int) -> list[list[Path]]:
    """`frames` pictures of each of `count` sitters."""
    shared = Path(os.environ.get("EYELINE_SHARED", "/nowhere")) / "portraits/crowd"
    folder = shared if count > 5 and shared.is_dir() else SHOOT
    of: dict[str, list[Path]] = defaultdict(list)
    for line in (folder / "truth.jsonl").read_text().splitlines():
        told = json.loads(line)
        if told["people_count"] == 1:
            of[told["people"][0]["sitter"]].append(folder / told["file"])
    found = [paths[:frames] for paths in of.values() if len(paths) >= frames][:count]
    if len(found) < count:
        raise SystemExit(f"only {len(found)} sitters with {frames} frames; set EYELINE_SHARED for more")
    return found


def draw_slate(path: Path, words: str, is_code: bool) -> None:
    """A grey frame with a white card, on which stands a number or a QR code."""
    frame = np.full((800, 1200), 120, np.uint8)
    frame[150:650, 300:900] = 250
    if is_code:
        code = cv2.QRCodeEncoder.create().encode(words)
        side = 16 * code.shape[0]
        top, left = (800 - side) // 2, (1200 - side) // 2
        frame[top : top + side, left : left + side] = cv2.resize(
            code, (side, side), interpolation=cv2.INTER_NEAREST
        )
    else:
        cv2.putText(frame, words, (430, 500), cv2.FONT_HERSHEY_SIMPLEX, 8, 20, 20)
    cv2.imwrite(str(path), frame)


@dataclass(slots=True)
class Staged:
    """Files with order, camera and times, ready to arrive."""

    folder: Path
    arguments: list[str] = field(default_factory=list)
    count: int = 0
    moment: datetime = MORNING

    def add(self, fill: Callable[[Path], object], after_s: float) -> Path:
        self.count += 1
        self.moment += timedelta(seconds=after_s)
        path = self.folder / f"NL1_{self.count:04}.jpg"
        fill(path)
        at = f"{self.moment:%Y:%m:%d %H:%M:%S}"
        self.arguments += ["-overwrite_original", "-q", "-P", f"-DateTimeOriginal={at}", f"-CreateDate={at}"]
        self.arguments += ["-SubSecTimeOriginal=", "-SerialNumber=1001", "-XMP:all=", str(path), "-execute"]
        return path

    def finish(self) -> None:
        subprocess.run(["exiftool", "-@", "-"], input="\n".join(self.arguments), text=True, check=True)


def play(home: Path, count: int, frames: int, pause_s: float) -> Played:
    """Let the day happen; see this page's head."""
    day = Played()
    job, staging = home / "job", home / "staging"
    job.mkdir()
    staging.mkdir()
    (job / "eyeline.toml").write_text(BRIEF)
    (job / "sitters.csv").write_text(
        "".join(f"{number},Sitter {number} Example\n" for number in range(1, count + 1))
    )
    late, absent, forgotten = (4, 0, 2) if count < 8 else (count // 2, count - 3, count // 4)
    order = [number for number in range(1, count + 1) if number not in (late, absent)]
    order.insert(order.index(late + 1) + 1, late)
    staged, turns = Staged(staging), list[tuple[int, Path | None, list[Path]]]()
    for number, pictures in zip(order, sitters(count, frames), strict=False):
        slate = None
        if number != forgotten:
            is_code = number in (late, late + 1, absent + 1)
            slate = staged.add(lambda path, n=number, c=is_code: draw_slate(path, str(n), c), 30.0)
        own = [staged.add(lambda path, p=picture: shutil.copyfile(p, path), 4.0) for picture in pictures]
        day.meant |= {path.name: str(number) for path in own}
        turns.append((number, slate, own))
    staged.finish()
    (home / "config.toml").write_text(
        SETTINGS.format(workers=1 if count < 8 else 2, quiet=4 * pause_s, pause=pause_s)
    )
    with subprocess.Popen(
        [sys.executable, "-m", "eyeline", "watch", job, "--config", home / "config.toml"],
        env=environment(home),
        stdout=(home / "out.txt").open("w"),
    ) as daemon:
        try:
            wait_until(lambda: "Watching" in (home / "out.txt").read_text())
            before = None
            for number, slate, own in turns:
                day.left[str(before)] = time.time()
                for path in [*([slate] if slate is not None else []), *own]:
                    shutil.copyfile(path, job / path.name)
                wait_until(lambda own=own: {path.name for path in own} <= _verdicts(home))
                if number == forgotten:
                    files = [job / path.name for path in own]
                    ran = run_here(home, "sitter", str(number), *files, "--config", home / "config.toml")
                    assert ran.returncode == 0, ran.stderr
                time.sleep(3 * pause_s)
                before = number
            wait_until(lambda: all((job / name).with_suffix(".xmp").exists() for name in day.meant))
            time.sleep(8 * pause_s)  # what was moved is written once more
        finally:
            daemon.terminate()
            daemon.wait(PATIENCE_SECONDS)
    for name in day.meant:
        named = re.search(r"<rdf:li>sitter (\w+)</rdf:li>", (job / name).with_suffix(".xmp").read_text())
        day.named[name] = named[1] if named is not None else None
    report = json.loads(run_here(home, "brief", job, "--json", "--config", home / "config.toml").stdout)
    for sitter in report["sitters"]:
        if sitter["frames"]:
            day.gaps |= {(sitter["sitter"], line["called"]) for line in sitter["lines"] if not line["there"]}
    for told in _told(home):
        if told["kind"] == "line empty":
            moment = datetime.fromisoformat(told["at"]).timestamp()
            day.told.setdefault((told["sitter"].split()[0], told["line"]), moment)
    return day


def _told(home: Path) -> Sequence[dict[str, str]]:
    file = home / "told.jsonl"
    lines = file.read_text().splitlines() if file.exists() else []
    return [json.loads(line) for line in lines]


def _verdicts(home: Path) -> set[str]:
    return {Path(told["file"]).name for told in _told(home) if told["kind"] == "frame judged"}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.run.volume_day", description=__doc__)
    parser.add_argument("--sitters", type=int, default=40)
    parser.add_argument("--frames", type=int, default=12)
    parser.add_argument("--pause", type=float, default=1.5, help="seconds after which gaps are told")
    arguments = parser.parse_args()
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as home:
        day = play(Path(home), arguments.sitters, arguments.frames, arguments.pause)
    right = len(day.meant) - len(day.wrong)
    print(f"frames at the right sitter: {right} of {len(day.meant)}; wrong: {day.wrong[:9]}")
    print(f"gaps of the day: {len(day.gaps)}; told: {len(day.gaps & day.told.keys())}")
    print(f"told before the next one sat down: {len(day.in_time)}; not: {sorted(day.gaps - day.in_time)[:9]}")
    print(f"told, and filled in the end: {sorted(day.told.keys() - day.gaps)[:9]}")
    print(f"the day took {time.monotonic() - began:.0f} s")
    if day.wrong or day.gaps - day.in_time:
        raise SystemExit("verdict: missed; what is not as it should be stands above")
    print("verdict: met; every frame is at its sitter, every gap was told before the next one sat down")


if __name__ == "__main__":
    main()
