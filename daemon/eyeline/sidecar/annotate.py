"""The two doors of this room: `annotate` writes what eyeline thinks of a photo, `withdraw` takes it back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ChildDied, ExifTool, Refused
from eyeline.sidecar.carrier import put_in_place, read_whole, remove, seed
from eyeline.sidecar.fields import Annotation, Wanted, can_be_restored, iso_date, wanted
from eyeline.sidecar.meaning import EMPTY, Document, parse
from eyeline.sidecar.merge import Stamp, assignments, check, expected
from eyeline.sidecar.naming import Naming, Place, locate, usual_carrier
from eyeline.sidecar.outcome import Outcome, Result, but_left, digest_of, told
from eyeline.sidecar.ownership import Decision, Edits, decide, known
from eyeline.sidecar.present import Present, present
from eyeline.sidecar.replacing import Interrupted, working_copy
from eyeline.sidecar.written import Written, event_parameters, recorded

__all__ = ["ATTEMPTS", "AboutToPlace", "Outcome", "Result", "annotate", "withdraw"]

AboutToPlace = Callable[[Path, bytes | None, bytes], None]
"""Called with the carrier, its XMP (None: none) and what will be put in its place, just before that happens.
What it raises keeps it from happening."""

ATTEMPTS = 5
"""How often a sidecar that others keep changing is read and merged again before it is left alone."""


def annotate(
    exiftool: ExifTool,
    photo: Path,
    orientation: int,
    annotation: Annotation,
    last_written: Written | None,
    rating_inside: float | None,
    naming: Naming,
    now: datetime,
    dry_run: bool = False,
    about_to_place: AboutToPlace = lambda *_: None,
) -> Outcome:
    """Write `annotation` into the sidecar of `photo`, as far as its fields are eyeline's to write.

    `orientation`: EXIF 1 to 8, of the stored pixels. `last_written`: what an earlier Outcome said, None if
    nothing is known (the file's own history entry then speaks). `rating_inside`: `Capture.rating_inside`.
    `now` carries an offset from UTC.
    What cannot be written safely is REFUSED in the Outcome, the sidecar untouched. Raises ExifToolFailed when
    ExifTool is missing, silent or keeps dying, ValueError for an annotation that no sidecar may hold, and
    what `about_to_place` raises.
    """
    want = wanted(annotation, orientation)

    def once() -> Outcome:
        return _annotate(
            exiftool, photo, want, last_written, rating_inside, naming, now, dry_run, about_to_place
        )

    return _persistently(once, photo, naming, last_written)


def withdraw(
    exiftool: ExifTool,
    photo: Path,
    last_written: Written | None,
    naming: Naming,
    now: datetime,
    dry_run: bool = False,
) -> Outcome:
    """Remove from the sidecar of `photo` all that is still as eyeline wrote it, and nothing else.

    A rating 0 and an xmp:MetadataDate that stood there before come back. A file that eyeline made and in
    which nothing remains is deleted. Arguments, errors and refusals as in `annotate`.
    """

    def once() -> Outcome:
        return _withdraw(exiftool, photo, last_written, naming, now, dry_run)

    return _persistently(once, photo, naming, last_written)


def _persistently(
    once: Callable[[], Outcome], photo: Path, naming: Naming, last_written: Written | None
) -> Outcome:
    """Try again when another program came between; turn what cannot be done into an Outcome."""
    usual = usual_carrier(photo, naming)
    death: ChildDied | None = None
    for _ in range(ATTEMPTS):
        try:
            return once()
        except Interrupted:
            continue
        except ChildDied as error:  # killed from outside; the copy it worked on is gone, so start afresh
            if death is not None:
                raise
            death = error
        except UnsafeSidecar as error:
            return Outcome(Result.REFUSED, error.file or usual, str(error), written=last_written)
        except OSError as error:
            problem = UnsafeSidecar(
                f"The sidecar cannot be read or written ({error.strerror or error})",
                usual,
                "Check the folder's permissions and the space on its disk",
            )
            return Outcome(Result.REFUSED, usual, str(problem), written=last_written, may_pass=True)
    busy = UnsafeSidecar("Another program keeps changing the sidecar", usual, "Try again when it is done")
    return Outcome(Result.REFUSED, usual, str(busy), written=last_written, may_pass=True)


@dataclass(frozen=True, slots=True)
class _Found:
    """What carries the XMP of a photo: its `content` (None: there is none) and that content's `digest`, what
    it means, and what eyeline wrote there `last`.
    """

    place: Place
    content: bytes | None
    digest: str | None
    document: Document
    there: Present
    last: Written | None


def _find(photo: Path, naming: Naming, last_written: Written | None) -> _Found:
    place = locate(photo, naming)
    content = read_whole(place.path)
    document = parse(content, place.path) if content is not None else EMPTY
    there = present(document)
    return _Found(place, content, digest_of(content), document, there, known(last_written, there))


def _annotate(
    exiftool: ExifTool,
    photo: Path,
    want: Wanted,
    last_written: Written | None,
    rating_inside: float | None,
    naming: Naming,
    now: datetime,
    dry_run: bool,
    about_to_place: AboutToPlace,
) -> Outcome:
    found = _find(photo, naming, last_written)
    place, content, there, last, digest = found.place, found.content, found.there, found.last, found.digest
    decision = decide(last, there, want, _rating_elsewhere(rating_inside, place))
    if decision.doubt is not None:
        doubt = decision.doubt if content is not None else "the sidecar that eyeline wrote is gone"
        return Outcome(
            Result.DOUBT, place.path, f"Nothing was written: {doubt}", (), digest, digest, last_written
        )
    if not _needs_writing(decision, there, want):
        result = Result.KEPT if decision.left and not there.events else Result.UNCHANGED
        sentence = "Nothing new to write" + but_left(decision.left)
        return Outcome(result, place.path, sentence, decision.left, digest, digest, decision.written)
    sentence = told(decision.edits) + but_left(decision.left)
    if dry_run:
        return Outcome(Result.PLANNED, place.path, sentence, decision.left, digest, digest, last_written)
    dated = there.metadata_date is None or can_be_restored(there.metadata_date)
    written = replace(
        decision.written,
        created=last.created if last is not None and content is not None else content is None,
        metadata_date=iso_date(now) if dated else None,
        metadata_date_before=_date_before(last, there) if dated else None,
    )
    mark = Stamp(written.metadata_date, event_parameters(want.parameters, written), now)
    after = _edit(exiftool, found, decision.edits, mark, about_to_place)
    return Outcome(
        Result.WRITTEN,
        place.path,
        sentence,
        decision.left,
        digest,
        digest_of(after),
        replace(written, digest=digest_of(after) or ""),
    )


def _withdraw(
    exiftool: ExifTool,
    photo: Path,
    last_written: Written | None,
    naming: Naming,
    now: datetime,
    dry_run: bool,
) -> Outcome:
    found = _find(photo, naming, last_written)
    place, content, there, last, digest = found.place, found.content, found.there, found.last, found.digest
    nothing = Wanted(rating=None, keywords=(), scenes=(), regions=(), parameters="")
    decision = decide(last, there, nothing, None)
    if content is None or decision.doubt is not None or not (decision.edits or there.events):
        sentence = "There is nothing of eyeline's to take back"
        return Outcome(Result.UNCHANGED, place.path, sentence, decision.left, digest, digest, last_written)
    ours = last is not None and last.metadata_date is not None and there.metadata_date == last.metadata_date
    date = (last.metadata_date_before or "") if last is not None and ours else None
    mark = Stamp(metadata_date=date, parameters=None, now=now)
    remains = expected(found.document, decision.edits, mark).properties
    deletes = last is not None and last.created and not remains
    sentence = "Taken back: " + (
        "all of the XMP, which eyeline had made" if deletes else told(decision.edits)
    )
    sentence += but_left(decision.left)
    if dry_run:
        return Outcome(Result.PLANNED, place.path, sentence, decision.left, digest, digest, last_written)
    if deletes:
        remove(place.path, content)
        after = None
    else:
        after = _edit(exiftool, found, decision.edits, mark)
    remembered = replace(
        decision.written,
        created=False,
        rating_before=None,
        metadata_date=None,
        metadata_date_before=None,
        parameters="",
        digest=digest_of(after) or "",
    )
    return Outcome(Result.WRITTEN, place.path, sentence, decision.left, digest, digest_of(after), remembered)


def _edit(
    exiftool: ExifTool,
    found: _Found,
    edits: Edits,
    mark: Stamp,
    about_to_place: AboutToPlace = lambda *_: None,
) -> bytes:
    """Edit a copy, compare it with what it must mean, put it in place. Returns the new content."""
    path, content = found.place.path, found.content
    with working_copy(path, seed(path) if content is None else content) as copy:
        try:
            exiftool.edit(copy, assignments(edits, mark))
        except Refused as error:
            raise UnsafeSidecar(
                error.what, path, "It was left as it is; open it in the program that wrote it"
            ) from error
        after = copy.read_bytes()
        try:
            meaning = parse(after, path)
        except UnsafeSidecar as error:
            raise UnsafeSidecar(
                f"ExifTool cannot edit this sidecar without breaking it ({error.what})",
                path,
                "It was left as it is; let the program that wrote it save it more simply, or move it away",
            ) from error
        check(expected(found.document, edits, mark), meaning, path)
        about_to_place(path, content, after)
        put_in_place(copy, path, content)
    return after


def _needs_writing(decision: Decision, there: Present, want: Wanted) -> bool:
    """Whether more than the date would change. Our event, taken out by somebody, is not put back alone."""
    if decision.edits:
        return True
    record = recorded(there.events)
    if not there.events:
        return False
    return record is None or record.parameters != want.parameters or len(there.events) > 1


def _date_before(last: Written | None, there: Present) -> str | None:
    if last is not None and last.metadata_date is not None and there.metadata_date == last.metadata_date:
        return last.metadata_date_before
    return there.metadata_date


def _rating_elsewhere(rating_inside: float | None, place: Place) -> float | None:
    """A person's rating inside the photo, else one in the sidecar of the other naming."""
    if rating_inside is not None and rating_inside != 0:
        return rating_inside
    content = read_whole(place.other) if place.other is not None else None
    if place.other is None or content is None:
        return None
    there = present(parse(content, place.other))
    record = recorded(there.events)
    if there.rating is None or (record is not None and record.rating == there.rating):
        return None
    try:
        return float(there.rating)
    except ValueError:
        return None
