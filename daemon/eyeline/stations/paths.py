"""The same photo by two paths: the daemon's, and that of a station on another machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import BadConfiguration


@dataclass(frozen=True, slots=True)
class PathMap:
    """`pairs`: a folder as the daemon names it (`there`), and the same folder on this machine (`here`).

    What lies in none of them has the same path on both. Nothing is guessed; that the map is right is checked
    when a station joins (`joining`).
    """

    pairs: tuple[tuple[Path, Path], ...] = ()

    def here(self, path: Path) -> Path:
        """The path on this machine of what the daemon calls `path`: by the innermost folder that holds it."""
        holding = [(there, here) for there, here in self.pairs if path.is_relative_to(there)]
        if not holding:
            return path
        there, here = max(holding, key=lambda pair: len(pair[0].parts))
        return here / path.relative_to(there)


def path_map(words: Sequence[str]) -> PathMap:
    """The map in `words`, each THERE=HERE, both absolute. Raises BadConfiguration."""
    pairs = []
    for word in words:
        there, equals, here = word.partition("=")
        if not equals or not Path(there).is_absolute() or not Path(here).is_absolute():
            raise BadConfiguration(
                f"--map {word} names no two folders",
                cure="Say the folder as the daemon names it, =, the same folder on this machine: "
                "--map /volumes/shoot=/mnt/nas/shoot",
            )
        pairs.append((Path(there), Path(here)))
    if len({there for there, _ in pairs}) < len(pairs):
        raise BadConfiguration("--map names a folder twice", cure="Name each folder of the daemon once")
    return PathMap(tuple(pairs))
