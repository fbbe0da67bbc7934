"""The faces beside the sitter's: whether their eyes are open and sharp too. In a group everyone counts."""

from __future__ import annotations

from collections.abc import Sequence

from eyeline.measuring.covers import covered_parts
from eyeline.measuring.eye_blur import eye_blurs
from eyeline.measuring.eye_network import look_at_eyes
from eyeline.measuring.eyes import LEAST_BETWEEN_PX, probability_open
from eyeline.terms.face import Face
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement, Quantity, SitterMeasure, Subject
from eyeline.terms.points import LEFT_EYE, RIGHT_EYE

LEAST_SHARE = 0.4
"""Height of a face box over the sitter's from which somebody belongs to the picture: people of one group
differ less (common practice, group: 1.3), one who passes by behind is smaller."""

ALONE = "the frame shows no other face of like size"
UNTOLD = "of no other face could the eyes be told"


def _measured(subject: Subject) -> Sequence[Measurement]:
    heights = subject.sitter.height_px
    faces = [
        face
        for face in subject.seen.faces
        if face is not subject.seen.sitter and face.height_px >= LEAST_SHARE * heights
    ]
    if not faces:
        return [Measurement("others", 0), *_missing(ALONE)]
    opened = [eyes_open(subject.picture, face) for face in faces]
    blurs = [blur_iris(subject.picture, face) for face in faces]
    known_opened = [each for each in opened if each is not None]
    known_blurs = [each for each in blurs if each is not None]
    untold = sum(lids is None or blur is None for lids, blur in zip(opened, blurs, strict=True))
    return [
        Measurement("others", len(faces)),
        Measurement("others_untold", untold),
        _of("others_eyes_open", [min(known_opened)] if known_opened else []),
        _of("others_blur_least", [min(known_blurs)] if known_blurs else []),
        _of("others_blur_most", [max(known_blurs)] if known_blurs else []),
    ]


def eyes_open(picture: Picture, face: Face) -> float | None:
    """Probability that both eyes of `face` are open; None where that cannot be told."""
    if face.landmarks is None:
        return None
    covered = covered_parts(picture, face.landmarks)
    if LEFT_EYE in covered or RIGHT_EYE in covered:
        return None
    seen = look_at_eyes(picture.rgb, face.landmarks)
    return None if seen.between_px < LEAST_BETWEEN_PX else probability_open(seen)


def blur_iris(picture: Picture, face: Face) -> float | None:
    """Sigma at the sharper eye of `face` in iris diameters; None where it cannot be told."""
    eyes = [] if face.landmarks is None else eye_blurs(picture, face.landmarks)
    if not eyes:
        return None
    return min(eye.blur.sigma_px for eye in eyes) / (2 * max(eye.radius for eye in eyes))


def _of(name: str, values: Sequence[float]) -> Measurement:
    return Measurement(name, round(values[0], 4)) if values else Measurement(name, None, UNTOLD)


def _missing(reason: str) -> list[Measurement]:
    return [Measurement(quantity.name, None, reason) for quantity in MEASURE.quantities[1:]]


MEASURE = SitterMeasure(
    quantities=(
        Quantity("others", "count", "faces beside the sitter's that are at least 0.4 times as high"),
        Quantity("others_untold", "count", "those of them whose lids or sharpness cannot be told"),
        Quantity("others_eyes_open", "0 to 1", "probability that both eyes are open, of the least open"),
        Quantity("others_blur_least", "fraction of iris diameter", "blur at the eyes, of the sharpest"),
        Quantity("others_blur_most", "fraction of iris diameter", "blur at the eyes, of the softest"),
    ),
    function=_measured,
    source="as for the sitter (eyes_open, eye_blur_iris); common practice: every face of a group counts",
)
