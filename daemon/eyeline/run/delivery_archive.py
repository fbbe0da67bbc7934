"""The delivered files as one ZIP, with a manifest of SHA-256 that other programs check."""

from __future__ import annotations

import os
import zipfile
from collections.abc import Sequence
from datetime import UTC, datetime
from hashlib import file_digest, sha256
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.ledger.deliveries import Deliveries
from eyeline.ledger.records import Delivery
from eyeline.run.delivered import Delivered
from eyeline.run.delivery_write import content_of, is_ours
from eyeline.system.whole_file import made_whole

MANIFEST = "SHA256SUMS"
"""In the form that `sha256sum --check` reads (GNU coreutils)."""

_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The first date that a ZIP can hold (APPNOTE 4.4.6): no clock of the house goes out."""


def archive_of(deliveries: Deliveries, done: Sequence[Delivered], out: Path) -> Path | None:
    """The ZIP beside `out` of the files in it that are as promised; None where there are none.

    One of an earlier delivery is replaced, and left alone where it holds the same. Raises EyelineError where
    another file has its name, or where it cannot be written.
    """
    files = [each for each in done if each.is_there]
    if not files:
        return None
    archive = out.with_name(f"{out.name}.zip")
    kept = deliveries.of(archive)
    try:
        if not is_ours(archive, kept):
            cure = "Move it away, then do it again"
            raise EyelineError("another file has the archive's name", archive, cure)
        manifest = _manifest(out, [each.target for each in files])
        inputs = sha256(manifest.encode("utf-8", "surrogateescape")).hexdigest()
        if kept is not None and kept.inputs == inputs and archive.exists():
            return archive
        with made_whole(archive, replaces=os.path.lexists(archive)) as unnamed:
            _write(unnamed, out, [each.target for each in files], manifest)
        status = archive.stat()
        digest = content_of(archive)
    except OSError as error:
        what = f"the archive cannot be written ({error.strerror})"
        raise EyelineError(what, archive, "Look whether the files are there and the disk has room") from error
    frame = files[0].file.photo.frame
    now = datetime.now(UTC)
    deliveries.keep(
        Delivery(archive, frame.path, frame.digest, inputs, digest, status.st_size, status.st_mtime_ns, now)
    )
    return archive


def _manifest(out: Path, files: Sequence[Path]) -> str:
    lines = []
    for path in files:
        with path.open("rb") as source:
            digest = file_digest(source, "sha256").hexdigest()
        lines.append(f"{digest}  {path.relative_to(out).as_posix()}\n")
    return "".join(lines)


def _write(unnamed: Path, out: Path, files: Sequence[Path], manifest: str) -> None:
    with zipfile.ZipFile(unnamed, "w", zipfile.ZIP_STORED) as into:
        for path in files:
            name = path.relative_to(out).as_posix()
            with path.open("rb") as source, into.open(zipfile.ZipInfo(name, _EPOCH), "w") as member:
                while block := source.read(1 << 20):
                    member.write(block)
        into.writestr(zipfile.ZipInfo(MANIFEST, _EPOCH), manifest)
