"""eyeline's own graph around the face models beside mediapipe 0.10.21, on any pictures.

    python -m tests.reading.against_mediapipe RECORD.npz PICTURE...

RECORD.npz is what mediapipe_record.py wrote of the same pictures.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from eyeline.reading.detector import FULL_RANGE
from eyeline.reading.finder import LEAST_SCORE
from eyeline.reading.mesh import MESH_PX, REGION_FACES, landmarks_of
from eyeline.reading.silhouette import person_in
from tests.reading.mediapipe_record import crop, square, whole


@dataclass
class Differences:
    """Of all pictures: `other_faces` and `other_meshes`, the names of those in which one sees a face and the
    other does not; `face_px` of the boxes and points, in pixels of the detector's 192; `landmark_px`, the
    worst landmark of each face, in pixels of the mesh's 192; `grey_levels`, the mean over each silhouette,
    of 255."""

    other_faces: list[str] = field(default_factory=list)
    other_meshes: list[str] = field(default_factory=list)
    face_px: list[float] = field(default_factory=list)
    landmark_px: list[float] = field(default_factory=list)
    grey_levels: list[float] = field(default_factory=list)


def differences(record: Path, paths: list[Path]) -> Differences:
    """eyeline's answers to the pictures that were recorded, less mediapipe's."""
    found = Differences()
    with np.load(record) as stored:
        for path in paths:
            rgb = whole(path)
            _compare_faces(found, path.stem, rgb, stored[f"{path.stem}.faces"])
            person = stored[f"{path.stem}.person"]
            found.grey_levels.append(float(np.abs(255 * person_in(square(rgb)) - person).mean()))
            if f"{path.stem}.landmarks" in stored:
                box = stored[f"{path.stem}.faces"][0, :4]
                _compare_landmarks(found, path.stem, crop(rgb, box), stored[f"{path.stem}.landmarks"])
    return found


def _compare_faces(found: Differences, name: str, rgb: np.ndarray, theirs: np.ndarray) -> None:
    ours = FULL_RANGE.found(rgb, LEAST_SCORE)
    if len(ours) != len(theirs):
        found.other_faces.append(name)
        return
    for face, expected in zip(ours, theirs, strict=True):
        places = np.concatenate([face.box, face.points.ravel()])
        worst = np.abs(places - expected[:-1]).max()
        found.face_px.append(float(worst) * FULL_RANGE.side_px / max(rgb.shape[:2]))


def _compare_landmarks(found: Differences, name: str, rgb: np.ndarray, theirs: np.ndarray) -> None:
    ours = landmarks_of(rgb)
    if (ours is None) != (len(theirs) == 0):
        found.other_meshes.append(name)
    elif ours is not None:
        region = REGION_FACES * float(np.ptp(theirs[:468, :2], axis=0).max())
        found.landmark_px.append(float(np.abs(ours - theirs).max()) * MESH_PX / region)


def main() -> None:
    """Print the differences."""
    paths = [Path(word) for word in sys.argv[2:]]
    found = differences(Path(sys.argv[1]), paths)
    print(f"{len(paths)} pictures")
    print(f"faces seen by one only: {found.other_faces}; meshes: {found.other_meshes}")
    for what, values in (
        ("box and points of a face, px of 192", found.face_px),
        ("worst landmark of a face, px of 192", found.landmark_px),
        ("silhouette, mean grey levels", found.grey_levels),
    ):
        median, most, largest = np.percentile(values, [50, 99, 100])
        print(f"{what} (n = {len(values)}): median {median:.4f}, 99th {most:.4f}, largest {largest:.4f}")


if __name__ == "__main__":
    main()
