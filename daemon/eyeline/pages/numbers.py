"""What a person calls a frame: the number that the camera gave it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from eyeline.errors import printable
from eyeline.selecting.name import frame_name


def numbers(paths: Sequence[Path]) -> Mapping[Path, str]:
    """For each of `paths` the number in its name, as in the list of what went out to a client, leading zeros
    kept; the name without its ending where there is none, or where another of `paths` has the same; with it,
    and with the folder, where that is not enough.
    """
    kinds = (
        _digits,
        lambda path: path.stem,
        lambda path: path.name,
        lambda path: f"{path.parent.name}/{path.name}",
    )
    found: dict[Path, str] = {}
    left = list(paths)
    for kind in kinds:
        counted = Counter(map(kind, left))
        found |= {path: printable(kind(path)) for path in left if counted[kind(path)] == 1 and kind(path)}
        left = [path for path in left if path not in found]
    return found | {path: printable(path) for path in left}


def _digits(path: Path) -> str:
    return frame_name(path.name).digits
