"""The grammar of what a person sets: the configuration, a folder's own file, a brief.

Their JSON Schemas and the tables of keys in the documentation are made from these (`published`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

from eyeline.settings.file_path import FilePath
from eyeline.settings.workers_table import WorkersTable
from eyeline.toml_files.grammar import (
    LINE,
    REQUIRED,
    Default,
    Kind,
    Short,
    between,
    check,
    one_of,
    whole_between,
)

QUIET_SECONDS = 2.0  # a slow card reader pauses for less between two blocks (common practice)
LONGEST_QUIET_SECONDS = 3600.0
SITTING_QUIET_SECONDS = 20.0  # strobes recycle in 2 to 5 s; a sitter who pauses longer changes the pose
LONGEST_UNWRITTEN_SECONDS = 300.0  # a sitting without a pause is written all the same
PREVIEWS_GB = 5.0  # some 20,000 photos at 0.2 to 0.3 MB each: a season
MOST_PREVIEWS_GB = 10_000.0
PAUSE_SECONDS = 10.0  # strobes recycle in 2 to 5 s: nobody is taking pictures, and nobody has left yet
MOST_WANTED = 1000
MOST_PIXELS = 100_000  # along a side; the largest sensors have a sixth of it

_SIZE = re.compile(r"([1-9][0-9]{0,5}) ?[x×] ?([1-9][0-9]{0,5})")


def _are_names(value: Any) -> bool:
    return (
        isinstance(value, list)
        and all(isinstance(name, str) and name.strip() for name in value)
        and len(set(value)) == len(value)
    )


def _sizes(value: Any) -> tuple[tuple[int, int], ...]:
    if not isinstance(value, list):
        raise ValueError
    found = []
    for each in value:
        size = _SIZE.fullmatch(each) if isinstance(each, str) else None
        if size is None or max(int(size[1]), int(size[2])) > MOST_PIXELS:
            raise ValueError
        found.append((int(size[1]), int(size[2])))
    return tuple(found)


def _is_command(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, str) and each for each in value)


def _is_name_beside(value: Any) -> bool:
    return (
        isinstance(value, str) and value.isprintable() and Path(value).name == value and value[-4:] == ".csv"
    )


GenreNames = Annotated[
    tuple[str, ...],
    Kind(
        'a list of different names, such as ["corporate headshot"]',
        {"type": "array", "items": {"type": "string", "pattern": r"\S"}, "uniqueItems": True},
        check(_are_names, tuple),
    ),
]
Sizes = Annotated[
    tuple[tuple[int, int], ...],
    Kind(
        'a list of sizes in pixels, such as ["1600x2000"]',
        {"type": "array", "items": {"type": "string", "pattern": f"^{_SIZE.pattern}$"}},
        _sizes,
    ),
]
NameBeside = Annotated[
    str,
    Kind(
        "the name of a .csv file in the same folder",
        {"type": "string", "pattern": r"^[^/\u0000-\u001f\u007f]+\.csv$"},
        check(_is_name_beside),
    ),
]
Command = Annotated[
    tuple[str, ...],
    Kind(
        'a list of a program and its words, such as ["/usr/local/bin/ring", "-q"]',
        {"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": 1},
        check(_is_command, tuple),
    ),
]
Seconds = Annotated[float, between(0, LONGEST_QUIET_SECONDS)]
OneLine = Annotated[str, LINE]


@dataclass(frozen=True, slots=True)
class FolderTable:
    """A folder to watch."""

    path: Annotated[FilePath | None, "a folder to watch, with all below it", REQUIRED] = None
    genres: Annotated[GenreNames | None, "genres for the photos in this folder", Default("`genres`")] = None


@dataclass(frozen=True, slots=True)
class TellTable:
    """What the daemon tells while photos arrive, and how."""

    desktop: Annotated[bool | None, "by notifications of the desktop", Default("true")] = None
    sound: Annotated[
        bool | None, "with the sound of a message, where the desktop plays one", Default("false")
    ] = None
    command: Annotated[
        Command | None,
        "a command of your own and its words; it gets what is told as JSON on its standard input",
        Default("none"),
    ] = None
    file: Annotated[FilePath | None, "a file to which everything is added as JSON lines", Default("none")] = (
        None
    )
    socket: Annotated[
        bool | None, "to other programs of yours, by a local socket beside the ledger", Default("true")
    ] = None
    pause_seconds: Annotated[
        Seconds | None,
        "how long no frame must come until lines that are still empty are told",
        Default(f"{PAUSE_SECONDS}"),
    ] = None
    card_in: Annotated[bool | None, "that a card is in", Default("true")] = None
    line_empty: Annotated[
        bool | None, "lines of the brief that are still empty when the sitting pauses", Default("true")
    ] = None
    flash_missed: Annotated[bool | None, "a flash that did not fire twice running", Default("true")] = None
    eyes_soft: Annotated[bool | None, "soft eyes three times running", Default("true")] = None
    disk_nearly_full: Annotated[bool | None, "a disk with less than 5 GB free", Default("true")] = None


@dataclass(frozen=True, slots=True)
class ConfigurationTable:
    """The configuration of eyeline: how it works, where and how it writes."""

    genres: Annotated[
        GenreNames | None, "genres that each photo is judged on", Default("the shipped brief")
    ] = None
    workers: Annotated[
        Annotated[WorkersTable, Short("count")] | None,
        "how many photos are measured at the same time, and where: a number, or a table",
        Default("one a processor, as memory allows"),
    ] = None
    quiet_seconds: Annotated[
        Seconds | None,
        "how long a file must stay unchanged before it is opened, unless a close or a rename tells its end",
        Default(f"{QUIET_SECONDS}"),
    ] = None
    write: Annotated[
        Annotated[Literal["sidecar", "embedded"], one_of("sidecar", "embedded")] | None,
        "where to write: into XMP sidecars, or for JPEGs into the JPEG itself (never into other photos)",
        Default('"sidecar"'),
    ] = None
    sidecar_name: Annotated[
        Annotated[Literal["replace", "append"], one_of("replace", "append")] | None,
        "name of a new sidecar: IMG_1.xmp, or IMG_1.jpg.xmp with the extension appended",
        Default('"replace"'),
    ] = None
    five_stars: Annotated[bool | None, "whether eyeline may give 5 stars", Default("false")] = None
    when_gone: Annotated[
        Annotated[Literal["ask", "write"], one_of("ask", "write")] | None,
        "where all that it wrote is gone at once: wait for `eyeline take-back`, or write anew",
        Default('"ask"'),
    ] = None
    sitting_quiet_seconds: Annotated[
        Seconds | None,
        "the daemon writes sidecars when no photo has come for so long: other programs read them once",
        Default(f"{SITTING_QUIET_SECONDS}"),
    ] = None
    longest_unwritten_seconds: Annotated[
        Seconds | None,
        "the daemon writes sidecars after so long, even if photos keep coming",
        Default(f"{LONGEST_UNWRITTEN_SECONDS}"),
    ] = None
    sitter_keyword: Annotated[
        Annotated[Literal["none", "number", "name"], one_of("none", "number", "name")] | None,
        "keyword of a frame whose sitter is known: none, the number as in sitter 17, or the name in the list",
        Default('"none"'),
    ] = None
    ledger: Annotated[
        FilePath | None, "the ledger's file, on a local disk", Default("in the user's data folder")
    ] = None
    rules: Annotated[
        FilePath | None, "folder of your own genres", Default("`rules` beside this file's default place")
    ] = None
    previews: Annotated[
        FilePath | None,
        "folder of small versions of your photos, for sheets and pages",
        Default("in the user's cache folder"),
    ] = None
    previews_gb: Annotated[
        Annotated[float, between(0, MOST_PREVIEWS_GB)] | None,
        "gigabytes that small versions may take, the oldest going first; 0 keeps none",
        Default(f"{PREVIEWS_GB:g}"),
    ] = None
    tell: Annotated[TellTable | None, "what the daemon tells, and how"] = None
    folder: Annotated[list[FolderTable], "folders to watch"] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class LineTable:
    """One line of a brief: how many frames are wanted of which genre."""

    genre: Annotated[OneLine | None, "the genre that the frames are judged on", REQUIRED] = None
    wanted: Annotated[
        Annotated[int, whole_between(1, MOST_WANTED)] | None, "how many different frames", Default("1")
    ] = None
    sizes: Annotated[
        Sizes | None, "sizes of the finished picture; each frame must yield all of them", Default("any")
    ] = None
    called: Annotated[OneLine | None, "your own words for the line", Default("the genre's name")] = None
    per: Annotated[
        Annotated[Literal["job", "sitter"], one_of("job", "sitter")] | None,
        "whether `wanted` counts for the whole job or for each sitter",
        Default('"job"'),
    ] = None


@dataclass(frozen=True, slots=True)
class BriefTable:
    """A brief: what is wanted of a sitting."""

    brief: Annotated[list[LineTable], "the lines of the brief"] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class FolderFileTable:
    """`eyeline.toml` in a watched folder: what the photos here and below are judged on."""

    genres: Annotated[
        GenreNames | None,
        "genres for the photos here and below, besides those of the brief",
        Default("those of the configuration"),
    ] = None
    sitting: Annotated[OneLine | None, "name of the sitting in this folder", Default("none")] = None
    sitters: Annotated[
        Annotated[
            Literal["slates", "pauses", "folders", "said"], one_of("slates", "pauses", "folders", "said")
        ]
        | None,
        "what parts one sitter from the next, where the brief counts per sitter: a frame without a face; "
        "the same or a pause of five minutes; a folder each; only what you say by `eyeline sitter`",
        Default('"slates"'),
    ] = None
    sitter_list: Annotated[
        NameBeside | None,
        "CSV file of the sitters in the order of the chairs: number,name a line, or one of the two",
        Default("none: sitters are numbered as they come"),
    ] = None
    brief: Annotated[list[LineTable], "the lines of the brief"] = field(default_factory=list)
