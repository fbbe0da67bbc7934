"""What is typed about a delivery, and the order that it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import BadConfiguration
from eyeline.run.delivery_order import Order
from eyeline.settings.delivery_file import specification_in

LONGEST_PATH = 4096
LONGEST_NAME = 255
"""Bytes of a path and of each part of it (limits.h, PATH_MAX and NAME_MAX)."""


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields as they were typed. `to`: the folder for the files; `settings`: a delivery.toml, "" = the
    usual one; `finals`: a folder of retouched files, "" = none."""

    to: str = ""
    settings: str = ""
    finals: str = ""
    best: bool = False
    from_preview: bool = False
    zips: bool = False

    def order(self, folder: Path, dry_run: bool) -> Order:
        """The order for the frames in `folder`. Raises BadConfiguration for a path that is none, and for
        mistakes in the settings."""
        out = path_in(self.to, "where the files go")
        settings = path_in(self.settings, "the settings") if self.settings else None
        if settings is not None and not settings.is_file():
            raise BadConfiguration("there is no such file", settings, "Name a delivery.toml that exists")
        finals = (path_in(self.finals, "the finals").resolve(),) if self.finals else ()
        specification = specification_in(settings)
        return Order((folder,), out, specification, self.best, self.from_preview, finals, self.zips, dry_run)


def typed_in(fields: Mapping[str, str]) -> Typed:
    """The fields of the form."""
    to, settings, finals = (fields.get(name, "").strip() for name in ("to", "settings", "finals"))
    best, preview, zips = (name in fields for name in ("best", "preview", "zip"))
    return Typed(to, settings, finals, best, preview, zips)


def path_in(text: str, what: str) -> Path:
    """The path that somebody typed in whole, ~ for their home. Raises BadConfiguration for any other: there
    is no folder here from which a path could be counted, and one that climbs is seldom meant."""
    if not text:
        raise BadConfiguration(f"it is not said {what}", cure="Write the whole path, as /home/anna/holm")
    try:
        path = Path(text).expanduser()
    except RuntimeError as error:
        raise BadConfiguration("nobody here has this name", Path(text), "Write the whole path") from error
    is_text = "\0" not in text and text.isprintable() and len(text.encode()) < LONGEST_PATH
    is_too_long = any(len(part.encode("utf-8", "replace")) > LONGEST_NAME for part in path.parts)
    if is_too_long or not is_text or not path.is_absolute() or ".." in path.parts:
        raise BadConfiguration(
            f"this does not say {what}", Path(text.replace("\0", "")), "Write the whole path, from / on"
        )
    return path
