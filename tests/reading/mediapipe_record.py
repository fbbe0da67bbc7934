"""Write down what mediapipe 0.10.21 sees in pictures, to be compared with what eyeline's own graph sees.

    uv venv --python 3.11 REFERENCE; uv pip install --python REFERENCE/bin/python mediapipe==0.10.21
    REFERENCE/bin/python tests/reading/mediapipe_record.py OUT.npz PICTURE...
    REFERENCE/bin/python tests/reading/mediapipe_record.py --hands OUT.npz PICTURE...

Runs by itself, in an environment that holds mediapipe and no eyeline: the two want different versions of
numpy. `mediapipe_shoot.npz` beside this file is of every fourth frame of the bundled shoot,
`mediapipe_hands.npz` of what `python -m tests.reading.hand_pictures FOLDER` draws.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np

WHOLE_PX, CROP_PX, SQUARE_PX = 512, 384, 256
"""Long side of the picture for the full-range detector; sides of those for the mesh and the silhouette."""

CROP_FACES = 2.0
"""Side of the mesh's picture in face boxes."""

LEAST_MESH_CONFIDENCE = 0.2
"""Score from which eyeline lets the short-range detector's face count."""


def whole(path: Path) -> np.ndarray:
    """The picture, RGB, with `WHOLE_PX` along its long side."""
    rgb = cv2.cvtColor(cv2.imread(str(path)), cv2.COLOR_BGR2RGB)
    scale = WHOLE_PX / max(rgb.shape[:2])
    size = round(rgb.shape[1] * scale), round(rgb.shape[0] * scale)
    return cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)


def crop(rgb: np.ndarray, box: np.ndarray) -> np.ndarray:
    """The square of two faces about `box`: left, top, right, bottom in pixels of `rgb`."""
    scale = CROP_PX / (CROP_FACES * float(max(box[2] - box[0], box[3] - box[1])))
    x, y = float(box[0] + box[2]) / 2, float(box[1] + box[3]) / 2
    matrix = np.array([[scale, 0, CROP_PX / 2 - scale * x], [0, scale, CROP_PX / 2 - scale * y]])
    return cv2.warpAffine(rgb, matrix, (CROP_PX, CROP_PX), borderMode=cv2.BORDER_REPLICATE)


def square(rgb: np.ndarray) -> np.ndarray:
    """The picture stretched to the silhouette's square."""
    return cv2.resize(rgb, (SQUARE_PX, SQUARE_PX), interpolation=cv2.INTER_AREA)


def recorded(paths: list[Path]) -> dict[str, np.ndarray]:
    """For every picture: `NAME.faces` float64 (n, 17), box, six points and score of each face, in pixels of
    the whole; `NAME.landmarks` float32 (478, 3), in pixels of the crop about the first face, of length 0
    where the mesh finds none, absent where there is no face; `NAME.person` uint8 (256, 256), probability
    times 255."""
    from mediapipe.python.solutions.face_detection import FaceDetection
    from mediapipe.python.solutions.face_mesh import FaceMesh
    from mediapipe.python.solutions.selfie_segmentation import SelfieSegmentation

    detector = FaceDetection(model_selection=1)
    mesh = FaceMesh(
        static_image_mode=True, refine_landmarks=True, min_detection_confidence=LEAST_MESH_CONFIDENCE
    )
    silhouette = SelfieSegmentation(model_selection=0)
    kept = {}
    for path in paths:
        rgb = whole(path)
        faces = np.array([_numbers(each, rgb) for each in detector.process(rgb).detections or []])
        kept[f"{path.stem}.faces"] = faces.reshape(-1, 17)
        mask = silhouette.process(square(rgb)).segmentation_mask
        kept[f"{path.stem}.person"] = np.rint(255 * mask).astype(np.uint8)
        if len(faces):
            found = mesh.process(crop(rgb, faces[0, :4])).multi_face_landmarks
            points = [(p.x, p.y, p.z) for p in found[0].landmark] if found else []
            kept[f"{path.stem}.landmarks"] = np.array(points, np.float32).reshape(-1, 3) * np.float32(CROP_PX)
    return kept


PALMS = """
input_stream: "image" output_stream: "palms" input_side_packet: "complexity"
node {
  calculator: "PalmDetectionCpu" input_stream: "IMAGE:image" input_side_packet: "MODEL_COMPLEXITY:complexity"
  output_stream: "DETECTIONS:palms"
}
"""
"""mediapipe's own graph about its palm detector; its Python interface shows palms only as whole hands."""

LITE = 0
"""The smaller of its two palm detectors."""


def recorded_palms(paths: list[Path]) -> dict[str, np.ndarray]:
    """For every picture `NAME.palms`, float64 (n, 19): box, seven points and score of each palm, in pixels of
    the whole."""
    import mediapipe
    from google.protobuf import text_format
    from mediapipe.framework.calculator_pb2 import CalculatorGraphConfig
    from mediapipe.python import packet_creator, packet_getter
    from mediapipe.python._framework_bindings import resource_util

    resource_util.set_resource_dir(str(Path(mediapipe.__file__).parents[1]))
    graph = mediapipe.CalculatorGraph(graph_config=text_format.Parse(PALMS, CalculatorGraphConfig()))
    found: dict[int, Any] = {}
    graph.observe_output_stream(
        "palms",
        lambda _, packet: found.update({packet.timestamp.value: packet_getter.get_proto_list(packet)}),
    )
    graph.start_run({"complexity": packet_creator.create_int(LITE)})
    pictures = [np.ascontiguousarray(whole(path)) for path in paths]
    for number, rgb in enumerate(pictures):
        packet = packet_creator.create_image_frame(image_format=mediapipe.ImageFormat.SRGB, data=rgb)
        graph.add_packet_to_input_stream("image", packet.at(number))
    graph.wait_until_idle()
    graph.close()
    return {
        f"{path.stem}.palms": np.array([_numbers(each, rgb) for each in found.get(number, [])]).reshape(
            -1, 19
        )
        for number, (path, rgb) in enumerate(zip(paths, pictures, strict=True))
    }


def _numbers(detection: Any, rgb: np.ndarray) -> list[float]:
    height, width = rgb.shape[:2]
    area = detection.location_data.relative_bounding_box
    left, top = area.xmin * width, area.ymin * height
    points = [
        axis
        for point in detection.location_data.relative_keypoints
        for axis in (point.x * width, point.y * height)
    ]
    return [left, top, left + area.width * width, top + area.height * height, *points, detection.score[0]]


if __name__ == "__main__":
    words = sys.argv[1:]
    of_hands = words[0] == "--hands"
    out, *pictures = words[1:] if of_hands else words
    record = recorded_palms if of_hands else recorded
    np.savez_compressed(out, **record([Path(word) for word in pictures]))
