"""One file of a delivery: rendered and checked, held without a name, and given the one that it deserves."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from hashlib import blake2b, file_digest
from pathlib import Path

from eyeline.delivery.specification import Specification
from eyeline.errors import EyelineError, UnreadablePhoto
from eyeline.intake.status import status_of
from eyeline.ledger.deliveries import Deliveries
from eyeline.ledger.records import Delivery
from eyeline.rendering.encode import encoded
from eyeline.rendering.file_facts import breaches
from eyeline.rendering.render import rendered
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_item import FileToMake
from eyeline.system.whole_file import give_name, hold

CONTENT_BYTES = 32
"""Of the digest by which a file is known to be as it was delivered: nobody can make another with the same."""

NOT_AS_PROMISED = " (not as promised)"
"""Stands in the name of a file whose own pixels do not show what was promised."""


@dataclass(frozen=True, slots=True)
class Held:
    """`delivered`: as far as it is known; `unnamed`: where the file lies whole, None where there is none."""

    delivered: Delivered
    unnamed: Path | None = None

    def drop(self) -> None:
        """Remove the file."""
        if self.unnamed is not None:
            self.unnamed.unlink(missing_ok=True)


def made(
    deliveries: Deliveries, file: FileToMake, specification: Specification, out: Path, dry_run: bool
) -> Held:
    """`file` below `out`, as it was asked for, but without its name yet. Raises EyelineError, OSError."""
    target = out / file.name
    _stay_inside(out, target)
    kept = deliveries.of(target)
    replaceable = is_ours(target, kept)
    if kept is not None and replaceable and kept.inputs == file.inputs and os.path.lexists(target):
        return Held(Delivered(file, target, "unchanged", size_bytes=kept.size_bytes, content=kept.content))
    if not replaceable:
        raise EyelineError("another file has this name", target, "Move it away, or deliver elsewhere")
    said = _said(file)
    if dry_run:
        return Held(Delivered(file, target, "would be written", said=said))
    picture = rendered(file.source.pixels(), file.box, file.size, specification)
    if not picture.was_tagged and file.source.kind != "preview":
        said = (*said, "no usable profile in it: taken as sRGB")
    done = encoded(picture, specification, file.packet)
    wrong = breaches(done.content, file.size, specification, picture.profile)
    if wrong:
        raise UnreadablePhoto(f"the file as made is not what was asked for: {'; '.join(wrong)}", target)
    if file.source.is_the_frame and status_of(file.source.path) is None:
        raise UnreadablePhoto("it vanished while it was rendered", file.source.path)
    target.parent.mkdir(parents=True, exist_ok=True)
    _stay_inside(out, target)
    unnamed = hold(target, done.content)
    content = blake2b(done.content, digest_size=CONTENT_BYTES).hexdigest()
    size = len(done.content)
    return Held(Delivered(file, target, "written", None, (), said, done.quality, size, content), unnamed)


def put_in_place(deliveries: Deliveries, held: Held, delivered: Delivered, out: Path) -> Delivered:
    """Give the file that is `held` its name: its own, or one that says that it does not keep its promise.

    Raises EyelineError, OSError.
    """
    if held.unnamed is None:
        return delivered
    marked = delivered.target.with_stem(delivered.target.stem + NOT_AS_PROMISED)
    if delivered.broken:
        delivered = replace(delivered, target=marked, state="not as promised")
    target = delivered.target
    _stay_inside(out, target)
    kept = deliveries.of(target)
    if not is_ours(target, kept):
        raise EyelineError("another file has this name", target, "Move it away, or deliver elsewhere")
    give_name(held.unnamed, target, replaces=os.path.lexists(target))
    deliveries.keep(_record(delivered))
    earlier = deliveries.of(marked)
    if not delivered.broken and earlier is not None and is_ours(marked, earlier):
        marked.unlink(missing_ok=True)
    return delivered


def _record(delivered: Delivered) -> Delivery:
    photo, status = delivered.file.photo, delivered.target.stat()
    return Delivery(
        delivered.target,
        photo.frame.path,
        photo.frame.digest,
        delivered.file.inputs,
        delivered.content or "",
        status.st_size,
        status.st_mtime_ns,
        datetime.now(UTC),
    )


def _stay_inside(out: Path, target: Path) -> None:
    """Raise EyelineError where a link leads out of the target folder."""
    if not target.parent.resolve().is_relative_to(out.resolve()) or target.is_symlink():
        raise EyelineError("a link leads out of the target folder", target, "Remove the link")


def is_ours(target: Path, kept: Delivery | None) -> bool:
    """Whether nothing lies at `target`, or a file that was delivered there and nobody touched since."""
    try:
        status = target.lstat()
    except FileNotFoundError:
        return True
    if kept is None:
        return False
    if (status.st_size, status.st_mtime_ns) == (kept.size_bytes, kept.modified_ns):
        return True
    if status.st_size != kept.size_bytes:
        return False
    return content_of(target) == kept.content


def content_of(path: Path) -> str:
    """Hex digits of all that the file at `path` holds."""
    with path.open("rb") as file:
        return file_digest(file, lambda: blake2b(digest_size=CONTENT_BYTES)).hexdigest()


def _said(file: FileToMake) -> tuple[str, ...]:
    said = []
    if file.scale > 1:
        said.append(f"scaled up {file.scale:.2f} times")
    if file.source.kind == "preview":
        said.append("made from the preview in the RAW")
    if file.caution:
        said.append(file.caution)
    return tuple(said)
