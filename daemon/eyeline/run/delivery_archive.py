"""The delivered files as one ZIP, with a manifest of SHA-256 that other programs check."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path

from eyeline.system.whole_file import made_whole

MANIFEST = "SHA256SUMS"
"""In the form that `sha256sum --check` reads (GNU coreutils)."""

_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The first date that a ZIP can hold (APPNOTE 4.4.6): no clock of the house goes out."""


def write_archive(archive: Path, out: Path, files: Sequence[Path]) -> None:
    """Write `files`, all below `out`, under their names there. Raises OSError, FileExistsError."""
    with made_whole(archive) as unnamed, zipfile.ZipFile(unnamed, "w", zipfile.ZIP_STORED) as into:
        lines = []
        for file in files:
            name = file.relative_to(out).as_posix()
            digest = sha256()
            with file.open("rb") as source, into.open(zipfile.ZipInfo(name, _EPOCH), "w") as member:
                while block := source.read(1 << 20):
                    digest.update(block)
                    member.write(block)
            lines.append(f"{digest.hexdigest()}  {name}\n")
        into.writestr(zipfile.ZipInfo(MANIFEST, _EPOCH), "".join(lines))
