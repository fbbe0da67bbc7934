"""What the daemon writes again: only verdicts that have changed, where nobody else has changed anything."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from eyeline.deciding.decide import Decider
from eyeline.deciding.verdict_now import verdict_now
from eyeline.exiftool import ExifTool
from eyeline.ledger import Outcome, Photo
from eyeline.terms.measurement import Measurement
from tests.deciding.decider import measured, open_decider


def now_closed(decider: Decider, photo: Photo) -> Photo:
    """The same photo measured anew: the eyes are closed, and so the verdict is another."""
    shut = (
        Measurement("eyes_open", 0.01),
        Measurement("gaze", "closed"),
        Measurement("gaze_confidence", 0.97),
    )
    again = replace(photo, measurements=(*photo.measurements, *shut))
    decider.ledger.photos.record(again)
    return again


def test_the_same_verdict_is_not_written_again(exiftool: ExifTool, tmp_path: Path) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        ((_, first),) = decider.decide([photo], only_new=True)
        assert first.outcome is Outcome.WRITTEN
        assert list(decider.decide([photo], only_new=True)) == []


def test_a_changed_verdict_is_written_where_nobody_else_has_changed_anything(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        sidecar = photo.frame.path.with_suffix(".xmp")
        list(decider.decide([photo], only_new=True))
        before = sidecar.read_bytes()
        ((_, second),) = decider.decide([now_closed(decider, photo)], only_new=True)
        assert second.outcome is Outcome.WRITTEN and b"blink" in sidecar.read_bytes() != before


def test_a_sidecar_in_which_somebody_else_changed_anything_is_not_revised(
    exiftool: ExifTool, tmp_path: Path
) -> None:
    """The verdict is kept in the ledger; asked to by a person, eyeline merges as ever."""
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        sidecar = photo.frame.path.with_suffix(".xmp")
        list(decider.decide([photo], only_new=True))
        theirs = sidecar.read_bytes().replace(b"</rdf:Bag>", b"<rdf:li>wedding</rdf:li></rdf:Bag>", 1)
        sidecar.write_bytes(theirs)
        closed = now_closed(decider, photo)
        ((_, kept),) = decider.decide([closed], only_new=True)
        assert (kept.outcome, kept.verdict.stars) == (Outcome.KEPT, 1)
        assert sidecar.read_bytes() == theirs
        assert list(decider.decide([closed], only_new=True)) == [], "it is settled"
        ((_, asked),) = decider.decide([closed])
        assert asked.outcome is Outcome.WRITTEN
        assert b"wedding" in sidecar.read_bytes() and b"blink" in sidecar.read_bytes()


def test_the_verdict_can_be_asked_for_before_anything_is_written(exiftool: ExifTool, tmp_path: Path) -> None:
    """It follows from what the ledger holds, and is the one that is written later."""
    with open_decider(tmp_path, exiftool) as decider:
        photo = measured(decider, tmp_path / "shoot" / "IMG_1.jpg")
        foreseen = verdict_now(photo, decider.ledger, decider.configuration, decider.rules)
        assert foreseen is not None and not photo.frame.path.with_suffix(".xmp").exists()
        ((_, decided),) = decider.decide([photo])
        assert foreseen[1].verdict == decided.verdict
