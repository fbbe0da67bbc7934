"""Two doors of this room: `annotate` writes what eyeline thinks of a photo, `withdraw` takes it back.

The third, for what the photographer decides, is `correcting.correct`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.exiftool import ChildDied, ExifTool, Refused
from eyeline.sidecar.carrier import put_in_place, read_whole, remove, seed
from eyeline.sidecar.fields import Annotation, Wanted, wanted
from eyeline.sidecar.found import Found, Lookup
from eyeline.sidecar.meaning import parse
from eyeline.sidecar.merge import Stamp, as_its_author_has_it, assignments, check, expected
from eyeline.sidecar.naming import Place
from eyeline.sidecar.notation import can_be_restored, iso_date
from eyeline.sidecar.outcome import Outcome, Result, but_left, in_words
from eyeline.sidecar.ownership import Attests, Edits, FieldPlan, is_hearsay, known, plan
from eyeline.sidecar.present import Present, present
from eyeline.sidecar.replacing import Interrupted, working_copy
from eyeline.sidecar.written import Written, event_parameters, recorded

__all__ = [
    "ATTEMPTS",
    "AboutToPlace",
    "Outcome",
    "Request",
    "Result",
    "annotate",
    "edit",
    "persistently",
    "withdraw",
]

AboutToPlace = Callable[[Found, bytes, Written], None]
"""Called with what was found, what will be put in its place and the record of that, just before it happens.
What it raises keeps it from happening."""

ATTEMPTS = 5
"""How often a sidecar that others keep changing is read and merged again before it is left alone."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be written about one photo.

    `orientation`: EXIF 1 to 8, of the stored pixels. `now` carries an offset from UTC. `last`: what an
    earlier Outcome recorded, None if nothing is known; `attests` and the file's own history entry: see
    `ownership.known`.
    `rating_inside`: `Capture.rating_inside`.
    """

    annotation: Annotation
    orientation: int
    now: datetime
    last: Written | None = None
    rating_inside: float | None = None
    dry_run: bool = False
    attests: Attests = lambda _: False


def annotate(
    exiftool: ExifTool,
    lookup: Lookup,
    request: Request,
    about_to_place: AboutToPlace = lambda *_: None,
    found: Found | None = None,
) -> Outcome:
    """Write the annotation into the sidecar that `lookup` finds, as far as its fields are eyeline's to write.

    `found`: the sidecar as it was read a moment ago, where the caller has read it.
    What cannot be written safely is REFUSED in the Outcome, the sidecar untouched. Raises ExifToolFailed when
    ExifTool is missing, silent or keeps dying, ValueError for an annotation that no sidecar may hold, and
    what `about_to_place` raises.
    """
    want = wanted(request.annotation, request.orientation)

    def once(found: Found) -> Outcome:
        return _annotate(exiftool, found, want, request, about_to_place)

    return persistently(once, lookup, found, request.last)


def withdraw(
    exiftool: ExifTool,
    lookup: Lookup,
    last: Written | None,
    now: datetime,
    dry_run: bool = False,
    found: Found | None = None,
    attests: Attests = lambda _: False,
    by_history: bool = False,
) -> Outcome:
    """Remove from the sidecar that `lookup` finds all that is still as eyeline wrote it, and nothing else.

    A rating 0 and an xmp:MetadataDate that stood there before come back. A file that eyeline made and in
    which nothing remains is deleted. Arguments, errors and refusals as in `annotate`.
    Of what only the file's own history says nothing is removed (REFUSED), unless somebody said to believe it
    (`by_history`); even then the file stays.
    """

    def once(found: Found) -> Outcome:
        return _withdraw(exiftool, found, last, now, dry_run, attests, by_history)

    return persistently(once, lookup, found, last)


def persistently(
    once: Callable[[Found], Outcome], lookup: Lookup, found: Found | None, last: Written | None
) -> Outcome:
    """Try again when another program came between; turn what cannot be done into an Outcome."""
    death: ChildDied | None = None
    for attempt in range(ATTEMPTS):
        try:
            return once(found if found is not None and attempt == 0 else lookup.find())
        except Interrupted:
            continue
        except ChildDied as error:  # killed from outside; the copy it worked on is gone, so start afresh
            if death is not None:
                raise
            death = error
        except UnsafeSidecar as error:
            return Outcome(Result.REFUSED, error.file or lookup.usual, str(error), written=last)
        except OSError as error:
            problem = UnsafeSidecar(
                f"The sidecar cannot be read or written ({error.strerror or error})",
                lookup.usual,
                "Check the folder's permissions and the space on its disk",
            )
            return Outcome(Result.REFUSED, lookup.usual, str(problem), written=last, may_pass=True)
    busy = UnsafeSidecar(
        "Another program keeps changing the sidecar", lookup.usual, "Try again when it is done"
    )
    return Outcome(Result.REFUSED, lookup.usual, str(busy), written=last, may_pass=True)


def _annotate(
    exiftool: ExifTool, found: Found, want: Wanted, request: Request, about_to_place: AboutToPlace
) -> Outcome:
    there, last = found.present, known(request.last, found.present, request.attests)
    fields = plan(last, there, want, _rating_elsewhere(request, found.place))
    if fields.doubt is not None:
        doubt = fields.doubt if found.content is not None else "the sidecar that eyeline wrote is gone"
        return found.left(Result.DOUBT, f"Nothing was written: {doubt}", (), request.last)
    if not _needs_writing(fields, there, want):
        result = Result.KEPT if fields.left and not there.events else Result.UNCHANGED
        # What only the file says is no knowledge of ours because we looked at it.
        hearsay = is_hearsay(request.last, there, request.attests)
        known_now = request.last if hearsay else fields.written
        return found.left(result, "Nothing new to write" + but_left(fields.left), fields.left, known_now)
    sentence = in_words(fields.edits) + but_left(fields.left)
    if request.dry_run:
        return found.left(Result.PLANNED, sentence, fields.left, request.last)
    dated = there.metadata_date is None or can_be_restored(there.metadata_date)
    is_new = found.content is None
    written = replace(
        fields.written,
        created=last.created if last is not None and not is_new else is_new,
        metadata_date=iso_date(request.now) if dated else None,
        metadata_date_before=_date_before(last, there) if dated else None,
    )
    mark = Stamp(written.metadata_date, event_parameters(want.parameters, written), request.now)
    after = edit(
        exiftool, found, fields.edits, mark, lambda found, after: about_to_place(found, after, written)
    )
    return found.edited(sentence, fields.left, after, written)


def _withdraw(
    exiftool: ExifTool,
    found: Found,
    last_written: Written | None,
    now: datetime,
    dry_run: bool,
    attests: Attests,
    by_history: bool,
) -> Outcome:
    there, last = found.present, known(last_written, found.present, attests)
    inside = recorded(there.events)
    if inside is not None and is_hearsay(last_written, there, attests):
        if not by_history:
            return found.left(Result.REFUSED, str(_unknown(found.path)), (), last_written)
        last = replace(inside, created=False)
    nothing = Wanted(rating=None, keywords=(), scenes=(), regions=(), parameters="")
    fields = plan(last, there, nothing, None)
    if found.content is None or fields.doubt is not None or not (fields.edits or there.events):
        sentence = "There is nothing of eyeline's to take back"
        return found.left(Result.UNCHANGED, sentence, fields.left, last_written)
    ours = last is not None and last.metadata_date is not None and there.metadata_date == last.metadata_date
    date = (last.metadata_date_before or "") if last is not None and ours else None
    mark = Stamp(metadata_date=date, parameters=None, now=now)
    remains = expected(found.document, fields.edits, mark).properties
    deletes = last is not None and last.created and not remains
    what = "all of the XMP, which eyeline had made" if deletes else in_words(fields.edits)
    sentence = f"Taken back: {what}{but_left(fields.left)}"
    if dry_run:
        return found.left(Result.PLANNED, sentence, fields.left, last_written)
    if deletes:
        remove(found.path, found.content)
        after = None
    else:
        after = edit(exiftool, found, fields.edits, mark)
    remembered = replace(
        fields.written,
        created=False,
        rating_before=None,
        metadata_date=None,
        metadata_date_before=None,
        parameters="",
    )
    return found.edited(sentence, fields.left, after, remembered)


def edit(
    exiftool: ExifTool,
    found: Found,
    edits: Edits,
    mark: Stamp,
    about_to_place: Callable[[Found, bytes], None] = lambda *_: None,
) -> bytes:
    """Edit a copy, compare it with what it must mean, put it in place. Returns the new content."""
    path, content = found.path, found.content
    with working_copy(path, seed(path) if content is None else content) as copy:
        try:
            exiftool.edit(copy, assignments(edits, mark))
        except Refused as error:
            raise UnsafeSidecar(
                error.what, path, "It was left as it is; open it in the program that wrote it"
            ) from error
        after = copy.read_bytes()
        kept = as_its_author_has_it(content or b"", after)
        if kept != after:
            copy.write_bytes(kept)
            after = kept
        try:
            meaning = parse(after, path)
        except UnsafeSidecar as error:
            raise UnsafeSidecar(
                f"ExifTool cannot edit this sidecar without breaking it ({error.what})",
                path,
                "It was left as it is; let the program that wrote it save it more simply, or move it away",
            ) from error
        check(expected(found.document, edits, mark), meaning, path)
        about_to_place(found, after)
        put_in_place(copy, path, content)
    return after


def _unknown(carrier: Path) -> UnsafeSidecar:
    return UnsafeSidecar(
        "The ledger knows nothing of it; only its own history says that eyeline wrote into it",
        carrier,
        "Look at it. To believe its history: eyeline undo --by-history",
    )


def _needs_writing(fields: FieldPlan, there: Present, want: Wanted) -> bool:
    """Whether more than the date would change. Our event, taken out by somebody, is not put back alone."""
    if fields.edits:
        return True
    record = recorded(there.events)
    if not there.events:
        return False
    return record is None or record.parameters != want.parameters or len(there.events) > 1


def _date_before(last: Written | None, there: Present) -> str | None:
    if last is not None and last.metadata_date is not None and there.metadata_date == last.metadata_date:
        return last.metadata_date_before
    return there.metadata_date


def _rating_elsewhere(request: Request, place: Place) -> float | None:
    """A person's rating inside the photo, else one in the sidecar of the other naming."""
    if request.rating_inside is not None and request.rating_inside != 0:
        return request.rating_inside
    content = read_whole(place.other) if place.other is not None else None
    if place.other is None or content is None:
        return None
    there = present(parse(content, place.other))
    record = recorded(there.events)
    ours = record is not None and record.rating == there.rating and request.attests(record)
    if there.rating is None or ours:
        return None
    try:
        return float(there.rating)
    except ValueError:
        return None
