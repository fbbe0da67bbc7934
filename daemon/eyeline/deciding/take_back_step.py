"""A correction taken back: byte for byte where nobody has written since, else field by field."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from eyeline.deciding.correct import Conflict, Correction, Step, Undoable, hand_of, make, remember
from eyeline.deciding.decide import Decider
from eyeline.errors import UnsafeSidecar
from eyeline.ledger.records import Photo, State
from eyeline.sidecar.outcome import Outcome as SidecarOutcome
from eyeline.sidecar.outcome import Result, digest_of
from eyeline.sidecar.replacing import Interrupted
from eyeline.sidecar.restoring import restore
from eyeline.sidecar.written import Written
from eyeline.terms.verdict import Verdict


def undo_step(decider: Decider, step: Step, verdict: Verdict, formats: tuple[str, ...]) -> None:
    """Make the photographer's part what it was before `step`, and eyeline's again what was eyeline's.

    Raises Conflict where somebody has decided otherwise since, and as `make`.
    """
    files = [each.photo for each in step.files]
    now = hand_of(decider, files[0], formats)
    if now != step.after:
        raise Conflict(files[0].frame.path, now)
    left = [each for each in step.files if not _put_back(decider, each, verdict)]
    if not left:
        return
    make(decider, [each.photo for each in left], verdict, inverse(step), None, formats)
    for _ in decider.decide([each.photo for each in left if _is_written(decider, each.photo)]):
        pass  # what is eyeline's again is written again


def inverse(step: Step) -> Correction:
    """The correction that leads from after `step` to before it."""
    made, before = step.correction, step.before
    had = {word.casefold() for word in before.words}
    changes = Correction()
    if made.stars is not None or made.stars_back:
        own = before.stars is not None and before.stars >= 1
        changes = (
            replace(changes, stars=round(before.stars))
            if own and before.stars
            else replace(changes, stars_back=True)
        )
    added = tuple(word for word in made.add_words if word.casefold() not in had)
    gone = tuple(word for word in (*made.take_out_words, *made.drop_words) if word.casefold() in had)
    back = tuple(word for word in made.take_out_words if word.casefold() not in had)
    changes = replace(changes, drop_words=added, add_words=gone, words_back=back)
    if made.crop_format is not None:
        changes = replace(changes, crop_format=made.crop_format, crop=before.crop(made.crop_format))
    return changes


def _put_back(decider: Decider, file: Undoable, verdict: Verdict) -> bool:
    """Put a sidecar back byte for byte; False where somebody has written since."""
    if file.after is None:
        return False
    try:
        if not restore(file.sidecar, (file.after,), file.content):
            return False
    except (OSError, Interrupted) as error:
        raise UnsafeSidecar(f"it cannot be put back ({error})", file.sidecar, "Try again") from error
    record = Written.from_json(file.written) if file.written is not None else None
    digest = digest_of(file.content)
    with decider.ledger.transaction():
        remember(
            decider,
            file.photo,
            verdict,
            SidecarOutcome(Result.WRITTEN, file.sidecar, "Put back", (), file.after, digest, record),
        )
        if file.pre_image is not None:
            decider.ledger.pre_images.keep(file.sidecar, file.pre_image, datetime.now(UTC))
    return True


def _is_written(decider: Decider, photo: Photo) -> bool:
    known = decider.ledger.files.known(photo.frame.path)
    return known is not None and known.state is State.WRITTEN
