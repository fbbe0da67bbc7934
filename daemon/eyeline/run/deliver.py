"""Delivery: each planned file is rendered, checked, put in its place whole, and measured again."""

from __future__ import annotations

import errno
import os
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from hashlib import blake2b
from pathlib import Path

from eyeline.delivery.promise import broken
from eyeline.delivery.specification import Specification
from eyeline.errors import EyelineError, UnreadablePhoto, printable, unforeseen
from eyeline.intake.status import status_of
from eyeline.judging.columns import columns_of
from eyeline.judging.verdict import judge
from eyeline.ledger.records import Delivery
from eyeline.rendering.encode import encoded
from eyeline.rendering.file_facts import breaches
from eyeline.rendering.render import rendered
from eyeline.run.delivery_plan import DeliveryPlan, FileToMake
from eyeline.run.session import Session
from eyeline.system.whole_file import made_whole, write_whole
from eyeline.terms.measurement import Measurement
from eyeline.workers.measure_again import measure_again
from eyeline.workers.pool import PHOTOS_WORTH_A_WORKER, outcome
from eyeline.workers.quiet import quiet_native_logs

AHEAD = 4
"""Files that wait to be measured again while the next are rendered."""

NO_MORE = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO})
"""What ends the delivery: the disk is full or cannot be written, so no other file can be either."""


@dataclass(frozen=True, slots=True)
class Delivered:
    """What became of one file.

    `state`: "written", "unchanged", "would be written", "not made". `problem`: why not. `broken`: what the
    file as measured again does not keep of its promise. `said`: what a person should know besides.
    `measured`: numbers of the file itself.
    """

    file: FileToMake
    target: Path
    state: str
    problem: str | None = None
    broken: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    quality: int | None = None
    size_bytes: int | None = None
    content: str | None = None
    measured: Mapping[str, float | None] | None = None

    @property
    def is_there(self) -> bool:
        """Whether a file lies there that says what it should."""
        return self.state in ("written", "unchanged") and not self.broken


@dataclass(frozen=True, slots=True)
class _Waiting:
    delivered: Delivered
    again: Future[Mapping[str, Measurement]] | None


def deliver(
    session: Session,
    plan: DeliveryPlan,
    specification: Specification,
    out: Path,
    dry_run: bool,
    made: Callable[[Delivered], None] = lambda _: None,
) -> Iterator[Delivered]:
    """Make the files of `plan` below `out`; yields what became of each, in their order.

    Originals and finals are opened to read only. Raises EyelineError where the target cannot be written.
    """
    if not dry_run:
        _prepare(out)
    waiting: deque[_Waiting] = deque()
    few = len(plan.files) <= PHOTOS_WORTH_A_WORKER
    session.pool.expect(len(plan.files))
    for file in plan.files:
        waiting.append(_begun(session, file, specification, out, dry_run, few))
        if len(waiting) > AHEAD:
            yield _measured(session, waiting.popleft(), made)
    while waiting:
        yield _measured(session, waiting.popleft(), made)


