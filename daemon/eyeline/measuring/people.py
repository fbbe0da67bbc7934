"""How many faces the frame shows, and how a group stands in it."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from eyeline.terms.face import Face
from eyeline.terms.measurement import FrameMeasure, FrameSubject, Measurement, Quantity

MEANING = "faces found; a face on a poster or a screen counts, for one picture cannot tell it apart"


FOREHEAD, CHIN = 10, 152
"""Places of the face mesh: the top of the forehead and the chin, both on the face's midline."""

NO_GROUP = "the frame shows one face"
NO_MESH = "not every face has landmarks"


def _group(subject: FrameSubject) -> Sequence[Measurement]:
    faces = subject.seen.faces
    found = [Measurement("people", len(faces))]
    if len(faces) < 2:
        why = NO_GROUP if faces else "no face was found"
        return [*found, *(Measurement(name, None, why) for name in ("face_spread", "outer_edge_room"))]
    boxes = [(*face.box, face.box[2] - face.box[0]) for face in faces]
    room = min(min(left, subject.frame.width - right) / wide for left, _, right, _, wide in boxes)
    heights = [_height(face) for face in faces]
    known = [each for each in heights if each is not None and each > 0]
    spread = (
        Measurement("face_spread", max(known) / min(known))
        if len(known) == len(faces)
        else Measurement("face_spread", None, NO_MESH)
    )
    return [*found, spread, Measurement("outer_edge_room", room)]


def _height(face: Face) -> float | None:
    """Forehead to chin, pixels."""
    if face.landmarks is None:
        return None
    across, down = (face.landmarks[FOREHEAD] - face.landmarks[CHIN])[:2]
    return hypot(float(across), float(down))


MEASURE = FrameMeasure(
    quantities=(
        Quantity("people", "count", MEANING),
        Quantity("face_spread", "ratio", "forehead to chin, the largest face of a group over the smallest"),
        Quantity("outer_edge_room", "face widths", "the outermost face of a group to the nearer side edge"),
    ),
    function=_group,
    source="common practice: faces found, a group's spread",
)
