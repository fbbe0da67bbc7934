"""The sidecar of a photo together with what the ledger knows of it."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from eyeline.errors import UnsafeSidecar
from eyeline.intake.identity import image_digest
from eyeline.intake.status import status_of
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Decision, Outcome, PreImage
from eyeline.sidecar.found import Found, Lookup
from eyeline.sidecar.naming import Listing, Naming
from eyeline.sidecar.ownership import Attests, is_hearsay, known
from eyeline.sidecar.present import Present
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import as_it_stands, doubt
from eyeline.sidecar.written import Written, recorded

LARGEST_HASHED_BYTES = 512 * 1024 * 1024
"""A larger photo is known by its path alone: hashing it would take its size in memory."""

LISTINGS_KEPT = 8
"""Folders whose names are kept at a time: one shoot's, with its folders for kinds of files."""


@dataclass(frozen=True, slots=True)
class SidecarRecord:
    """The sidecar of one photo: what is in it now, what eyeline wrote there last, what was there before.

    `decision`: the latest of which anything was written there, `last`: what that was.
    """

    found: Found
    decision: Decision | None
    last: Written | None
    pre_image: PreImage | None
    attests: Attests

    @property
    def known(self) -> Written | None:
        """What eyeline wrote there last, as far as that is certain: see `ownership.known`."""
        return known(self.last, self.present, self.attests)

    @property
    def is_hearsay(self) -> bool:
        """Whether only the file's own history says that eyeline wrote into it."""
        return is_hearsay(self.last, self.present, self.attests)

    @property
    def believed(self) -> Written | None:
        """As `known`, for what only reads: beside no ledger the file's own history is believed."""
        return recorded(self.present.events) if self.is_hearsay else self.known

    @property
    def path(self) -> Path:
        """The file that carries the XMP."""
        return self.found.path

    @property
    def present(self) -> Present:
        """What it says in the fields that eyeline writes."""
        return self.found.present

    @property
    def is_gone(self) -> bool:
        """Whether all that eyeline wrote there is gone at once."""
        return doubt(self.known, self.present) is not None

    @property
    def left_as(self) -> tuple[str, ...]:
        """Digests that it may have while nobody else has changed it.

        With a pre-image: as it was to be left last or, where a kill came before that, as it was left the time
        before. Without one: as it was left last. What a later look only found, and left alone, may hold what
        a person has changed, so that is none of them; least of all what it refused to touch.
        """
        decision = self.decision
        only_looked = decision is not None and decision.outcome in (Outcome.UNCHANGED, Outcome.KEPT)
        refused = decision is not None and decision.outcome is Outcome.REFUSED
        if decision is None or refused or (only_looked and self.pre_image is not None):
            before = None
        else:
            before = decision.sidecar_after
        chain = (self.pre_image.left_as,) if self.pre_image is not None else ()
        return (*chain, before) if before is not None else chain

    @property
    def is_as_left(self) -> bool:
        """Whether nobody else has changed it since eyeline wrote it."""
        return self.found.digest in self.left_as


class SidecarRecords:
    """The sidecar records of one pass, in which each folder is listed once. Threads may share them."""

    def __init__(self, ledger: Ledger, naming: Naming) -> None:
        self._ledger = ledger
        self._naming = naming
        self._listings: dict[Path, Listing] = {}
        self._one_at_a_time = threading.Lock()

    def lookup(self, photo: Path, naming: Naming | None = None) -> Lookup:
        """How the sidecar of `photo` is found; `naming`: where it is another than the configured one.

        Raises OSError where the folder cannot be listed.
        """
        return Lookup(photo, naming or self._naming, self._listing(photo.absolute().parent))

    def of(self, photo: Path, naming: Naming | None = None) -> SidecarRecord:
        """The record of the sidecar of `photo`, read now. Raises UnsafeSidecar, OSError, Interrupted."""
        return self.about(photo, self.lookup(photo, naming).find())

    def readable(self, photo: Path, naming: Naming | None = None) -> SidecarRecord | None:
        """The same; None where it cannot be read, or not without risk."""
        try:
            return self.of(photo, naming)
        except (OSError, UnsafeSidecar, Interrupted):
            return None

    def path(self, photo: Path, naming: Naming | None = None) -> Path | None:
        """Which file it is, unread; None where that cannot be found out."""
        try:
            return self.lookup(photo, naming).place().path
        except (OSError, UnsafeSidecar):
            return None

    def about(self, photo: Path, found: Found) -> SidecarRecord:
        """What was `found` for `photo`, with what the ledger knows of it by now."""
        decision = self._ledger.decisions.latest_written(found.path)
        pre_image = self._ledger.pre_images.of(found.path)
        attests = partial(self._attests, photo, found.path)
        return SidecarRecord(found, decision, _written(decision), pre_image, attests)

    def _attests(self, photo: Path, sidecar: Path, record: Written) -> bool:
        """Whether the ledger holds this very record, asked anew each time: other processes write too.

        Held for the file, for what was about to be written into it when something came between, or for the
        picture, whose sidecar may have been moved with it.
        """
        decisions, intended = self._ledger.decisions, self._ledger.intentions.of(sidecar)
        here = (intended,) if intended is not None else ()
        if _any_says((*here, *decisions.records(sidecar, None)), record):
            return True
        digest = _digest_of_picture(self._ledger, photo)
        return digest is not None and _any_says(decisions.records(sidecar, digest), record)

    def as_it_stands(self, photo: Path) -> Written:
        """What eyeline wrote last, with what a person has changed since left to them.

        Where the sidecar cannot be read, what is recorded of it.
        """
        record = self.readable(photo)
        if record is not None:
            return as_it_stands(record.believed, record.present)
        path = self.path(photo)
        decision = self._ledger.decisions.latest_written(path) if path is not None else None
        return _written(decision) or Written()

    def _listing(self, folder: Path) -> Listing:
        with self._one_at_a_time:
            listing = self._listings.get(folder)
            if listing is None:
                listing = Listing.of(folder)
                if len(self._listings) >= LISTINGS_KEPT:
                    del self._listings[next(iter(self._listings))]
                self._listings[folder] = listing
            return listing


def _any_says(held: Iterable[str], record: Written) -> bool:
    return any(Written.from_json(each).says_the_same_as(record) for each in held)


def _digest_of_picture(ledger: Ledger, photo: Path) -> str | None:
    """As measured or decided, else from the file itself: one that was moved here is not known by its path."""
    known_file, decision = ledger.files.known(photo), ledger.decisions.latest(photo)
    if known_file is not None and known_file.digest is not None:
        return known_file.digest
    if decision is not None and decision.digest:
        return decision.digest
    status = status_of(photo)
    if status is None or status.size > LARGEST_HASHED_BYTES:
        return None
    try:
        return image_digest(photo.read_bytes())
    except OSError:
        return None


def _written(decision: Decision | None) -> Written | None:
    return Written.from_json(decision.written) if decision is not None and decision.written else None
