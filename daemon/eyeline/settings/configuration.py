"""The configuration: one TOML file, every key optional, all defaults here.

How and where to write is said here and nowhere else; a watched folder's own file (`folder_file`) may
choose genres and name a sitting, no more.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import platformdirs

from eyeline.errors import BadConfiguration
from eyeline.sidecar.naming import Naming
from eyeline.toml_files.file import TomlFile, nearest, read_toml, shown
from eyeline.toml_files.lines import KeyPath

MOST_WORKERS = 64
MOST_WORKERS_UNASKED = 4  # each holds the models and a full-size picture; beside it people work
QUIET_SECONDS = 2.0  # a slow card reader pauses for less between two blocks (common practice)
LONGEST_QUIET_SECONDS = 3600.0
SITTING_QUIET_SECONDS = 20.0  # strobes recycle in 2 to 5 s; a sitter who pauses longer changes the pose
LONGEST_UNWRITTEN_SECONDS = 300.0  # a sitting without a pause is written all the same


def configuration_path() -> Path:
    """Where the configuration lies unless somebody says otherwise."""
    return platformdirs.user_config_path("eyeline", appauthor=False) / "config.toml"


def default_workers() -> int:
    """One worker a processor that this process may use, within reason."""
    may_use = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(may_use, MOST_WORKERS_UNASKED)


def default_ledger() -> Path:
    """The ledger in the platform's folder for a user's data."""
    return platformdirs.user_data_path("eyeline", appauthor=False) / "ledger.sqlite3"


def default_rules() -> Path:
    """The user's own rules beside the configuration."""
    return platformdirs.user_config_path("eyeline", appauthor=False) / "rules"


@dataclass(frozen=True, slots=True)
class WatchedFolder:
    """A folder to watch; `genres` empty: those of the configuration."""

    path: Path
    genres: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Configuration:
    """What the user has set, with the defaults for the rest. KEYS says what each field means.

    All paths are absolute. `genres` empty: the shipped brief. `file`: where it was read from, None
    for defaults alone; `lines`: of its keys.
    """

    folders: tuple[WatchedFolder, ...] = ()
    genres: tuple[str, ...] = ()
    workers: int = field(default_factory=default_workers)
    quiet_seconds: float = QUIET_SECONDS
    write: Literal["sidecar", "embedded"] = "sidecar"
    sidecar_name: Literal["replace", "append"] = "replace"
    five_stars: bool = False
    when_gone: Literal["ask", "write"] = "ask"
    sitting_quiet_seconds: float = SITTING_QUIET_SECONDS
    longest_unwritten_seconds: float = LONGEST_UNWRITTEN_SECONDS
    ledger: Path = field(default_factory=default_ledger)
    rules: Path = field(default_factory=default_rules)
    file: Path | None = field(default=None, compare=False)
    lines: Mapping[KeyPath, int] = field(default_factory=dict, compare=False, repr=False)

    @property
    def naming(self) -> Naming:
        """Which file carries the XMP of a photo."""
        if self.write == "sidecar":
            return Naming(self.sidecar_name)
        return Naming.EMBED if self.sidecar_name == "replace" else Naming.EMBED_OR_APPEND

    def genres_for(self, photo: Path) -> tuple[str, ...]:
        """The genres for a photo: those of the innermost watched folder that names any, else the global."""
        holding = [one for one in self.folders if one.genres and photo.is_relative_to(one.path)]
        innermost = max(holding, key=lambda one: len(one.path.parts), default=None)
        return innermost.genres if innermost else self.genres


def _path(value: Any, folder: Path) -> Path:
    if not isinstance(value, str) or not value or "\0" in value:
        raise ValueError
    try:
        return folder.absolute() / Path(value).expanduser()
    except RuntimeError as error:  # ~somebody who has no home here
        raise ValueError from error


def read_names(value: Any, _: Path) -> tuple[str, ...]:
    """A list of different names. Raises ValueError."""
    if not isinstance(value, list) or not all(isinstance(name, str) and name.strip() for name in value):
        raise ValueError
    if len(set(value)) < len(value):
        raise ValueError
    return tuple(value)


def _number(low: float, high: float, *types: type) -> Callable[[Any, Path], Any]:
    def read(value: Any, _: Path) -> Any:
        if type(value) not in types or not low <= value <= high:
            raise ValueError
        return value

    return read


def _one_of(*words: str | bool) -> Callable[[Any, Path], Any]:
    def read(value: Any, _: Path) -> Any:
        if not any(type(value) is type(word) and value == word for word in words):
            raise ValueError
        return value

    return read


def read_words(value: Any, _: Path) -> str:
    """Text on one line. Raises ValueError."""
    if not isinstance(value, str) or not (value == "" or value.isprintable()):
        raise ValueError
    return value


@dataclass(frozen=True, slots=True)
class Key:
    """One key: what it expects, its default and its meaning in words, and how its value is read.

    `read` is given the parsed value and the folder that relative paths start from; it raises
    ValueError where the value is not what `expects` says.
    """

    name: str
    expects: str
    default: str
    meaning: str
    read: Callable[[Any, Path], Any]


