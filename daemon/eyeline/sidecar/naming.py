"""Which file is the sidecar of a photo.

XMP Specification Part 3 gives a sidecar the photo's name with the extension replaced; some programs
append `.xmp` to the full name instead. Names match in any case of letters, since they cross file systems.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from eyeline.errors import UnsafeSidecar, printable

EXTENSION = ".xmp"

JPEG_EXTENSIONS = frozenset({".jpg", ".jpeg", ".jpe"})

TEMPORARY_PREFIX = ".eyeline-"
"""Names of our temporary files begin so; they are hidden, and intake ignores them."""


class Naming(Enum):
    """How a new sidecar is named: IMG_1.jpg gets IMG_1.xmp or IMG_1.jpg.xmp.

    FULL: as APPEND, and nothing else will do: IMG_1.xmp belongs to a file of that name from another moment.
    EMBED: a JPEG carries its XMP itself, every other photo gets a sidecar named as REPLACE says;
    EMBED_OR_APPEND: likewise, as APPEND says.
    """

    REPLACE = "replace"
    APPEND = "append"
    FULL = "full"
    EMBED = "embed"
    EMBED_OR_APPEND = "embed or append"

    @property
    def embeds(self) -> bool:
        """Whether JPEGs carry their XMP themselves."""
        return self in (Naming.EMBED, Naming.EMBED_OR_APPEND)

    @property
    def counterpart(self) -> Naming:
        """The same but for JPEGs: what was said before somebody set the configuration otherwise."""
        pairs = ((Naming.REPLACE, Naming.EMBED), (Naming.APPEND, Naming.EMBED_OR_APPEND))
        return next(b if self is a else a for a, b in pairs if self in (a, b))


@dataclass(frozen=True, slots=True)
class Place:
    """`path`: the file to write, behind any link. `exists`: whether it was there when looked for.

    `other`: the sidecar in the other naming when both are there, or any beside a JPEG that carries its XMP
    itself; it is read, never written.
    """

    path: Path
    exists: bool
    other: Path | None = None


def locate(photo: Path, naming: Naming = Naming.REPLACE) -> Place:
    """The sidecar of `photo`.

    A sidecar that is there already is used, whatever `naming` says. With both namings at once the
    appended one is used, since it names this very file while the other may belong to its twin of another
    type. Raises UnsafeSidecar for two that differ in case of letters only, and for a link that leaves the
    photo's folder; OSError when the folder cannot be read.

    With a `naming` that embeds, a JPEG is its own; with FULL only the appended one will do.
    """
    if naming.embeds and photo.suffix.lower() in JPEG_EXTENSIONS:
        beside = locate(photo, Naming.REPLACE)
        return Place(photo.absolute(), exists=True, other=beside.path if beside.exists else None)
    folder = photo.absolute().parent
    appended, replaced = _existing(folder, photo.name + EXTENSION, photo.stem + EXTENSION)
    if appended == replaced or naming is Naming.FULL:  # the former: a photo without an extension
        replaced = None
    chosen = appended or replaced
    if chosen is None:
        return Place(usual_carrier(photo, naming), exists=False)
    other = _behind_link(replaced, folder) if appended is not None and replaced is not None else None
    return Place(_behind_link(chosen, folder), exists=True, other=other)


def usual_carrier(photo: Path, naming: Naming) -> Path:
    """The file that carries the XMP of `photo` where there is none yet."""
    if naming.embeds and photo.suffix.lower() in JPEG_EXTENSIONS:
        return photo.absolute()
    appends = naming in (Naming.APPEND, Naming.FULL, Naming.EMBED_OR_APPEND)
    return photo.absolute().with_name((photo.name if appends else photo.stem) + EXTENSION)


def is_sidecar(carrier: Path) -> bool:
    """Whether `carrier` is a file for XMP alone, not a photo."""
    return carrier.suffix.lower() == EXTENSION


def _existing(folder: Path, *names: str) -> tuple[Path | None, ...]:
    found: dict[str, list[str]] = {name.casefold(): [] for name in names}
    with os.scandir(folder) as entries:
        for entry in entries:
            found.get(entry.name.casefold(), []).append(entry.name)
    for name, twins in zip(names, (found[name.casefold()] for name in names), strict=True):
        if len(twins) > 1:
            both = " and ".join(printable(twin) for twin in sorted(twins))
            raise UnsafeSidecar(
                f"{both} differ only in upper and lower case",
                folder / name,
                "Keep one of them; neither was touched",
            )
    return tuple(folder / twins[0] if (twins := found[name.casefold()]) else None for name in names)


def _behind_link(path: Path, folder: Path) -> Path:
    if not path.is_symlink():
        return path
    try:
        target = path.resolve(strict=True)
    except (OSError, RuntimeError) as error:
        raise UnsafeSidecar("It is a link to nothing", path, "Remove the link or mend it") from error
    if not target.is_relative_to(folder.resolve()):
        raise UnsafeSidecar(
            f"It is a link that leads out of its folder, to {printable(target)}",
            path,
            "Put the file itself beside the photo; neither was touched",
        )
    return target
