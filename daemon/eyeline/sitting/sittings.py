"""Sittings: where one sitter's turn ends and the next begins. Nobody is recognised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from eyeline.sitting.shot import Shot, in_order

LONG_PAUSE_SECONDS = 300.0
"""A pause that parts sittings: a change of clothes or light takes less, the next sitter's arrival and
light test take more (common practice)."""

Camera = tuple[str, str | None]


@dataclass(frozen=True, slots=True)
class Sitting:
    """Frames of one sitting: `rows` are places in the sequence of shots, in the order taken.

    `begins`: in words why a sitting begins here.
    """

    rows: tuple[int, ...]
    begins: str


def sittings(shots: Sequence[Shot]) -> tuple[Sitting, ...]:
    """Part `shots` into sittings: by name where one is given, else by folder and camera, and within
    these by a long pause or a frame that shows no face.

    Cameras are kept apart since their clocks differ. Frames without a face belong to no sitting.
    Frames without a time stand in the order of their names, after those with one.
    """
    named: dict[str, list[int]] = {}
    unnamed: dict[Camera, list[int]] = {}
    for row, shot in enumerate(shots):
        if shot.sitting:
            named.setdefault(shot.sitting, []).append(row)
        else:
            unnamed.setdefault((shot.folder, shot.serial), []).append(row)
    found = []
    for name, rows in named.items():
        faces = tuple(row for row in _ordered(rows, shots) if not shots[row].shows_no_face)
        if faces:
            found.append(Sitting(faces, f"it is named {name}"))
    for rows in unnamed.values():
        found += _parted(_ordered(rows, shots), shots)
    return tuple(found)


def _ordered(rows: Sequence[int], shots: Sequence[Shot]) -> list[int]:
    return sorted(rows, key=lambda row: in_order(shots[row]))


def _parted(rows: Sequence[int], shots: Sequence[Shot]) -> list[Sitting]:
    found: list[Sitting] = []
    current: list[int] = []
    begins, last = "it is the first of its folder and camera", None

    def end() -> None:
        if current:
            found.append(Sitting(tuple(current), begins))
            current.clear()

    for row in rows:
        shot = shots[row]
        seconds = shot.seconds
        if last is not None and seconds is not None and seconds - last > LONG_PAUSE_SECONDS:
            end()
            begins = f"after a pause of {(seconds - last) / 60:.0f} min"
        if shot.shows_no_face:
            end()
            begins = f"after a frame without a face, {shot.name}"
        else:
            current.append(row)
        last = seconds
    end()
    return found
