"""Where faces are: boxes from the full-range detector."""

from __future__ import annotations

from eyeline.reading import models
from eyeline.terms.frame import Picture

Box = tuple[float, float, float, float]
"""left, top, right, bottom in pixels of the full-size picture."""


def find_boxes(picture: Picture) -> list[tuple[Box, float]]:
    """Every face box with the detector's score, largest first."""
    found = models.face_detector().process(picture.reduced)
    boxes: list[tuple[Box, float]] = []
    for detection in found.detections or []:
        area = detection.location_data.relative_bounding_box
        left, top = area.xmin * picture.width, area.ymin * picture.height
        box = (left, top, left + area.width * picture.width, top + area.height * picture.height)
        boxes.append((box, float(detection.score[0])))
    return sorted(boxes, key=lambda item: item[0][1] - item[0][3])
