"""Stars that a person gave before eyeline came, and names that occur twice: from real files to sidecars.

Everything is real but the measuring: ExifTool writes the ratings, `identify` reads them, the decider decides.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from eyeline.deciding.decide import Decider
from eyeline.exiftool import ExifTool
from eyeline.ledger import Photo
from eyeline.workers.examine import identify
from tests.deciding.decider import measured, open_decider


def jpeg(path: Path, seed: int = 1) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    noise = np.random.default_rng(seed).integers(0, 256, (80, 120, 3), np.uint8)
    Image.fromarray(noise).save(path)
    return path


def edit(path: Path, *assignments: str) -> None:
    command = ["exiftool", "-q", "-n", "-overwrite_original", *assignments, str(path)]
    subprocess.run(command, check=True, capture_output=True)


def identified(decider: Decider, path: Path) -> Photo:
    """What is invented of `path` is its measures; digest, sizes and what the camera noted are read."""
    photo = measured(decider, path)
    frame = identify(path)
    photo = replace(photo, frame=frame)
    look = decider.ledger.files.known(path)
    assert look is not None
    decider.ledger.photos.record(photo)
    decider.ledger.files.measured(path, look.status, frame.digest, frame.orientation, photo.measured_at)
    return photo


def rating(exiftool: ExifTool, carrier: Path) -> object:
    return exiftool.read(carrier, ("XMP-xmp:Rating",)).get("XMP-xmp:Rating")


@pytest.mark.parametrize(
    "stars",
    [
        ("-IFD0:Rating=3",),
        ("-XMP-xmp:Rating=2",),
        ("-XMP-xmp:Rating=-1",),
        ("-IFD0:Rating=3", "-XMP-xmp:Rating=2"),
    ],
    ids=lambda each: " ".join(each),
)
@pytest.mark.parametrize("write", ["sidecar", "embedded"])
def test_stars_inside_the_file_stay_the_only_ones(
    tmp_path: Path, exiftool: ExifTool, stars: tuple[str, ...], write: str
) -> None:
    path = jpeg(tmp_path / "IMG_1.jpg")
    edit(path, *stars)
    before = rating(exiftool, path)
    with open_decider(tmp_path, exiftool) as decider:
        decider = replace(decider, configuration=replace(decider.configuration, write=write))  # type: ignore[arg-type]
        ((_, decision),) = decider.decide([identified(decider, path)])
    assert rating(exiftool, path) == before
    assert decision.sidecar is not None
    assert rating(exiftool, decision.sidecar) == (before if write == "embedded" else None)
    assert exiftool.read(decision.sidecar, ("XMP-dc:Subject",)), "the rest is written all the same"


@pytest.mark.parametrize("write", ["sidecar", "embedded"])
def test_stars_of_zero_mean_unrated(tmp_path: Path, exiftool: ExifTool, write: str) -> None:
    path = jpeg(tmp_path / "IMG_1.jpg")
    edit(path, "-IFD0:Rating=0", "-XMP-xmp:Rating=0")
    with open_decider(tmp_path, exiftool) as decider:
        decider = replace(decider, configuration=replace(decider.configuration, write=write))  # type: ignore[arg-type]
        ((_, decision),) = decider.decide([identified(decider, path)])
    assert decision.sidecar is not None
    assert rating(exiftool, decision.sidecar) == str(decision.verdict.stars)


def test_stars_that_eyeline_embedded_are_not_a_person_s(tmp_path: Path, exiftool: ExifTool) -> None:
    """Read again, also after a change from embedded to sidecars, they would bind eyeline to itself."""
    path = jpeg(tmp_path / "IMG_1.jpg")
    with open_decider(tmp_path, exiftool) as decider:
        embeds = replace(decider, configuration=replace(decider.configuration, write="embedded"))
        ((_, decision),) = embeds.decide([identified(decider, path)])
        assert rating(exiftool, path) == str(decision.verdict.stars)
        again = identified(decider, path)
        assert again.frame.capture.rating_inside is None
        list(decider.decide([again]))
        assert rating(exiftool, tmp_path / "IMG_1.xmp") == str(decision.verdict.stars)
        edit(path, "-XMP-xmp:Rating=1")
        assert identified(decider, path).frame.capture.rating_inside == 1


def test_both_sidecar_namings_at_once(tmp_path: Path, exiftool: ExifTool) -> None:
    """The one that names this very file is written; stars in the other are a person's all the same."""
    path = jpeg(tmp_path / "IMG_1.jpg")
    replaced, appended = tmp_path / "IMG_1.xmp", tmp_path / "IMG_1.jpg.xmp"
    edit(replaced, "-XMP-xmp:Rating=2")
    edit(appended, "-XMP-dc:Title=theirs")
    before = replaced.read_bytes()
    with open_decider(tmp_path, exiftool) as decider:
        ((_, decision),) = decider.decide([identified(decider, path)])
    assert decision.sidecar == appended
    assert rating(exiftool, appended) is None
    assert replaced.read_bytes() == before


def test_the_same_name_twice(tmp_path: Path, exiftool: ExifTool) -> None:
    """Two cards, two folders, one name: two photos; and a copy of one of them is a file of its own."""
    one, other = jpeg(tmp_path / "a" / "IMG_1.jpg", 1), jpeg(tmp_path / "b" / "IMG_1.jpg", 2)
    (tmp_path / "c").mkdir()
    copy = Path(shutil.copy(one, tmp_path / "c" / "IMG_1.jpg"))
    with open_decider(tmp_path, exiftool) as decider:
        photos = [identified(decider, path) for path in (one, other, copy)]
        digests = [photo.frame.digest for photo in photos]
        list(decider.decide(photos))
    assert digests[0] == digests[2] != digests[1]
    assert all(path.with_suffix(".xmp").is_file() for path in (one, other, copy))
