"""The configuration: one TOML file, every key optional, all defaults here.

How and where to write is said here and nowhere else; a watched folder's own file (`folder_file`) may
choose genres and name a sitting, no more.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

import platformdirs

from eyeline.errors import BadConfiguration
from eyeline.previews.store import Previews
from eyeline.settings.grammar import (
    LONGEST_UNWRITTEN_SECONDS,
    PAUSE_SECONDS,
    PREVIEWS_GB,
    QUIET_SECONDS,
    SITTING_QUIET_SECONDS,
    ConfigurationTable,
)
from eyeline.settings.machine import default_workers
from eyeline.sidecar.naming import Naming
from eyeline.toml_files.file import read_file, refuse_mistakes
from eyeline.toml_files.grammar import stated
from eyeline.toml_files.lines import KeyPath
from eyeline.toml_files.mistake import Problem, mistakes_at
from eyeline.toml_files.parse import Parsed
from eyeline.toml_files.values import named

BYTES_PER_GB = 1_000_000_000


def configuration_path() -> Path:
    """Where the configuration lies unless somebody says otherwise."""
    return platformdirs.user_config_path("eyeline", appauthor=False) / "config.toml"


def default_ledger() -> Path:
    """The ledger in the platform's folder for a user's data."""
    return platformdirs.user_data_path("eyeline", appauthor=False) / "ledger.sqlite3"


def default_previews() -> Path:
    """The folder of small versions in the platform's folder for what a user can do without."""
    return platformdirs.user_cache_path("eyeline", appauthor=False) / "previews"


def default_certificates() -> Path:
    """This machine's certificates beside the configuration."""
    return platformdirs.user_config_path("eyeline", appauthor=False) / "certificates"


def default_rules() -> Path:
    """The user's own rules beside the configuration."""
    return platformdirs.user_config_path("eyeline", appauthor=False) / "rules"


@dataclass(frozen=True, slots=True)
class WatchedFolder:
    """A folder to watch; `genres` empty: those of the configuration."""

    path: Path
    genres: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tell:
    """What the daemon tells, and how. `TellTable` says what each field means."""

    desktop: bool = True
    sound: bool = False
    command: tuple[str, ...] = ()
    file: Path | None = None
    socket: bool = True
    pause_seconds: float = PAUSE_SECONDS
    card_in: bool = True
    line_empty: bool = True
    flash_missed: bool = True
    eyes_soft: bool = True
    disk_nearly_full: bool = True


@dataclass(frozen=True, slots=True)
class Configuration:
    """What the user has set, with the defaults for the rest. `ConfigurationTable` says what each field means.

    All paths are absolute. `genres` empty: the shipped brief. `file`: where it was read from, None
    for defaults alone; `lines`: of its keys.
    """

    folders: tuple[WatchedFolder, ...] = ()
    genres: tuple[str, ...] = ()
    workers: int = field(default_factory=default_workers)
    engine: Literal["processes", "dask"] = "processes"
    scheduler: str | None = None
    certificates: Path = field(default_factory=default_certificates)
    quiet_seconds: float = QUIET_SECONDS
    write: Literal["sidecar", "embedded"] = "sidecar"
    sidecar_name: Literal["replace", "append"] = "replace"
    five_stars: bool = False
    when_gone: Literal["ask", "write"] = "ask"
    sitting_quiet_seconds: float = SITTING_QUIET_SECONDS
    longest_unwritten_seconds: float = LONGEST_UNWRITTEN_SECONDS
    sitter_keyword: Literal["none", "number", "name"] = "none"
    tell: Tell = field(default_factory=Tell)
    ledger: Path = field(default_factory=default_ledger)
    rules: Path = field(default_factory=default_rules)
    previews: Path = field(default_factory=default_previews)
    previews_gb: float = PREVIEWS_GB
    file: Path | None = field(default=None, compare=False)
    lines: Mapping[KeyPath, int] = field(default_factory=dict, compare=False, repr=False)

    @property
    def naming(self) -> Naming:
        """Which file carries the XMP of a photo."""
        if self.write == "sidecar":
            return Naming(self.sidecar_name)
        return Naming.EMBED if self.sidecar_name == "replace" else Naming.EMBED_OR_APPEND

    @property
    def small_versions(self) -> Previews:
        """Where small versions of photos are kept."""
        return Previews(self.previews, int(self.previews_gb * BYTES_PER_GB))

    def genres_for(self, photo: Path) -> tuple[str, ...]:
        """The genres for a photo: those of the innermost watched folder that names any, else the global."""
        holding = [one for one in self.folders if one.genres and photo.is_relative_to(one.path)]
        innermost = max(holding, key=lambda one: len(one.path.parts), default=None)
        return innermost.genres if innermost else self.genres


def load_configuration(path: Path | None = None) -> Configuration:
    """The configuration in `path`, or in its default place; defaults where there is none in that.

    Raises BadConfiguration with every mistake and its line, also where a given `path` is not there.
    """
    place = path or configuration_path()
    try:
        file = read_file(place, ConfigurationTable)
    except FileNotFoundError as error:
        if path is None:
            return Configuration()
        raise BadConfiguration("there is no such file", path, "Name a configuration that exists") from error
    beside = place.parent.absolute()
    folders = _folders(file, beside)
    refuse_mistakes(place, file.mistakes, "Mend what is named; nothing was changed")
    found = stated(file.table) | {"folders": folders, "file": place, "lines": file.lines}
    found.pop("folder", None)
    if file.table.tell is not None:
        told = Tell(**stated(file.table.tell))
        found["tell"] = replace(told, file=beside / told.file) if told.file is not None else told
    if (workers := found.pop("workers", None)) is not None:
        said = stated(workers)
        found |= {"workers": said.pop("count")} if "count" in said else {}
        found |= said
    for name in {"ledger", "rules", "previews", "certificates"} & found.keys():
        found[name] = beside / found[name]
    return Configuration(**found)


def _folders(file: Parsed[ConfigurationTable], beside: Path) -> tuple[WatchedFolder, ...]:
    folders: dict[Path, WatchedFolder] = {}
    for number, table in enumerate(file.table.folder):
        key: KeyPath = ("folder", number)
        if table.path is None:
            if (*key, "path") not in file.lines:
                file.wrong(key, "this folder has no path")
            continue
        path = beside / table.path
        if path in folders:
            file.wrong((*key, "path"), f"{named(str(table.path))} is named twice")
        folders[path] = WatchedFolder(path, table.genres or ())
    return tuple(folders.values())


def check_genres(configuration: Configuration, known: Collection[str]) -> None:
    """Raise BadConfiguration, with lines, where `configuration` names a genre that is not `known`."""
    if configuration.file is None:
        return
    problems = unknown_genres(("genres",), configuration.genres, known)
    for number, one in enumerate(configuration.folders):
        problems += unknown_genres(("folder", number, "genres"), one.genres, known)
    mistakes = mistakes_at(problems, str(configuration.file), configuration.lines)
    refuse_mistakes(
        configuration.file, mistakes, "Mend what is named, or add a genre of that name to your rules"
    )


def unknown_genres(key: KeyPath, genres: Collection[str], known: Collection[str]) -> list[Problem]:
    """A problem for every genre listed at `key` that is not `known`."""
    names = tuple(sorted(known))
    return [
        Problem((*key, number), f"no genre is called {named(genre)}", genre, names)
        for number, genre in enumerate(genres)
        if genre not in known
    ]
