"""The worked example of the metadata contract (section 13) as input, and the steps that tests take."""

import subprocess
from datetime import datetime, timedelta, timezone
from pathlib import Path

from eyeline.exiftool import ExifTool
from eyeline.sidecar.annotate import Request, annotate, withdraw
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.found import Lookup
from eyeline.sidecar.naming import Naming
from eyeline.sidecar.outcome import Outcome
from eyeline.sidecar.ownership import Attests
from eyeline.sidecar.regions import copy_space_region, crop_region, sitter_region
from eyeline.sidecar.written import Written
from eyeline.terms.rectangle import Rectangle

NOW = datetime(2031, 4, 17, 18, 22, 5, tzinfo=timezone(timedelta(hours=2)))
LATER = NOW + timedelta(hours=1)

ORIENTATION = 6  # 6000 x 4000 stored, 4000 x 6000 upright

EXAMPLE = Annotation(
    stars=4,
    keywords=("headshot", "looks camera left", "copy space left"),
    scene_codes=("010100", "010600"),
    regions=(
        crop_region(
            "4:5",
            Rectangle(0.13, 0.05, 0.84, 0.70),
            4000,
            6000,
            best=True,
            name="4:5, eyes on the upper third",
        ),
        crop_region("1:1", Rectangle(0.13, 0.06, 0.84, 0.56), 4000, 6000, best=False),
        sitter_region(Rectangle(0.30, 0.14, 0.36, 0.32)),
        copy_space_region(Rectangle(0.02, 0.04, 0.24, 0.5)),
    ),
    parameters="version 0.1; genre corporate; rules 7c1f02ab; 4 stars: best of its series",
)


def write(
    exiftool: ExifTool,
    photo: Path,
    annotation: Annotation = EXAMPLE,
    last: Written | None = None,
    *,
    orientation: int = ORIENTATION,
    rating_inside: float | None = None,
    naming: Naming = Naming.REPLACE,
    now: datetime = NOW,
    dry_run: bool = False,
    attests: Attests = lambda _: False,
) -> Outcome:
    request = Request(annotation, orientation, now, last, rating_inside, dry_run, attests)
    return annotate(exiftool, Lookup(photo, naming), request)


def edit(sidecar: Path, *assignments: str) -> None:
    """Another program edits the sidecar: a cold ExifTool."""
    done = subprocess.run(
        ["exiftool", "-q", "-n", "-overwrite_original", *assignments, str(sidecar)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def take_back(exiftool: ExifTool, photo: Path, last: Written | None, dry_run: bool = False) -> Outcome:
    return withdraw(exiftool, Lookup(photo, Naming.REPLACE), last, LATER, dry_run=dry_run)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())
