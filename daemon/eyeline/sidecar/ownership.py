"""Whose is each field? A pure decision from what we wrote last, what is there now, and what we want.

A field that still is as we wrote it is ours to update. Changed, added or removed by anybody else it is
theirs for good: never written over, never brought back, never withdrawn. When all our fields are gone at
once a program probably rewrote the file from its own database; then nothing is written, and the doubt is
said. Numbers are compared with a tolerance, since programs round.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from eyeline.errors import printable
from eyeline.sidecar.fields import Wanted, is_unrated
from eyeline.sidecar.present import FoundRegion, Present
from eyeline.sidecar.regions import StoredRegion
from eyeline.sidecar.written import Written, WrittenRegion, recorded

__all__ = ["TOLERANCE", "Edits", "FieldPlan", "Written", "known", "plan"]

_LONGEST_SHOWN = 40
"""Characters of a stranger's rating in a sentence: one that is a rating has three."""

TOLERANCE = 1e-4
"""Fraction of the frame by which a region may differ and still be where we put it: programs round."""


@dataclass(frozen=True, slots=True)
class Edits:
    """What is to be changed. `rating`: None = leave, "" = remove, else the new literal."""

    rating: str | None = None
    add_keywords: tuple[str, ...] = ()
    remove_keywords: tuple[str, ...] = ()
    add_scenes: tuple[str, ...] = ()
    remove_scenes: tuple[str, ...] = ()
    add_regions: tuple[StoredRegion, ...] = ()
    remove_regions: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return self != Edits()


@dataclass(frozen=True, slots=True)
class FieldPlan:
    """`edits` to make; `written`: the record once they are made (without dates and digest).

    `left`: what is left to the photographer, a sentence each. `doubt`: why nothing may be written.
    """

    edits: Edits
    written: Written
    left: tuple[str, ...] = ()
    doubt: str | None = None


Attests = Callable[[Written], bool]
"""Whether the ledger holds this very record, for the file in which it was found or for its picture."""


def known(ledger: Written | None, now: Present, attests: Attests = lambda _: False) -> Written | None:
    """What eyeline wrote last, as far as that is certain. `ledger`: what the ledger says of this file.

    Anybody can write a history entry in eyeline's name, so the record in the file is believed word by word
    only where the ledger holds the same record: it then tells which of eyeline's writes the file goes back
    to. What the ledger has left to the photographer stays left. A record that the ledger does not hold counts
    for nothing beside what the ledger says. Where the ledger says nothing, see `unattested`.
    """
    inside = recorded(now.events)
    if inside is not None and attests(inside):
        return inside if ledger is None else _with_left_of(inside, ledger)
    if ledger is not None or inside is None:
        return ledger
    return unattested(inside, now)


def is_hearsay(ledger: Written | None, now: Present, attests: Attests) -> bool:
    """Whether only the file's own history says that something in it is eyeline's."""
    inside = recorded(now.events)
    if ledger is not None and (ledger.rating or ledger.keywords or ledger.scenes or ledger.regions):
        return False
    return inside is not None and not attests(inside)


def unattested(inside: Written, now: Present) -> Written:
    """As much of a record in a file as may be believed on its own word.

    Rating, keywords and scene codes may be a person's, so none of them is eyeline's to change or to remove;
    nor is the file eyeline's to delete. Regions under ids that only eyeline gives are its own. What the
    record leaves to the photographer is left, and what it names and is no more there was taken out by
    somebody: both only keep eyeline from writing.
    """
    return Written(
        regions=inside.regions,
        parameters=inside.parameters,
        left_rating=inside.left_rating or inside.rating is not None,
        left_keywords=_union(inside.left_keywords, _missing(inside.keywords, now.keywords)),
        left_scenes=_union(inside.left_scenes, _missing(inside.scenes, now.scenes)),
        left_regions=inside.left_regions,
    )


