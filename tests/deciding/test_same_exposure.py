"""RAW and JPEG of one exposure through the decider: one verdict, each file's own regions. Everything is real
but the measuring.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from eyeline.deciding.decide import Decider
from eyeline.deciding.same_exposure import ToWrite, fitted
from eyeline.exiftool import ExifTool
from eyeline.ledger import Photo
from eyeline.ledger.records import Outcome, Problem
from eyeline.sidecar.fields import Annotation
from eyeline.sidecar.regions import sitter_region
from eyeline.terms.frame import Frame
from eyeline.terms.rectangle import Rectangle
from eyeline.terms.verdict import Verdict
from tests.deciding.decider import measured, open_decider, undone

TEN = "2031-04-17T10:00:00"
VERDICT = Verdict("", 0.0, None, (), (), (), "")


@pytest.fixture
def problems() -> list[Problem]:
    return []


@contextmanager
def opened(tmp_path: Path, exiftool: ExifTool, problems: list[Problem], **settings: str) -> Iterator[Decider]:
    with open_decider(tmp_path, exiftool, problems) as decider:
        yield replace(decider, configuration=replace(decider.configuration, **settings))  # type: ignore[arg-type]


def known(decider: Decider, path: Path, **changes: object) -> Photo:
    """A photo in the ledger; JPEGs are real ones, since they may be written into."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.suffix == ".jpg":
        Image.new("RGB", (60, 40), "grey").save(path)
    photo = measured(decider, path)
    capture = replace(photo.frame.capture, **{"taken_at": TEN} | changes.pop("capture", {}))  # type: ignore[arg-type]
    frame = replace(photo.frame, capture=capture, digest=str(path), **changes)  # type: ignore[arg-type]
    photo = replace(photo, frame=frame)
    look = decider.ledger.files.known(path)
    assert look is not None
    decider.ledger.photos.record(photo)
    decider.ledger.files.measured(path, look.status, frame.digest, frame.orientation, photo.measured_at)
    return photo


def regions(exiftool: ExifTool, carrier: Path) -> list[object]:
    found = exiftool.read(carrier, ("XMP-iptcExt:ImageRegion",)).get("XMP-iptcExt:ImageRegion", [])
    return list(found)  # type: ignore[call-overload]


def rating(exiftool: ExifTool, carrier: Path) -> object:
    return exiftool.read(carrier, ("XMP-xmp:Rating",)).get("XMP-xmp:Rating")


def test_sibling_folders_get_one_verdict_and_two_sidecars(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "JPG" / "IMG_1.jpg")
        raw = known(decider, tmp_path / "RAW" / "IMG_1.CR3")
        decided = {photo.frame.path: decision for photo, decision in decider.decide([jpeg, raw])}
    assert decided[jpeg.frame.path].verdict == decided[raw.frame.path].verdict
    assert {decision.outcome for decision in decided.values()} == {Outcome.WRITTEN}
    assert (tmp_path / "JPG" / "IMG_1.xmp").is_file()
    assert (tmp_path / "RAW" / "IMG_1.xmp").is_file()


