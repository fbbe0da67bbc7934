"""All that the models see in one picture."""

from __future__ import annotations

from eyeline.reading.finder import find_boxes
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.silhouette import body_silhouette, head_silhouette
from eyeline.terms.face import Face, Seen
from eyeline.terms.frame import Picture


def look(picture: Picture) -> Seen:
    """Find faces, choose the sitter, and take the sitter's landmarks and silhouettes."""
    boxes = find_boxes(picture)
    if not boxes:
        return Seen((), None, "no face was found", None, None)
    faces = [Face(box, None, score) for box, score in boxes]
    box, score = boxes[0]
    sitter = Face(box, landmarks_in(picture, box), score)
    faces[0] = sitter
    return Seen(
        tuple(faces),
        sitter,
        "the only face" if len(faces) == 1 else "the largest face",
        head_silhouette(picture, box),
        body_silhouette(picture),
    )
