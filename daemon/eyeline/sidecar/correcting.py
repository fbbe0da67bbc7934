"""The third door of this room: what the photographer decides through eyeline is written as their own.

A field that they set is theirs from then on, as if another program had written it: never written over, never
withdrawn. The record in eyeline's own history event is renewed along with it, so that a lost ledger does not
make it eyeline's again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from eyeline.exiftool import ExifTool
from eyeline.sidecar.annotate import AboutToPlace, edit, persistently
from eyeline.sidecar.fields import keyword
from eyeline.sidecar.found import Found, Lookup
from eyeline.sidecar.merge import Stamp
from eyeline.sidecar.notation import can_be_restored, iso_date
from eyeline.sidecar.outcome import Outcome, Result, in_words
from eyeline.sidecar.ownership import Attests, Edits, known
from eyeline.sidecar.present import Present
from eyeline.sidecar.regions import StoredRegion, crop_id, own_crop_id
from eyeline.sidecar.written import Written, event_parameters

MOST_STARS = 5


@dataclass(frozen=True, slots=True)
class FieldChanges:
    """What the photographer changes in one file; empty fields are left alone.

    `stars`: 1 to 5. `stars_back`: the rating goes and is eyeline's to give again. `add_words`,
    `take_out_words`: keywords; one that is taken out is never written again by eyeline. `words_back`:
    keywords that were taken out and are eyeline's to write again. `drop_words`: own keywords that go without
    a trace. `crop`: their own for the format called `crop_format`; without one, the crop in that format is
    eyeline's to suggest again.
    """

    stars: int | None = None
    stars_back: bool = False
    add_words: tuple[str, ...] = ()
    take_out_words: tuple[str, ...] = ()
    words_back: tuple[str, ...] = ()
    drop_words: tuple[str, ...] = ()
    crop_format: str | None = None
    crop: StoredRegion | None = None


def correct(
    exiftool: ExifTool,
    lookup: Lookup,
    changes: FieldChanges,
    last: Written | None,
    now: datetime,
    attests: Attests,
    about_to_place: AboutToPlace = lambda *_: None,
) -> Outcome:
    """Write `changes` into the sidecar that `lookup` finds. `now` carries an offset from UTC.

    `last`, `attests`: as in `ownership.known`. What cannot be written safely is REFUSED in the Outcome, the
    sidecar untouched. Raises ValueError for stars or a keyword that no sidecar may hold, ExifToolFailed, and
    what `about_to_place` raises.
    """
    if changes.stars is not None and changes.stars not in range(1, MOST_STARS + 1):
        raise ValueError(f"stars are 1 to {MOST_STARS}, not {changes.stars}")
    changes = replace(changes, add_words=tuple(map(keyword, changes.add_words)))

    def once(found: Found) -> Outcome:
        there = found.present
        before = known(last, there, attests) or Written()
        edits, written = planned(changes, before, there)
        if not edits and written == before:
            return found.left(Result.UNCHANGED, "It says so already", (), last)
        if not edits and not there.events:  # nothing of eyeline's stands there yet: the ledger remembers
            return found.left(Result.KEPT, "It is remembered", (), written)
        dated = there.metadata_date is None or can_be_restored(there.metadata_date)
        date = iso_date(now) if dated else None
        parameters = event_parameters(written.parameters, written) if there.events else None
        after = edit(
            exiftool,
            found,
            edits,
            Stamp(date, parameters, now),
            lambda found, after: about_to_place(found, after, written),
        )
        return found.edited(f"Yours: {in_words(edits)}", (), after, written)

    return persistently(once, lookup, None, last)


def planned(changes: FieldChanges, last: Written, there: Present) -> tuple[Edits, Written]:
    """The edits for `changes`, and what of the file is eyeline's once they are made. Pure."""
    rating, written = _rating(changes, last, there)
    add, remove, written = _words(changes, written, there)
    regions, gone, written = _crop(changes, written, there)
    written = replace(written, metadata_date=None, metadata_date_before=None)
    edits = Edits(
        rating=rating,
        add_keywords=add,
        remove_keywords=remove,
        add_regions=regions,
        remove_regions=gone,
    )
    return edits, written


def _rating(changes: FieldChanges, last: Written, there: Present) -> tuple[str | None, Written]:
    theirs = replace(last, rating=None, rating_before=None, left_rating=True)
    if changes.stars is not None:
        literal = str(changes.stars)
        return (None if there.rating == literal else literal), theirs
    if changes.stars_back:
        return ("" if there.rating is not None else None), replace(theirs, left_rating=False)
    return None, last


def _words(
    changes: FieldChanges, last: Written, there: Present
) -> tuple[tuple[str, ...], tuple[str, ...], Written]:
    has = {word.casefold() for word in there.keywords}
    add = {word.casefold(): word for word in changes.add_words}
    out = {word.casefold() for word in changes.take_out_words} - add.keys()
    gone = out | {word.casefold() for word in changes.drop_words}
    back = {word.casefold() for word in changes.words_back}
    remove = tuple(dict.fromkeys(word for word in there.keywords if word.casefold() in gone))
    left = [word for word in last.left_keywords if word.casefold() not in back]
    left += [word for word in changes.take_out_words if word.casefold() in out and word not in left]
    written = replace(
        last,
        keywords=tuple(word for word in last.keywords if word.casefold() not in gone | add.keys()),
        left_keywords=tuple(left),
    )
    return tuple(word for folded, word in add.items() if folded not in has), remove, written


def _crop(
    changes: FieldChanges, last: Written, there: Present
) -> tuple[tuple[StoredRegion, ...], tuple[str, ...], Written]:
    if changes.crop_format is None:
        return (), (), last
    own, suggested = own_crop_id(changes.crop_format), crop_id(changes.crop_format)
    present = {region.id for region in there.regions}
    if changes.crop is None:
        left = tuple(each for each in last.left_regions if each != suggested)
        return (), tuple({own} & present), replace(last, left_regions=left)
    ours = {mark.id for mark in last.regions}
    written = replace(
        last,
        regions=tuple(mark for mark in last.regions if mark.id != suggested),
        left_regions=tuple(dict.fromkeys((*last.left_regions, suggested))),
    )
    return (changes.crop,), tuple(sorted(({own} & present) | ({suggested} & ours & present))), written
