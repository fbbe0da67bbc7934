"""Invented files, photos and decisions."""

from datetime import UTC, datetime
from pathlib import Path

from eyeline.ledger import Decision, Outcome, Photo
from eyeline.terms.file_status import FileStatus
from eyeline.terms.frame import Capture, Frame
from eyeline.terms.measurement import Measurement
from eyeline.terms.points import Points
from eyeline.terms.verdict import Verdict

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
STAMP = FileStatus(size=1000, mtime_ns=1_700_000_000_000_000_001, inode=2**64 - 1, device=5)
VERDICT = Verdict("corporate headshot", 0.7, 3, ("headshot",), (), (("corporate headshot", 0.7),), "r1")
FOLDER = Path("/photos/one")


def photo(path: Path = FOLDER / "a.jpg", digest: str = "d1", orientation: int = 1) -> Photo:
    return Photo(
        Frame(path, digest, 4000, 6000, 6000, 4000, orientation, Capture(make="Brand", rating_inside=0.0)),
        (Measurement("eye_line", 0.34), Measurement("lead_room", None, "the gaze meets the lens")),
        Points((0.4, 0.3), (0.6, 0.3), (0.5, 0.6), False, 0.1, False, None, 0.3, 0.7),
        "the only face",
        {"read": 12.5},
        NOW,
        1,
    )


def decision(
    path: Path = FOLDER / "a.jpg",
    digest: str = "d1",
    outcome: Outcome = Outcome.WRITTEN,
    stars: int | None = 3,
) -> Decision:
    verdict = Verdict("corporate headshot", 0.7, stars, ("headshot",), (), (), "r1")
    return Decision(path, digest, verdict, outcome, NOW, sidecar=path.with_suffix(".xmp"))