def test_side_by_side_they_share_a_sidecar_that_is_written_once(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        photos = [known(decider, tmp_path / name) for name in ("IMG_1.jpg", "IMG_1.CR3")]
        outcomes = [decision.outcome for _, decision in decider.decide(photos)]
        again = [decision.outcome for _, decision in decider.decide(photos)]
    assert outcomes == [Outcome.WRITTEN, Outcome.UNCHANGED]
    assert again == [Outcome.UNCHANGED, Outcome.UNCHANGED]
    assert problems == []
    assert regions(exiftool, tmp_path / "IMG_1.xmp") != []
    assert [path.name for path in tmp_path.glob("*.xmp")] == ["IMG_1.xmp"]


def test_they_are_judged_once_whoever_asks(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "IMG_1.jpg")
        raw = known(decider, tmp_path / "IMG_1.CR3")
        alone = [(photo.frame.path.name, verdict) for photo, verdict in decider.verdicts([raw])]
        both = [(photo.frame.path.name, verdict) for photo, verdict in decider.verdicts([jpeg])]
        stranger = known(decider, tmp_path / "IMG_2.jpg")
        company = [photo.frame.path.name for photo, _ in decider.verdicts([stranger])]
    assert [name for name, _ in alone] == ["IMG_1.CR3"]
    assert [name for name, _ in both] == ["IMG_1.jpg", "IMG_1.CR3"]
    assert alone[0][1] == both[0][1] == both[1][1]
    assert company == ["IMG_2.jpg"]


def test_two_cameras_with_one_number_are_two_frames(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        photos = [
            known(decider, tmp_path / "JPG" / "IMG_1.jpg", capture={"serial": "1"}),
            known(decider, tmp_path / "RAW" / "IMG_1.CR3", capture={"serial": "2"}),
        ]
        list(decider.decide(photos))
        for photo in photos:
            assert [each.frame.path for each, _ in decider.verdicts([photo])] == [photo.frame.path]


def test_a_shared_sidecar_holds_no_regions_that_would_be_wrong_for_one_of_them(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "IMG_1.jpg", orientation=1, stored_width=4000, stored_height=6000)
        raw = known(decider, tmp_path / "IMG_1.CR3", orientation=8)
        list(decider.decide([jpeg, raw]))
        outcomes = [decision.outcome for _, decision in decider.decide([jpeg, raw])]
    assert regions(exiftool, tmp_path / "IMG_1.xmp") == []
    assert outcomes == [Outcome.UNCHANGED, Outcome.UNCHANGED]
    assert any("regions were left out" in problem.what for problem in problems)


def test_a_star_given_in_the_camera_counts_for_both_files(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "JPG" / "IMG_1.jpg")
        raw = known(decider, tmp_path / "RAW" / "IMG_1.CR3", capture={"rating_inside": 3.0})
        list(decider.decide([jpeg, raw]))
    for folder in ("JPG", "RAW"):
        assert rating(exiftool, tmp_path / folder / "IMG_1.xmp") is None


def test_embedded_the_jpeg_carries_its_own_and_the_raw_gets_a_sidecar(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems, write="embedded") as decider:
        jpeg = known(decider, tmp_path / "IMG_1.jpg")
        raw = known(decider, tmp_path / "IMG_1.CR3")
        decided = [decision for _, decision in decider.decide([jpeg, raw])]
    assert [decision.sidecar for decision in decided] == [jpeg.frame.path, tmp_path / "IMG_1.xmp"]
    assert {decision.outcome for decision in decided} == {Outcome.WRITTEN}
    assert raw.frame.path.read_bytes() == b"a photo"
    keywords = [exiftool.read(decision.sidecar, ("XMP-dc:Subject",)) for decision in decided]  # type: ignore[arg-type]
    assert keywords[0] == keywords[1]


def frame(name: str, width: int, height: int, orientation: int = 1) -> Frame:
    swapped = orientation > 4
    stored = (height, width) if swapped else (width, height)
    return Frame(Path(name), name, width, height, *stored, orientation)


def annotation(area: Rectangle) -> Annotation:
    return Annotation(4, (), (), (sitter_region(area),), "")


class TestRegions:
    """A region means the same part of the scene in every file."""

    AREA = Rectangle(0.2, 0.1, 0.4, 0.4)

    def told(self, own: Frame, measured_in: Frame) -> ToWrite:
        return ToWrite(Photo(own, (), None, "", {}, "", None), VERDICT, measured_in)  # type: ignore[arg-type]

    def test_one_shape_however_it_is_stored(self) -> None:
        told = self.told(frame("a.CR3", 4000, 6000, 8), frame("a.jpg", 2000, 3000))
        assert fitted(annotation(self.AREA), told, ()) == (annotation(self.AREA), True)

    def test_a_jpeg_that_the_camera_cropped(self) -> None:
        told = self.told(frame("a.CR3", 6000, 4000), frame("a.jpg", 6000, 3375))
        found, complete = fitted(annotation(self.AREA), told, ())
        assert complete
        assert found.regions[0].area.top == pytest.approx(5 / 64 + 0.1 * 27 / 32)

    def test_an_edited_rendering_of_another_shape_has_none(self) -> None:
        told = self.told(frame("a.tif", 3000, 3000), frame("a.jpg", 6000, 4000))
        found, complete = fitted(annotation(self.AREA), told, ())
        assert not found.regions
        assert not complete


LATER = {"taken_at": "2031-04-17T11:30:00"}


@pytest.mark.parametrize("order", [("IMG_1.CR3", "IMG_1.jpg"), ("IMG_1.jpg", "IMG_1.CR3")])
def test_two_moments_of_one_name_get_a_sidecar_each(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem], order: tuple[str, str]
) -> None:
    """Numbers wrap, and two cameras count alike. Whichever comes first has the plain name and keeps it."""
    with opened(tmp_path, exiftool, problems) as decider:
        first = known(decider, tmp_path / order[0])
        (_,) = decider.decide([first])
        plain = (tmp_path / "IMG_1.xmp").read_bytes()
        second = known(decider, tmp_path / order[1], capture=LATER)
        for _ in range(2):
            decided = {photo.frame.path.name: each for photo, each in decider.decide([first, second])}
    assert decided[order[0]].sidecar == tmp_path / "IMG_1.xmp"
    assert decided[order[1]].sidecar == tmp_path / f"{order[1]}.xmp"
    assert {each.outcome for each in decided.values()} == {Outcome.UNCHANGED}
    assert (tmp_path / "IMG_1.xmp").read_bytes() == plain
    (problem,) = problems  # told once
    assert problem.path == second.frame.path
    assert f"{order[1]}.xmp" in problem.what


def test_of_two_moments_that_come_together_the_raw_has_the_plain_name(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "IMG_1.jpg")
        raw = known(decider, tmp_path / "IMG_1.CR3", capture=LATER)
        decided = {photo.frame.path.name: each.sidecar for photo, each in decider.decide([jpeg, raw])}
    assert decided == {"IMG_1.CR3": tmp_path / "IMG_1.xmp", "IMG_1.jpg": tmp_path / "IMG_1.jpg.xmp"}


def test_undo_of_one_moment_leaves_the_other_moment_of_its_name_alone(
    tmp_path: Path, exiftool: ExifTool, problems: list[Problem]
) -> None:
    with opened(tmp_path, exiftool, problems) as decider:
        jpeg = known(decider, tmp_path / "IMG_1.jpg")
        raw = known(decider, tmp_path / "IMG_1.CR3", capture=LATER)
        list(decider.decide([jpeg, raw]))
        of_the_raw = (tmp_path / "IMG_1.xmp").read_bytes()
        for _ in range(2):
            undone(decider, jpeg.frame.path)
            assert not (tmp_path / "IMG_1.jpg.xmp").exists()
            assert (tmp_path / "IMG_1.xmp").read_bytes() == of_the_raw
        undone(decider, raw.frame.path)
    assert not (tmp_path / "IMG_1.xmp").exists()