NAMES = 'a list of different names, such as ["corporate headshot"]'
KEYS = (
    Key("genres", NAMES, "the shipped brief", "genres that each photo is judged on", read_names),
    Key(
        "workers",
        f"a whole number from 1 to {MOST_WORKERS}",
        f"one a processor, at most {MOST_WORKERS_UNASKED}",
        "how many photos are measured at the same time",
        _number(1, MOST_WORKERS, int),
    ),
    Key(
        "quiet_seconds",
        f"a number from 0 to {LONGEST_QUIET_SECONDS:.0f}",
        f"{QUIET_SECONDS}",
        "how long a file must stay unchanged before it is opened",
        _number(0, LONGEST_QUIET_SECONDS, int, float),
    ),
    Key(
        "write",
        '"sidecar" or "embedded"',
        '"sidecar"',
        "where to write: into XMP sidecars, or for JPEGs into the JPEG itself (never into other photos)",
        _one_of("sidecar", "embedded"),
    ),
    Key(
        "sidecar_name",
        '"replace" or "append"',
        '"replace"',
        "name of a new sidecar: IMG_1.xmp, or IMG_1.jpg.xmp with the extension appended",
        _one_of("replace", "append"),
    ),
    Key("five_stars", "true or false", "false", "whether eyeline may give 5 stars", _one_of(True, False)),
    Key(
        "when_gone",
        '"ask" or "write"',
        '"ask"',
        "where all that it wrote is gone at once: wait for `eyeline take-back`, or write anew",
        _one_of("ask", "write"),
    ),
    Key(
        "sitting_quiet_seconds",
        f"a number from 0 to {LONGEST_QUIET_SECONDS:.0f}",
        f"{SITTING_QUIET_SECONDS}",
        "the daemon writes sidecars when no photo has come for so long: other programs read them once",
        _number(0, LONGEST_QUIET_SECONDS, int, float),
    ),
    Key(
        "longest_unwritten_seconds",
        f"a number from 0 to {LONGEST_QUIET_SECONDS:.0f}",
        f"{LONGEST_UNWRITTEN_SECONDS}",
        "the daemon writes sidecars after so long, even if photos keep coming",
        _number(0, LONGEST_QUIET_SECONDS, int, float),
    ),
    Key("ledger", "a path", "in the user's data folder", "the ledger's file, on a local disk", _path),
    Key("rules", "a path", "`rules` beside this file's default place", "folder of your own genres", _path),
)
FOLDER_KEYS = (
    Key("folder.path", "a path", "required", "a folder to watch, with all below it", _path),
    Key("folder.genres", NAMES, "`genres`", "genres for the photos in this folder", read_names),
)


def key_table() -> str:
    """Every key of the configuration as a Markdown table, for the documentation."""
    rows = [
        f"| `{key.name}` | {key.meaning} | {key.expects} | {key.default} |" for key in (*KEYS, *FOLDER_KEYS)
    ]
    return "\n".join(["| key | meaning | expects | default |", "| --- | --- | --- | --- |", *rows])


def load_configuration(path: Path | None = None) -> Configuration:
    """The configuration in `path`, or in its default place; defaults where there is none in that.

    Raises BadConfiguration with every fault and its line, also where a given `path` is not there.
    """
    try:
        file = read_toml(path or configuration_path())
    except FileNotFoundError as error:
        if path is None:
            return Configuration()
        raise BadConfiguration("there is no such file", path, "Name a configuration that exists") from error
    found = read_keys(file, (), file.content, KEYS, also=("folder",))
    folders = _folders(file)
    file.refuse("Mend what is named; nothing was changed")
    return Configuration(**found, folders=folders, file=file.path, lines=file.lines)


def read_keys(
    file: TomlFile,
    table: KeyPath,
    content: Mapping[str, Any],
    keys: Collection[Key],
    also: Collection[str] = (),
) -> dict[str, Any]:
    """Every value in `content`, the table at `table` of `file`; faults are noted in `file`.

    `also`: names that are read elsewhere.
    """
    by_name = {key.name.rpartition(".")[2]: key for key in keys}
    found = {}
    for name, value in content.items():
        if name in also:
            continue
        if name not in by_name:
            file.fault((*table, name), f"unknown key {shown(name)}: {nearest(name, (*by_name, *also))}")
            continue
        try:
            found[name] = by_name[name].read(value, file.path.parent)
        except ValueError:
            file.fault((*table, name), f"{name!r} is {shown(value)}, where {by_name[name].expects} belongs")
    return found


def _folders(file: TomlFile) -> tuple[WatchedFolder, ...]:
    tables = file.content.get("folder", [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        file.fault(("folder",), "'folder' is to be a table of its own for each folder, headed [[folder]]")
        return ()
    folders: list[WatchedFolder] = []
    for number, table in enumerate(tables):
        found = read_keys(file, ("folder", number), table, FOLDER_KEYS)
        if "path" not in table:
            file.fault(("folder", number), "this folder has no 'path'")
        elif "path" in found:
            if any(found["path"] == one.path for one in folders):
                file.fault(("folder", number, "path"), f"{shown(table['path'])} is named twice")
            folders.append(WatchedFolder(**found))
    return tuple(folders)


def check_genres(configuration: Configuration, known: Collection[str]) -> None:
    """Raise BadConfiguration, with lines, where `configuration` names a genre that is not `known`."""
    if configuration.file is None:
        return
    file = TomlFile(configuration.file, {}, configuration.lines)
    named: list[tuple[KeyPath, tuple[str, ...]]] = [(("genres",), configuration.genres)]
    named += [(("folder", n, "genres"), one.genres) for n, one in enumerate(configuration.folders)]
    for key, genres in named:
        refuse_unknown_genres(file, key, genres, known)
    file.refuse("Mend what is named, or add a genre of that name to your rules")


def refuse_unknown_genres(
    file: TomlFile, key: KeyPath, genres: Collection[str], known: Collection[str]
) -> None:
    """Note in `file` every genre listed at `key` that is not `known`."""
    for number, genre in enumerate(genres):
        if genre not in known:
            file.fault((*key, number), f"unknown genre {shown(genre)}: {nearest(genre, known)}")
