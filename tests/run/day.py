"""A day with many sitters in which nothing is measured: frames of numbers arrive, time is the test's.

All is real but the pixels and the clock: ledger, folder file, list, early verdicts, announcements, sidecars.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest import mock

from eyeline.deciding.judge_folder import photos_in
from eyeline.deciding.seating import sitters_in
from eyeline.exiftool import ExifTool
from eyeline.ledger.records import Photo
from eyeline.measuring.catalogue import MEASURES_EDITION
from eyeline.run import attention as room
from eyeline.run.announcements import Announcement, Announcements
from eyeline.run.attention import Attention
from eyeline.settings.configuration import Configuration, Tell
from eyeline.settings.folder_file import FILE_NAME
from eyeline.terms.file_status import FileStatus
from eyeline.terms.frame import Capture, Frame
from eyeline.terms.measurement import Value
from tests.deciding.decider import open_decider
from tests.judging.photos import photo as portrait
from tests.judging.photos import sitter as points_of

MORNING = datetime(2026, 9, 14, 9, 0, 0)
BANNER: dict[str, Value] = {
    "gaze": "right",
    "gaze_yaw_deg": 25.0,
    "head_yaw_deg": 22.0,
    "copy_space": "right",
    "copy_space_right": 0.3,
    "copy_space_contrast": 9.0,
}
"""A landscape frame that looks camera right, with room for copy there; all others are headshots."""


class Heard(Announcements):
    """Announcements that are heard at once, in the test's own thread."""

    def __init__(self) -> None:
        super().__init__()
        self.all: list[Announcement] = []

    def tell(self, announcement: Announcement) -> None:
        self.all.append(announcement)


class Day:
    """A job folder with its brief. `now_s`: the machine's clock; the camera's is ahead of it by so much."""

    def __init__(self, folder: Path, decider: Any) -> None:
        self.folder, self.decider = folder, decider
        self.news = Heard()
        self.rejudged: list[Path] = []
        session = SimpleNamespace(ledger=decider.ledger, decider=decider, configuration=decider.configuration)
        self.attention = Attention(session, self.rejudged.append, self.news)  # type: ignore[arg-type]
        self.attention._early._clock = lambda: 0.0  # judging takes no time, however busy the machine is
        self.now_s = 0.0
        self.camera_ahead_s = 0.0
        self.count = 0
        self.meant: dict[str, str | None] = {}

    def frame(self, sitter: str | None, after_s: float = 4.0, **changed: Value) -> Path:
        """A frame arrives that shows `sitter`; a slate where None is given and `people` is 0."""
        self.now_s += after_s
        self.count += 1
        path = self.folder / f"NL1_{self.count:04}.jpg"
        self.attention.noticed(path)
        taken = (MORNING + timedelta(seconds=self.now_s + self.camera_ahead_s)).isoformat(
            timespec="milliseconds"
        )
        is_banner = changed.get("copy_space") == "right"
        width, height = (3000, 2000) if is_banner else (1600, 2000)
        points = points_of(0.34, 0.36, 0.3, width, height) if is_banner else points_of(0.34, 0.44)
        measured = portrait(points, width, height, **{"people": 1, **changed})
        path.write_bytes(f"photo {self.count}".encode())
        capture = Capture(taken, serial="1")
        frame = Frame(path, f"digest {self.count}", width, height, width, height, 1, capture)
        photo = Photo(
            frame,
            tuple(measured.values()),
            points if changed.get("people") != 0 else None,
            "",
            {},
            datetime.now(UTC),
            MEASURES_EDITION,
        )
        stamp, now = FileStatus.of(path.stat()), datetime.now(UTC)
        ledger = self.decider.ledger
        ledger.files.remember(path, stamp, now)
        ledger.photos.record(photo)
        ledger.files.measured(path, stamp, frame.digest, 1, now)
        with self._clock():
            self.attention.measured(photo)
        self.turn()
        if changed.get("people") != 0:
            self.meant[path.name] = sitter
        return path

    def slate(self, code: str | None = None) -> Path:
        """A slate is held up."""
        said: dict[str, Value] = {"slate_code": code} if code is not None else {}
        return self.frame(None, 30.0, people=0, background_lightness=60.0, **said)

    def pause(self, seconds: float = 15.0) -> None:
        """Nobody takes a picture."""
        self.now_s += seconds
        self.turn()

    def move(self, sitter: str, frames: Sequence[Path]) -> None:
        """Frames are said to be of another sitter."""
        with self._clock():
            self.attention.move(sitter, frames)

    def turn(self) -> None:
        """The daemon's loop turns once, everything that arrived being measured."""
        with self._clock():
            self.attention.turn(is_idle=True)

    def _clock(self) -> Any:
        return mock.patch.object(room.time, "monotonic", lambda: self.now_s)

    def told(self, kind: type[Announcement]) -> list[Announcement]:
        return [each for each in self.news.all if isinstance(each, kind)]

    def seated(self) -> dict[str, str | None]:
        """Who sits in each portrait, as eyeline has it now."""
        seats = self.decider.folder_rules(self.folder).seats
        labels = sitters_in(seats, self.decider.ledger)
        return {name: labels.get(self.folder / name) for name in self.meant}

    def written(self) -> None:
        """The sidecars are written."""
        for _ in self.decider.decide(photos_in(self.decider.ledger, self.folder), only_new=True):
            pass


@contextmanager
def day(
    home: Path, exiftool: ExifTool, brief: str, sitters: str = "", keyword: str = "number"
) -> Iterator[Day]:
    """A day whose folder has `brief` and a list of `sitters`."""
    folder = home / "job"
    folder.mkdir()
    (folder / FILE_NAME).write_text(brief)
    (folder / "list.csv").write_text(sitters)
    with open_decider(home, exiftool) as decider:
        configuration: Configuration = replace(
            decider.configuration, sitter_keyword=keyword, tell=Tell(pause_seconds=10.0)
        )
        yield Day(folder, replace(decider, configuration=configuration))
