"""Changes of a genre, put into the user's own rule file; what else it says, comments included, stays."""

from __future__ import annotations

import difflib
import re
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from math import isinf
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from eyeline.agreement.proposal import Change, CutChange, RangeChange, WeightChange
from eyeline.errors import BadConfiguration
from eyeline.settings.configuration import Configuration
from eyeline.settings.rules import checked
from eyeline.system.whole_file import write_whole


@dataclass(frozen=True, slots=True)
class Edit:
    """The user's own file of a genre, `before` and `after`; `before` is empty where there is none yet."""

    file: Path
    before: str
    after: str

    def difference(self) -> str:
        """In the form of `diff -u`."""
        before, after = (text.splitlines(keepends=True) for text in (self.before, self.after))
        return "".join(difflib.unified_diff(before, after, str(self.file), f"{self.file} (proposed)"))

    def apply(self) -> None:
        """Write it: the file is the old one or the new one, whole. Raises BadConfiguration."""
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self.file.resolve(), self.after.encode())
        except OSError as error:
            raise BadConfiguration(
                f"it cannot be written: {error.strerror}", self.file, "Make the rules folder writable"
            ) from error

    def is_as_left(self) -> bool:
        """Whether the file still is what `apply` made of it."""
        try:
            return self.file.read_text("utf-8") == self.after
        except (OSError, UnicodeDecodeError):
            return False

    def take_back(self) -> None:
        """Make the file what it was before; one that was not there goes. Raises BadConfiguration."""
        if self.before:
            Edit(self.file, self.after, self.before).apply()
            return
        try:
            self.file.unlink(missing_ok=True)
        except OSError as error:
            raise BadConfiguration(f"it cannot be removed: {error.strerror}", self.file) from error


LEARNED = "Your own changes of a shipped genre, learned from your ratings and crops."
TUNED = "Your own changes of a shipped genre."


def edit(
    genre: str,
    changes: Sequence[Change],
    configuration: Configuration,
    head: str = LEARNED,
    all_or_nothing: bool = False,
) -> Edit:
    """The edit that makes `changes` of `genre` in the user's rules folder; nothing is written.

    `head`: the first line of a file that is not there yet. Ranges that would break the law of the numbers
    are left as they are, unless `all_or_nothing`. Raises BadConfiguration where the user's file cannot be
    read or would have mistakes.
    """
    file, before = own_file(genre, configuration.rules)
    without_ranges = [each for each in changes if not isinstance(each, RangeChange)]
    mistakes = ""
    for attempt in (list(changes), *(() if all_or_nothing else (without_ranges,))):
        after = _changed(genre, before, attempt, file, head)
        mistakes = _mistakes(file.name, after, configuration)
        if not mistakes:
            return Edit(file, before, after)
    raise BadConfiguration(f"the proposed file would have mistakes: {mistakes}", file)


def edit_what_fits(
    genre: str, attempts: Sequence[Sequence[Change]], configuration: Configuration
) -> tuple[Edit | None, tuple[str, ...]]:
    """The edit of the first of `attempts` whose ranges can be met at once; where none can, of as many changes
    of the first as can, None if none; and the criteria whose ranges are left alone. Raises as `edit`."""
    for attempt in attempts:
        try:
            return edit(genre, attempt, configuration, all_or_nothing=True), ()
        except BadConfiguration:
            continue
    edit(genre, (), configuration, all_or_nothing=True)  # what is wrong already is no range's fault
    kept: list[Change] = [each for each in attempts[0] if not isinstance(each, RangeChange)]
    left = []
    for change in (each for each in attempts[0] if isinstance(each, RangeChange)):
        try:
            edit(genre, [*kept, change], configuration, all_or_nothing=True)
            kept.append(change)
        except BadConfiguration:
            left.append(change.criterion)
    return edit(genre, kept, configuration, all_or_nothing=True) if kept else None, tuple(left)


def own_file(genre: str, folder: Path) -> tuple[Path, str]:
    """The last of the user's files of this genre, since that one has the last word; else a new one."""
    for path in sorted(folder.glob("*.toml"), reverse=True):
        try:
            text = path.read_text("utf-8")
            if tomlkit.parse(text).get("name") == genre:
                return path, text
        except (OSError, UnicodeDecodeError, TOMLKitError):
            continue
    slug = re.sub(r"[^a-z0-9]+", "-", genre.lower()).strip("-") or "genre"
    path, number = folder / f"{slug}.toml", 1
    while path.exists():  # of another genre, or not to be read
        number += 1
        path = folder / f"{slug}-{number}.toml"
    return path, ""


def _changed(genre: str, before: str, changes: Sequence[Change], file: Path, head: str) -> str:
    try:
        document: Any = tomlkit.parse(before)
    except TOMLKitError as error:
        raise BadConfiguration(f"this is no TOML: {error}", file, "Mend what is named") from error
    if not before:
        document.add(tomlkit.comment(head))
        document["name"] = genre
    for change in changes:
        match change:
            case WeightChange(criterion=name, after=weight):
                _table(document, "criteria", name)["weight"] = weight
            case RangeChange(criterion=name, after=numbers):
                _put_range(_table(document, "criteria", name), numbers)
            case CutChange(stars=name, after=cut):
                _table(document, "stars")[name] = cut
    return tomlkit.dumps(document)


def _table(document: Any, *keys: str) -> Any:
    table = document
    for number, key in enumerate(keys):
        if key not in table:
            table[key] = tomlkit.table(is_super_table=number + 1 < len(keys))
        table = table[key]
    return table


def _put_range(table: Any, numbers: tuple[float, float, float, float]) -> None:
    low, ideal_low, ideal_high, high = numbers
    if isinf(ideal_high):
        table["at_least"], table["worst"] = ideal_low, low
    elif isinf(ideal_low):
        table["at_most"], table["worst"] = ideal_high, high
    else:
        table["between"], table["limits"] = [ideal_low, ideal_high], [low, high]


def _mistakes(name: str, text: str, configuration: Configuration) -> str:
    """What is wrong with `text` as a rule file on top of all others; empty where nothing is."""
    with tempfile.TemporaryDirectory(prefix="eyeline-") as folder:
        path = Path(folder) / name
        path.write_text(text, "utf-8")
        return "; ".join(str(mistake) for mistake in checked(path, configuration).mistakes)
