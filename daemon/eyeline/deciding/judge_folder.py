"""Photos of one folder judged together, from the numbers that the ledger keeps."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from eyeline.cropping.suggest import Suggestions, Uncropped, suggestions
from eyeline.deciding.same_exposure import exposures_around
from eyeline.intake.status import status_of
from eyeline.judging.columns import columns_of
from eyeline.judging.rulebook import Rulebook
from eyeline.judging.verdict import judge
from eyeline.ledger.ledger import Ledger
from eyeline.ledger.records import Photo
from eyeline.settings.rules import RulesInForce
from eyeline.sitting.ranking import Judged, best_of_series
from eyeline.sitting.set_measures import set_measures
from eyeline.sitting.shot import Shot
from eyeline.terms.measurement import Measurement
from eyeline.terms.verdict import Verdict


def judged_together(
    photos: Sequence[Photo],
    brief: Sequence[Rulebook],
    sittings: Mapping[Path, str],
    rules: RulesInForce,
    five_stars: bool,
    cropped: Container[Path] | None = None,
) -> Iterator[tuple[Photo, Verdict]]:
    """The verdict of each photo as shot, with its crops; each photo comes back with the measures of the
    set. `photos` are all of one folder; `sittings` names the sitting of those that have one (`seating`).
    Crops cost more than all else, so a caller that asks for few says by `cropped` which paths get them."""
    measurements = measured_together(photos, sittings)
    judgement = judge(
        columns_of(measurements, rules.quantities.values()),
        brief,
        rules.vocabulary,
        rules.quantities,
        five_stars=five_stars,
    )
    placed = best_of_series(
        [
            Judged(photo.frame.path.name, series_of(known), judgement.verdict(row), known)
            for row, (photo, known) in enumerate(zip(photos, measurements, strict=True))
        ],
        rules.vocabulary,
    )
    for row, each in enumerate(placed):
        if each.rank is not None:
            measurements[row]["series_rank"] = Measurement("series_rank", each.rank)
    crops = _crops(photos, measurements, [each.verdict for each in placed], rules, cropped)
    for row, photo in enumerate(photos):
        verdict = placed[row].verdict
        if (found := crops.get(row)) is not None:
            verdict = replace(verdict, crops=found.crops, no_crops=found.no_crops)
        yield replace(photo, measurements=tuple(measurements[row].values())), verdict


def _crops(
    photos: Sequence[Photo],
    measurements: Sequence[Mapping[str, Measurement]],
    verdicts: Sequence[Verdict],
    rules: RulesInForce,
    cropped: Container[Path] | None,
) -> dict[int, Suggestions]:
    """The crops of the photos that show a sitter, by row; those of one genre are sought together."""
    of_genre: dict[str, dict[int, Uncropped]] = {}
    for row, (photo, known, verdict) in enumerate(zip(photos, measurements, verdicts, strict=True)):
        wanted = cropped is None or photo.frame.path in cropped
        if wanted and photo.points is not None and verdict.stars is not None:
            frame = Uncropped(photo.points, photo.frame.width, photo.frame.height, known)
            of_genre.setdefault(verdict.genre, {})[row] = frame
    found: dict[int, Suggestions] = {}
    for genre, frames in of_genre.items():
        answers = suggestions([*frames.values()], rules.rules.genre(genre), rules.quantities.values())
        found |= zip(frames, answers, strict=True)
    return found


def measured_photos(ledger: Ledger, paths: Iterable[Path]) -> list[Photo]:
    """Every measured photo at or under `paths` that is still there, each once, by path."""
    found: dict[Path, Photo] = {}
    for path in paths:
        one = ledger.photos.at(path)
        for photo in [one] if one is not None else ledger.photos.under(path):
            if status_of(photo.frame.path) is not None:
                found[photo.frame.path] = photo
    return [found[path] for path in sorted(found)]


def photos_in(ledger: Ledger, folder: Path) -> list[Photo]:
    """Every measured photo that lies in `folder` itself and is still there, by path."""
    return [photo for photo in ledger.photos.in_folder(folder) if status_of(photo.frame.path) is not None]


def measured_exposures(ledger: Ledger, paths: Sequence[Path]) -> list[Photo]:
    """Every measured photo at or under `paths`, one for each exposure: RAW and JPEG are one picture."""
    photos = {photo.frame.path: photo for photo in measured_photos(ledger, paths)}
    follows = exposures_around(ledger, photos).follows
    return [photo for path, photo in photos.items() if follows.get(path) not in photos]


def by_folder(photos: Sequence[Photo]) -> dict[Path, list[Photo]]:
    """Group `photos` by the folder that they lie in."""
    found: dict[Path, list[Photo]] = {}
    for photo in photos:
        found.setdefault(photo.frame.path.parent, []).append(photo)
    return found


def shot_of(photo: Photo, sitting: str | None) -> Shot:
    """What the set needs to know of `photo`, in the sitting of that name, if it has one."""
    return Shot(
        photo.frame.path.name,
        str(photo.frame.path.parent),
        photo.frame.capture.taken_at,
        photo.frame.capture.serial,
        {each.name: each for each in photo.measurements},
        photo.points,
        sitting,
    )


def measured_together(photos: Sequence[Photo], sittings: Mapping[Path, str]) -> list[dict[str, Measurement]]:
    """The measurements of each photo by name, with those of the set."""
    shots = [shot_of(photo, sittings.get(photo.frame.path)) for photo in photos]
    return [
        dict(shot.measurements) | together for shot, together in zip(shots, set_measures(shots), strict=True)
    ]


def series_of(known: Mapping[str, Measurement]) -> str | None:
    """The id of a photo's series, where it has one."""
    value = known["series"].value
    return None if value is None else str(value)