def _missing(named: tuple[str, ...], now: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(word for word in named if word not in now)


def _with_left_of(record: Written, ledger: Written) -> Written:
    return replace(
        record,
        left_rating=record.left_rating or ledger.left_rating,
        left_keywords=_union(record.left_keywords, ledger.left_keywords),
        left_scenes=_union(record.left_scenes, ledger.left_scenes),
        left_regions=_union(record.left_regions, ledger.left_regions),
    )


def plan(last: Written | None, now: Present, want: Wanted, rating_elsewhere: float | None) -> FieldPlan:
    """What may be written.

    `last`: see `known`. `rating_elsewhere`: a person's rating outside this sidecar (inside the photo).
    """
    last = last or Written()
    if _all_gone(last, now):
        return FieldPlan(
            Edits(),
            last,
            doubt="all that eyeline had written here is gone at once; a program may have rewritten the file",
        )
    rating = _rating(last, now, want, rating_elsewhere)
    keywords = _words(last.keywords, last.left_keywords, now.keywords, want.keywords)
    scenes = _words(last.scenes, last.left_scenes, now.scenes, want.scenes)
    regions = _regions(last, now.regions, want.regions)
    edits = Edits(
        rating=rating.edit,
        add_keywords=keywords.add,
        remove_keywords=keywords.remove,
        add_scenes=scenes.add,
        remove_scenes=scenes.remove,
        add_regions=regions.add,
        remove_regions=regions.remove,
    )
    written = replace(
        last,
        rating=rating.ours,
        rating_before=rating.before,
        left_rating=rating.is_theirs,
        keywords=keywords.ours,
        left_keywords=keywords.left,
        scenes=scenes.ours,
        left_scenes=scenes.left,
        regions=regions.ours,
        left_regions=regions.left,
        parameters=want.parameters,
    )
    left = [f"the rating ({_rating_now(now, rating_elsewhere)})"] if rating.is_theirs else []
    left += [f"the keyword '{word}' (taken out)" for word in keywords.left if word not in now.keywords]
    left += [f"the scene {code} (taken out)" for code in scenes.left if code not in now.scenes]
    left += [f"the region {region_id}" for region_id in regions.left]
    return FieldPlan(edits, written, tuple(left))


@dataclass(frozen=True, slots=True)
class _Rating:
    """`edit`: as in Edits. `ours`: eyeline's rating afterwards. `before`: what stood there before it."""

    edit: str | None = None
    ours: str | None = None
    before: str | None = None
    is_theirs: bool = False


@dataclass(frozen=True, slots=True)
class _Words:
    add: tuple[str, ...]
    remove: tuple[str, ...]
    ours: tuple[str, ...]
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Regions:
    add: tuple[StoredRegion, ...]
    remove: tuple[str, ...]
    ours: tuple[WrittenRegion, ...]
    left: tuple[str, ...]


def _all_gone(last: Written, now: Present) -> bool:
    wrote = bool(last.rating or last.keywords or last.scenes or last.regions)
    ids = {region.id for region in now.regions}
    remains = (
        now.events
        or (last.rating and now.rating == last.rating)
        or set(last.keywords) & set(now.keywords)
        or set(last.scenes) & set(now.scenes)
        or any(region.id in ids for region in last.regions)
    )
    return wrote and not remains


def _rating(last: Written, now: Present, want: Wanted, elsewhere: float | None) -> _Rating:
    ours = last.rating is not None and now.rating is not None and _same_number(now.rating, last.rating)
    elsewhere = elsewhere or None
    if last.left_rating:
        return _Rating(is_theirs=True)
    if ours:
        if elsewhere is not None:  # a person's rating in the photo outranks ours here
            return _Rating(edit=last.rating_before or "", is_theirs=True)
        if want.rating is None:
            return _Rating(edit=last.rating_before or "")
        return _Rating(
            edit=None if now.rating == want.rating else want.rating,
            ours=want.rating,
            before=last.rating_before,
        )
    free = last.rating is None and (now.rating is None or is_unrated(now.rating))
    if not free or elsewhere is not None:  # somebody's, or somebody changed or removed ours
        return _Rating(is_theirs=True)
    if want.rating is None:
        return _Rating()
    return _Rating(edit=want.rating, ours=want.rating, before=now.rating)


def _rating_now(now: Present, elsewhere: float | None) -> str:
    if now.rating is None and elsewhere is not None and elsewhere != 0:
        return f"{elsewhere:g} inside the photo"
    return (
        f"{printable(now.rating)[:_LONGEST_SHOWN]} in the sidecar" if now.rating is not None else "taken out"
    )


def _words(
    last: tuple[str, ...], left: tuple[str, ...], now: tuple[str, ...], want: tuple[str, ...]
) -> _Words:
    """Keywords or scene codes. A word that is there in any case of letters is not added again."""
    there = set(now)
    gone = tuple(word for word in last if word not in there)
    left = _union(left, gone)
    barred = {word.casefold() for word in left} | {word.casefold() for word in now}
    kept = tuple(word for word in last if word in there and word in want)
    add = tuple(word for word in want if word.casefold() not in barred)
    remove = tuple(word for word in last if word in there and word not in want)
    return _Words(add, remove, kept + add, left)


def _regions(last: Written, now: tuple[FoundRegion, ...], want: tuple[StoredRegion, ...]) -> _Regions:
    there: dict[str, list[FoundRegion]] = {}
    for found in now:
        there.setdefault(found.id, []).append(found)
    ours = [mark for mark in last.regions if _untouched(mark, there.get(mark.id, []))]
    touched = tuple(mark.id for mark in last.regions if mark not in ours)
    left = _union(last.left_regions, touched)
    ours_by_id = {mark.id: mark for mark in ours}
    wanted_ids = {region.id for region in want}
    add: list[StoredRegion] = []
    kept: list[WrittenRegion] = []
    for region in want:
        if region.id in left or (region.id in there and region.id not in ours_by_id):
            continue
        mark = WrittenRegion(region.id, region.area, region.content)
        if ours_by_id.get(region.id) != mark:
            add.append(region)
        kept.append(mark)
    changed = {region.id for region in add}
    remove = tuple(mark.id for mark in ours if mark.id in changed or mark.id not in wanted_ids)
    return _Regions(tuple(add), remove, tuple(kept), left)


def _untouched(mark: WrittenRegion, found: list[FoundRegion]) -> bool:
    if len(found) != 1 or found[0].area is None or found[0].content != mark.content:
        return False
    there, ours = found[0].area, mark.area
    pairs = (
        (there.left, ours.left),
        (there.top, ours.top),
        (there.width, ours.width),
        (there.height, ours.height),
    )
    return all(abs(a - b) <= TOLERANCE for a, b in pairs)


def _same_number(text: str, other: str) -> bool:
    try:
        return abs(float(text) - float(other)) <= TOLERANCE
    except ValueError:
        return text == other


def _union(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*first, *second)))
