"""The pictures of a sheet: small versions kept while measuring, else drawn anew in workers."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from eyeline.errors import EyelineError
from eyeline.ledger.records import Photo
from eyeline.previews.drawing import Kind
from eyeline.previews.store import Bound, Previews
from eyeline.workers.draw import ToDraw
from eyeline.workers.pool import WorkerPool, outcome

Key = tuple[str, int]
"""Digest and orientation of a photo."""

WAITING_PER_WORKER = 2
"""Photos given out per worker: none idles, and few pictures wait in memory."""


def key_of(photo: Photo) -> Key:
    """What its small versions are found by."""
    return photo.frame.digest, photo.frame.orientation


@dataclass(frozen=True, slots=True)
class Pictures:
    """JPEGs by photo. `drawn`: how many photos were opened for them; `problems`: with which it failed."""

    of: Mapping[Key, bytes]
    drawn: int
    problems: tuple[EyelineError, ...]


def pictures(
    photos: Sequence[Photo],
    kind: Kind,
    previews: Previews,
    workers: int,
    change: Callable[[Photo, bytes], bytes],
) -> Pictures:
    """The small version `kind` of each of `photos`, each put through `change`.

    What is kept is changed by so many `workers`, threads of this process: decoding and encoding let others
    run. What is not kept, or no longer whole, is drawn by as many processes and kept from then on; a photo is
    opened once at most.
    """
    missing: dict[Key, Photo] = {}
    kept: dict[Key, tuple[Photo, Path]] = {}
    for photo in photos:
        key = key_of(photo)
        path = previews.file(*key, kind)
        if path is None:
            missing[key] = photo
        else:
            kept.setdefault(key, (photo, path))

    def changed(key: Key) -> bytes | None:
        photo, path = kept[key]
        with suppress(OSError, ValueError):  # gone since, or damaged: drawn anew
            return change(photo, path.read_bytes())
        return None

    with ThreadPoolExecutor(workers, "pictures") as threads:
        answers = dict(zip(kept, threads.map(changed, kept), strict=True))
    found = {key: content for key, content in answers.items() if content is not None}
    missing |= {key: photo for key, (photo, _) in kept.items() if key not in found}
    problems: list[EyelineError] = []
    if missing:
        with WorkerPool(workers) as pool:
            pool.expect(len(missing))
            _draw(missing, kind, previews, pool, workers * WAITING_PER_WORKER, change, found, problems)
    return Pictures(found, len(missing), tuple(problems))


def _draw(
    missing: Mapping[Key, Photo],
    kind: Kind,
    previews: Previews,
    pool: WorkerPool,
    at_once: int,
    change: Callable[[Photo, bytes], bytes],
    found: dict[Key, bytes],
    problems: list[EyelineError],
) -> None:
    bound = Bound(previews)
    waiting = deque(missing.items())
    given_out: deque[tuple[Key, Future[Mapping[Kind, bytes]]]] = deque()
    while waiting or given_out:
        while waiting and len(given_out) < at_once:
            key, photo = waiting.popleft()
            given_out.append((key, pool.sketch(ToDraw(photo.frame, photo.points))))
        key, future = given_out.popleft()
        drawn = outcome(missing[key].frame.path, future)
        if isinstance(drawn, EyelineError):
            problems.append(drawn)
            continue
        found[key] = change(missing[key], drawn[kind])
        with suppress(OSError):  # a full disk: they are drawn again next time
            bound.grew(previews.keep(*key, drawn))