def _prepare(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        what = f"the target folder cannot be made ({error.strerror})"
        raise EyelineError(what, out, "Name a folder that you may write") from error
    if not os.access(out, os.W_OK | os.X_OK):
        raise EyelineError("the target folder is read-only", out, "Name a folder that you may write")


def _begun(
    session: Session, file: FileToMake, specification: Specification, out: Path, dry_run: bool, few: bool
) -> _Waiting:
    target = out / file.name
    try:
        return _rendered(session, file, specification, out, target, dry_run, few)
    except OSError as error:
        if error.errno in NO_MORE:
            what = f"the target cannot be written ({error.strerror}); what is there is whole"
            raise EyelineError(what, target, "Free some space, then do the same again: it goes on") from error
        problem = f"it cannot be written ({error.strerror or error})"
    except EyelineError as error:
        problem = str(error)
    except Exception as error:  # whatever it is: one file's, and the others go on
        problem = str(unforeseen(error, file.source.path))
    return _Waiting(Delivered(file, target, "not made", problem), None)


def _rendered(
    session: Session,
    file: FileToMake,
    specification: Specification,
    out: Path,
    target: Path,
    dry_run: bool,
    few: bool,
) -> _Waiting:
    _stay_inside(out, target)
    kept = session.ledger.deliveries.of(target)
    is_ours = _is_ours(target, kept)
    if kept is not None and is_ours and kept.inputs == file.inputs and os.path.lexists(target):
        found = Delivered(file, target, "unchanged", size_bytes=kept.size_bytes, content=kept.content)
        return _Waiting(found, None)
    if not is_ours:
        raise EyelineError("another file has this name", target, "Move it away, or deliver elsewhere")
    said = _said(file)
    if dry_run:
        return _Waiting(Delivered(file, target, "would be written", said=said), None)
    picture = rendered(file.source.pixels(), file.box, file.size, specification)
    if not picture.was_tagged and file.source.kind != "preview":
        said = (*said, "no usable profile in it: taken as sRGB")
    done = encoded(picture, specification, file.packet)
    wrong = breaches(done.content, file.size, specification, picture.profile)
    if wrong:
        raise UnreadablePhoto(f"the file as made is not what was asked for: {'; '.join(wrong)}", target)
    if file.source.is_the_frame and status_of(file.source.path) is None:
        raise UnreadablePhoto("it vanished while it was rendered", file.source.path)
    target.parent.mkdir(parents=True, exist_ok=True)
    _stay_inside(out, target)
    if os.path.lexists(target):
        write_whole(target, done.content)
    else:
        with made_whole(target) as unnamed:
            unnamed.write_bytes(done.content)
    content = blake2b(done.content, digest_size=32).hexdigest()
    status = target.stat()
    session.ledger.deliveries.keep(
        Delivery(
            target,
            file.photo.frame.path,
            file.photo.frame.digest,
            file.inputs,
            content,
            status.st_size,
            status.st_mtime_ns,
            datetime.now(UTC),
        )
    )
    found = Delivered(file, target, "written", None, (), said, done.quality, len(done.content), content)
    return _Waiting(found, _again(session, target, bool(file.caution), few))


def _again(session: Session, target: Path, every: bool, few: bool) -> Future[Mapping[str, Measurement]]:
    """The file measured again: by workers, or where there are `few` here, which is done before one starts."""
    if not few:
        return session.pool.measure_again(target, every)
    answer: Future[Mapping[str, Measurement]] = Future()
    try:
        with quiet_native_logs():
            answer.set_result(measure_again(target, every))
    except Exception as error:  # `outcome` tells it as that of a worker
        answer.set_exception(error)
    return answer


def _stay_inside(out: Path, target: Path) -> None:
    """Raise EyelineError where a link leads out of the target folder."""
    if not target.parent.resolve().is_relative_to(out.resolve()) or target.is_symlink():
        raise EyelineError("a link leads out of the target folder", target, "Remove the link")


def _is_ours(target: Path, kept: Delivery | None) -> bool:
    """Whether nothing lies at `target`, or a file that was delivered there and nobody touched since."""
    try:
        status = target.lstat()
    except FileNotFoundError:
        return True
    if kept is None:
        return False
    if (status.st_size, status.st_mtime_ns) == (kept.size_bytes, kept.modified_ns):
        return True
    if status.st_size != kept.size_bytes:
        return False
    return blake2b(target.read_bytes(), digest_size=32).hexdigest() == kept.content


def _said(file: FileToMake) -> tuple[str, ...]:
    said = []
    if file.scale > 1:
        said.append(f"scaled up {file.scale:.2f} times")
    if file.source.kind == "preview":
        said.append("made from the preview in the RAW")
    if file.caution:
        said.append(file.caution)
    return tuple(said)


def _measured(session: Session, waiting: _Waiting, made: Callable[[Delivered], None]) -> Delivered:
    """What became of a file, with what it measures by its own pixels."""
    delivered = waiting.delivered
    if waiting.again is not None:
        answer = outcome(delivered.target, waiting.again)
        if isinstance(answer, EyelineError):
            delivered = replace(delivered, said=(*delivered.said, f"not measured again: {answer.what}"))
        else:
            delivered = _compared(session, delivered, answer)
    made(delivered)
    return delivered


def _compared(session: Session, delivered: Delivered, known: Mapping[str, Measurement]) -> Delivered:
    numbers = {name: _number(known.get(name)) for name in ("eye_line", "head_height", "eye_blur_px")}
    wrong = tuple(broken(delivered.file.promise, numbers))
    said = delivered.said
    if numbers["eye_line"] is None and delivered.file.promise.eye_line is not None:
        said = (*said, "no face was found in it again: look at it")
    if delivered.file.caution:
        said = (*said, *_by_the_issuer(session, delivered.file, known))
    return replace(delivered, broken=wrong, said=said, measured=numbers)


def _number(measurement: Measurement | None) -> float | None:
    value = measurement.value if measurement is not None else None
    return float(value) if isinstance(value, (int, float)) else None


def _by_the_issuer(session: Session, file: FileToMake, known: Mapping[str, Measurement]) -> tuple[str, ...]:
    """What the issuer of an identity document would find in the exported file, by the genre's numbers."""
    rules = session.decider.rules
    judgement = judge(
        columns_of([known], rules.quantities.values()),
        rules.brief([file.line.genre]),
        rules.vocabulary,
        rules.quantities,
    )
    faults = [each for each in judgement.reasons(0) if each.stars_at_most is not None or each.cost > 0]
    return tuple(f"by {file.line.genre}: {each.sentence}" for each in faults[:3])


def named(delivered: Delivered) -> str:
    """How a file is called in a message: its frame, its line, its size."""
    size = f"{delivered.file.size[0]}×{delivered.file.size[1]}"
    return f"{printable(delivered.file.photo.frame.path.name)}, {printable(delivered.file.line.name)}, {size}"
