"""The view of a delivery: the selects hung from the eyes, what is missing, how far it is, what came out."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import printable
from eyeline.pages.eye_windows import EyeWindow, window_row
from eyeline.pages.review.brief_places import listed
from eyeline.pages.review.delivery_form import Typed
from eyeline.pages.review.delivery_job import Phase, Progress
from eyeline.pages.review.spread import Laid
from eyeline.rendering.encode import BYTES_A_KILOBYTE
from eyeline.run.delivered import Delivered, said_of_all
from eyeline.run.delivery_item import NotMade
from eyeline.run.delivery_missing import Selected
from eyeline.run.delivery_order import words_of

LARGE_SIDE, SMALL_SIDE = 240.0, 150.0
"""Longer side of a select, pixels; the smaller where there are many."""

MANY = 12
"""Selects of which more are hung smaller, so that a row or two holds them."""

NAMED = 8
"""Frames that are named in a row; the others are counted."""


@dataclass(frozen=True, slots=True)
class Select:
    """A selected frame. `for_whom`: line and sitter, "" where they are not known."""

    laid: Laid
    hung: EyeWindow
    for_whom: str
    has_final: bool


@dataclass(frozen=True, slots=True)
class Came:
    """A file of the delivery, or one that was not made. `is_wrong`: a person has to look."""

    name: str
    frame: str
    made_of: str
    state: str
    notes: tuple[str, ...]
    is_wrong: bool


@dataclass(frozen=True, slots=True)
class Home:
    """A folder with a brief of its own, or the root. `key`: names it in addresses."""

    key: str
    name: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class DeliveryPage:
    """All that the view shows. `line`, `height`: of the stave. `missing`: what, and which. `share`: of the
    files that are made, 0 to 1."""

    frames: int
    homes: tuple[Home, ...]
    sentence: str
    selects: tuple[Select, ...]
    line: float
    height: float
    missing: tuple[tuple[str, str], ...]
    typed: Typed
    key: str
    phase: Phase
    is_stopping: bool
    state: str
    share: float
    came: tuple[Came, ...]
    told: tuple[str, ...]
    where: str
    archive: str
    mistake: str

    @property
    def is_under_way(self) -> bool:
        """Whether there is something to stop."""
        return self.phase in (Phase.PLANNING, Phase.MAKING)


def delivery_page(
    frames: int,
    homes: tuple[Home, ...],
    laid: Sequence[Laid],
    selected: Selected,
    with_final: Collection[Path],
    in_vain: Sequence[str],
    progress: Progress,
    typed: Typed,
    mistake: str,
) -> DeliveryPage:
    """The page of the selected frames `laid`. `with_final`: those that have one by its name."""
    side = SMALL_SIDE if len(laid) > MANY else LARGE_SIDE
    scales = [side / max(each.frame.width, each.frame.height) for each in laid]
    stave = window_row([(each.frame, each.points) for each in laid], scales, [None] * len(laid))
    known = {each.photo.frame.path: each for each in selected.frames}
    of_many = len({each.sitter for each in selected.frames}) > 1

    def for_whom(each: Laid) -> str:
        found = known.get(each.path)
        if found is None:
            return ""
        return f"{found.sitter}, {found.line.name}" if of_many else found.line.name

    missing = _missing(laid, selected, with_final, in_vain)
    total = len(progress.plan.files) if progress.plan is not None else 0
    told = progress.plan.told if progress.plan is not None else ()
    return DeliveryPage(
        frames,
        homes,
        _sentence(laid, missing),
        tuple(
            Select(each, hung, for_whom(each), each.path in with_final)
            for each, hung in zip(laid, stave.hung, strict=True)
        ),
        stave.line,
        stave.height,
        missing,
        typed,
        next((each.key for each in homes if each.is_open), ""),
        progress.phase,
        progress.is_stopping,
        _state(progress, total),
        len(progress.done) / total if total else 0.0,
        tuple(_came(progress)),
        (*(f"Of all: {each}." for each in said_of_all(progress.done)), *told, *_earlier(progress)),
        printable(progress.order.out) if progress.order is not None else "",
        printable(progress.archive) if progress.archive is not None else "",
        mistake,
    )


def _sentence(laid: Sequence[Laid], missing: Sequence[tuple[str, str]]) -> str:
    if not laid:
        return "No frame is selected yet."
    frames = "One frame is" if len(laid) == 1 else f"{len(laid)} frames are"
    return f"{frames} selected{', and nothing is missing' if not missing else ''}."


def _missing(
    laid: Sequence[Laid], selected: Selected, with_final: Collection[Path], in_vain: Sequence[str]
) -> tuple[tuple[str, str], ...]:
    without = [each.number for each in laid if each.path not in with_final]
    rows = [
        ("Without a final", _named(without)),
        ("Lines without a select", _named(selected.lines_without)),
        ("Named by the client, not there", _named([printable(each) for each in in_vain])),
        ("Not known", selected.fault),
    ]
    return tuple(row for row in rows if row[1])


def _named(names: Sequence[str]) -> str:
    if not names:
        return ""
    more = [f"{len(names) - NAMED} more"] if len(names) > NAMED else []
    return listed([*names[:NAMED], *more])


def _state(progress: Progress, total: int) -> str:
    done = len(progress.done)
    match progress.phase:
        case Phase.NONE:
            return ""
        case _ if progress.is_stopping and progress.is_under_way:
            return "It stops as soon as the files in hand are finished."
        case Phase.PLANNING:
            return "Which files there will be is being worked out; finals are compared with their frames."
        case Phase.MAKING:
            return f"{done} of {total} files."
        case Phase.FAILED:
            return progress.problem
    assert progress.plan is not None
    words = words_of(progress.done, progress.plan)
    return f"Stopped. {words} What is there is whole." if progress.phase is Phase.STOPPED else words


def _earlier(progress: Progress) -> list[str]:
    return [
        f"{printable(each.name)} is none of these files, and lies there still" for each in progress.earlier
    ]


def _came(progress: Progress) -> list[Came]:
    of_all = said_of_all(progress.done)
    found = [_file(each, of_all) for each in progress.done]
    if progress.plan is not None:
        found += [_absent(each) for each in progress.plan.not_made]
    return sorted(found, key=lambda each: not each.is_wrong)


def _file(each: Delivered, of_all: Sequence[str]) -> Came:
    file = each.file
    size = f", {each.size_bytes // BYTES_A_KILOBYTE} kB" if each.size_bytes else ""
    made_of = file.whose.value + (", from the final" if file.source.kind == "final" else "") + size
    notes = (
        *((each.problem,) if each.problem else ()),
        *each.broken,
        *(note for note in each.said if note not in of_all),
    )
    name = printable(str(file.name.with_name(each.target.name)))
    frame = printable(file.photo.frame.path.name)
    return Came(name, frame, made_of, each.state, notes, each.is_wrong)


def _absent(each: NotMade) -> Came:
    size = f"{each.size[0]} × {each.size[1]}" if each.size is not None else ""
    name = f"{each.line}, {size}" if size else each.line
    return Came(name, printable(each.path.name), "", "not made", (each.reason,), True)


def homes_in(names: Mapping[str, Path], opened: Path | None) -> tuple[Home, ...]:
    """The folders of `names`, by their keys."""
    return tuple(Home(key, printable(path.name), path == opened) for key, path in names.items())
