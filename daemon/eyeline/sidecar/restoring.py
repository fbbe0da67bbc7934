"""Putting back a sidecar as it was before eyeline, byte for byte, where nobody has touched it since."""

from __future__ import annotations

from collections.abc import Collection
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from eyeline.sidecar.carrier import put_in_place, read_whole, remove
from eyeline.sidecar.fields import Wanted
from eyeline.sidecar.outcome import digest_of
from eyeline.sidecar.ownership import plan
from eyeline.sidecar.present import Present
from eyeline.sidecar.replacing import Interrupted, working_copy
from eyeline.sidecar.written import Written

_NOTHING = Wanted(rating=None, keywords=(), scenes=(), regions=(), parameters="")


def restore(sidecar: Path, left_as: Collection[str], before: bytes | None, dry_run: bool = False) -> bool:
    """Make `sidecar` what it was `before` (None: no file), if it still has one of the digests `left_as`.

    False, with nothing done, where it has changed since or changes meanwhile. Raises UnsafeSidecar, OSError.
    """
    try:
        content = read_whole(sidecar)
        if content is None or digest_of(content) not in left_as:
            return False
        if dry_run:
            return True
        if before is None:
            remove(sidecar, content)
        else:
            with working_copy(sidecar, before) as copy:
                put_in_place(copy, sidecar, content)
    except Interrupted:
        return False
    return True


def has_ours(record: Written | None, there: Present) -> bool:
    """Whether eyeline has written anything that is not taken back. `record`: see `ownership.known`."""
    return record is not None and bool(
        there.events or record.rating or record.keywords or record.scenes or record.regions
    )


def doubt(record: Written | None, there: Present) -> str | None:
    """Why nothing may be written (all that eyeline wrote is gone at once), None where there is no doubt."""
    return plan(record, there, _NOTHING, None).doubt


def as_it_stands(record: Written | None, there: Present) -> Written:
    """The record with what a person has changed or taken out since the last write left to them."""
    return plan(record, there, _NOTHING, None).written


def photographers_rating(record: Written | None, there: Present, inside: float | None) -> float | None:
    """The rating that a person gave: in the sidecar, else `inside` the photo; None where nobody did.

    A rating that still is as eyeline wrote it is not theirs, nor is 0, which means unrated.
    """
    found: float | None = None
    if there.rating is not None:
        try:
            found = float(there.rating)
        except ValueError:
            found = None
        if record is not None and record.rating is not None and found is not None:
            with suppress(ValueError):
                found = None if float(record.rating) == found else found
    if found is None or found == 0:
        found = inside
    return found or None


def cleared(last: Written | None) -> Written:
    """The record of a sidecar in which nothing of eyeline's is left; what is a person's stays theirs."""
    return replace(
        last or Written(),
        created=False,
        rating=None,
        rating_before=None,
        keywords=(),
        scenes=(),
        regions=(),
        metadata_date=None,
        metadata_date_before=None,
        parameters="",
        digest="",
    )
