"""Which file is the sidecar of a photo.

XMP Specification Part 3 gives a sidecar the photo's name with the extension replaced; some programs
append `.xmp` to the full name instead. Names match in any case of letters and in any Unicode form, since they
cross file systems.
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path, PurePath

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
        """The same but for JPEGs: what held before somebody set the configuration otherwise."""
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


class Listing:
    """The names in one folder, read once: which sidecar belongs to which photo, at a cost that does not grow
    with the folder.

    Names that differ only in case of letters or in Unicode form (NFC, NFD) are one name. What was deleted
    since, or made under its exact name, is noticed.
    """

    def __init__(self, folder: Path, names: Iterable[str]) -> None:
        self._folder = folder
        self._sidecars: dict[str, list[str]] = {}
        self._others: dict[str, list[str]] = {}
        for name in names:
            kept = self._sidecars if name[-len(EXTENSION) :].lower() == EXTENSION else self._others
            kept.setdefault(folded(name), []).append(name)

    @classmethod
    def of(cls, folder: Path) -> Listing:
        """Read the names in `folder`. Raises OSError."""
        with os.scandir(folder) as entries:
            return cls(folder.absolute(), (entry.name for entry in entries))

    def locate(self, photo: Path, naming: Naming = Naming.REPLACE) -> Place:
        """Find the sidecar of `photo`, a file in this folder.

        A sidecar that is there already is used, whatever `naming` says. With both namings at once the
        appended one is used, since it names this very file while the other may belong to its twin of another
        type. Raises UnsafeSidecar for two whose names are one, and for a link that leaves the photo's folder.

        With a `naming` that embeds, a JPEG is its own; with FULL only the appended one will do.
        """
        if naming.embeds and photo.suffix.lower() in JPEG_EXTENSIONS:
            beside = self.locate(photo, Naming.REPLACE)
            return Place(photo.absolute(), exists=True, other=beside.path if beside.exists else None)
        twins = [name for name in self._others.get(folded(photo.name), ()) if name != photo.name]
        of_twins = {*twins, *(PurePath(name).stem for name in twins)}
        appended = self._existing(photo.name, of_twins)
        replaced = self._existing(photo.stem, of_twins)
        if appended == replaced or naming is Naming.FULL:  # the former: a photo without an extension
            replaced = None
        chosen = appended or replaced
        if chosen is None:
            return Place(usual_carrier(photo, naming), exists=False)
        other = _behind_link(replaced, self._folder) if appended and replaced else None
        return Place(_behind_link(chosen, self._folder), exists=True, other=other)

    def _existing(self, name: str, of_twins: Collection[str]) -> Path | None:
        """The sidecar called `name` and its extension; None without one.

        `of_twins`: names of photos whose name is this one's but for case or Unicode form.
        """
        exact = name + EXTENSION
        listed = [each for each in self._sidecars.get(folded(exact), ()) if self._status(each) is not None]
        if exact not in listed and self._is_new(exact, listed):
            listed.append(exact)
        fitting = [each for each in listed if (stem := PurePath(each).stem) == name or stem not in of_twins]
        if len(fitting) > 1:
            both = " and ".join(printable(twin) for twin in sorted(fitting))
            raise UnsafeSidecar(
                f"{both} differ only in upper and lower case, or in how an accent is encoded",
                self._folder / exact,
                "Keep one of them; neither was touched",
            )
        return self._folder / fitting[0] if fitting else None

    def _is_new(self, name: str, listed: Iterable[str]) -> bool:
        """Whether `name` leads to a file of its own; where case does not count it leads to a listed one."""
        status = self._status(name)
        others = (self._status(each) for each in listed)
        return status is not None and not any(
            other is not None and os.path.samestat(status, other) for other in others
        )

    def _status(self, name: str) -> os.stat_result | None:
        try:
            return os.lstat(self._folder / name)
        except OSError:
            return None


def folded(name: str) -> str:
    """The form in which two names are one (canonical caseless matching, Unicode 15.0, section 3.13, D145)."""
    if name.isascii():
        return name.lower()
    return unicodedata.normalize("NFD", unicodedata.normalize("NFD", name).casefold())


def locate(photo: Path, naming: Naming = Naming.REPLACE) -> Place:
    """Find the sidecar of one photo, as `Listing.locate` of its folder. Raises OSError, UnsafeSidecar."""
    return Listing.of(photo.absolute().parent).locate(photo, naming)


def usual_carrier(photo: Path, naming: Naming) -> Path:
    """The file that carries the XMP of `photo` where there is none yet."""
    if naming.embeds and photo.suffix.lower() in JPEG_EXTENSIONS:
        return photo.absolute()
    appends = naming in (Naming.APPEND, Naming.FULL, Naming.EMBED_OR_APPEND)
    return photo.absolute().with_name((photo.name if appends else photo.stem) + EXTENSION)


def is_sidecar(carrier: Path) -> bool:
    """Whether `carrier` is a file for XMP alone, not a photo."""
    return carrier.suffix.lower() == EXTENSION


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
