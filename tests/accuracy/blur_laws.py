"""What must not move blur at the eye, and what must: `python -m tests.accuracy.blur_laws [SET ...]`.

One sharp frame of each sitter is changed in a known way (blurred in linear light by SciPy, scaled, flattened,
made noisy, relit, bent in tone, stored again, moved) and measured; the table says what came out over what
arithmetic expects. SET is `shoot` (default), `crowd` or `truth`.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, radians, sin

import cv2
import numpy as np
from scipy.ndimage import gaussian_filter

from eyeline.measuring.eye_blur import MEASURE
from eyeline.measuring.srgb import decode, encode
from eyeline.reading.finder import find_boxes
from eyeline.reading.jpeg import jpeg_stream
from eyeline.reading.mesh import landmarks_in
from eyeline.reading.picture import reduced
from eyeline.terms.face import Face
from eyeline.terms.frame import Picture
from eyeline.terms.measurement import Measurement
from tests.accuracy.figures.blur import is_within_goal
from tests.accuracy.portraits import Portrait, shared_set, shoot
from tests.measuring.close_up import close_up
from tests.measuring.shoot_sitters import Sitter
from tests.reading.whole import whole_picture_of

SHARP_BELOW_PX = 1.0
"""True sigma up to which a frame is a start for known blurs."""

SOFT_PX = 2.0
"""Blur laid over an eye before what must not change it: sharp eyes are told too finely to show a change."""

STREAK_PX = 12.0


@dataclass(frozen=True)
class Law:
    """`change` of the pixels, and the sigma that it makes of the true one, in pixels of what it returns."""

    name: str
    change: Callable[[np.ndarray], np.ndarray]
    expected: Callable[[float], float]
    scale: float = 1.0


def blurred(rgb: np.ndarray, sigma: float) -> np.ndarray:
    """Defocus in linear light."""
    return np.rint(encode(gaussian_filter(decode(rgb), (sigma, sigma, 0)))).astype(np.uint8)


def moved(rgb: np.ndarray, length: float, angle_deg: float) -> np.ndarray:
    """A uniform streak in linear light: the mean of shifted copies."""
    light = decode(rgb)
    total = np.zeros_like(light)
    steps = np.linspace(-length / 2, length / 2, 2 * int(length) + 1)
    for step in steps:
        x, y = step * cos(radians(angle_deg)), step * sin(radians(angle_deg))
        shift = np.array([[1, 0, x], [0, 1, y]], np.float32)
        total += cv2.warpAffine(light, shift, light.shape[1::-1], borderMode=cv2.BORDER_REPLICATE)
    return np.rint(encode(total / len(steps))).astype(np.uint8)


def _scaled(rgb: np.ndarray, scale: float) -> np.ndarray:
    size = round(rgb.shape[1] * scale), round(rgb.shape[0] * scale)
    return cv2.resize(rgb, size, interpolation=cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC)


def _stored(rgb: np.ndarray, quality: int) -> np.ndarray:
    file = cv2.imencode(".jpg", rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.ascontiguousarray(cv2.imdecode(file, cv2.IMREAD_COLOR)[..., ::-1])


def _noisy(rgb: np.ndarray, sigma: float) -> np.ndarray:
    noise = np.random.default_rng(6).normal(0, sigma, rgb.shape)
    return np.clip(np.rint(rgb + noise), 0, 255).astype(np.uint8)


def _level(curve: Callable[[np.ndarray], np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
    """Every 8-bit value by `curve`, which takes and gives 0 to 255."""
    table = np.rint(np.clip(curve(np.arange(256.0)), 0, 255)).astype(np.uint8)
    return lambda rgb: table[rgb]


def _soft(change: Callable[[np.ndarray], np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
    return lambda rgb: change(blurred(rgb, SOFT_PX))


def _same(name: str, change: Callable[[np.ndarray], np.ndarray], scale: float = 1.0) -> Law:
    return Law(name, _soft(change), lambda true: scale * hypot(true, SOFT_PX), scale)


LAWS = (
    *(
        Law(f"blurred by {s:g} px", lambda rgb, s=s: blurred(rgb, s), lambda true, s=s: hypot(true, s))
        for s in (0.7, 1.0, 1.5, 2.0, 3.0, 4.0)
    ),
    *(_same(f"scaled by {s:g}", lambda rgb, s=s: _scaled(rgb, s), s) for s in (0.6, 1.7, 2.4)),
    *(_same(f"contrast × {c:g}", _level(lambda v, c=c: 90 * (1 - c) + c * v)) for c in (0.35, 0.6)),
    *(_same(f"noise of {n} levels", lambda rgb, n=n: _noisy(rgb, n)) for n in (3, 6)),
    *(
        _same(f"{e:+g} stops", _level(lambda v, e=e: encode(decode(v.astype(np.uint8)) * 2.0**e)))
        for e in (-3, -1.5)
    ),
    *(_same(f"tone curve {g:g}", _level(lambda v, g=g: 255 * (v / 255) ** g)) for g in (0.7, 1.4)),
    *(_same(f"JPEG quality {q}", lambda rgb, q=q: _stored(rgb, q)) for q in (75, 90)),
    _same("black and white", lambda rgb: cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)[..., None].repeat(3, axis=2)),
)


def measured(sitter: Sitter, rgb: np.ndarray, scale: float = 1.0) -> dict[str, Measurement]:
    """All that the measure of blur says of `rgb`, `scale` times the size of the sitter's own picture."""
    of = replace(sitter.subject.sitter, landmarks=sitter.landmarks * np.float32(scale))
    subject = replace(sitter.subject, picture=Picture(rgb, reduced(rgb)), sitter=of)
    return {measurement.name: measurement for measurement in MEASURE.function(subject)}


def sitters(portraits: Iterable[Portrait]) -> list[Sitter]:
    """The first sharp frame with open eyes of every sitter, cut down to the face."""
    found: dict[str, Sitter] = {}
    for portrait in portraits:
        person = portrait.people[0]
        fits = len(portrait.people) == 1 and person.eyes_visible and min(person.iris_visible) >= 0.35
        blur = hypot(person.true_eye_blur_sigma_px, portrait.truth["motion_px"])
        if person.sitter in found or not fits or blur >= SHARP_BELOW_PX:
            continue
        data = portrait.path.read_bytes()
        picture = whole_picture_of(jpeg_stream(data, portrait.truth["orientation"]))
        for box, score in find_boxes(picture)[:1]:
            landmarks = landmarks_in(picture, box)
            if landmarks is not None:
                face = Face(box, landmarks, score)
                found[person.sitter] = close_up(Sitter(portrait.path.name, picture, face, person.truth))
    return list(found.values())


def law_rows(some: Sequence[Sitter]) -> list[tuple[str, ...]]:
    """Of every law: sitters measured, found over expected (median), mean error, share within the goal."""
    rows = []
    for law in LAWS:
        pairs = []
        for sitter in some:
            found = measured(sitter, law.change(sitter.picture.rgb), law.scale)["eye_blur_px"].value
            if isinstance(found, float):
                pairs.append((found, law.expected(sitter.truth["true_eye_blur_sigma_px"])))
        found, expected = np.array(pairs).T
        off = np.abs(found / expected - 1)
        within = np.mean([is_within_goal(*pair) for pair in pairs])
        ratio = np.median(found / expected)
        rows.append((law.name, str(len(pairs)), f"{ratio:.2f}", f"{off.mean():.0%}", f"{within:.0%}"))
    return rows


def motion_rows(some: Sequence[Sitter]) -> list[tuple[str, ...]]:
    """Of streaks along four directions, and of defocus: share called motion, length, error of direction."""
    rows = []
    for angle in (0, 45, 90, 135):
        lengths, errors = [], []
        for sitter in some:
            found = measured(sitter, moved(sitter.picture.rgb, STREAK_PX, angle))
            length, direction = found["motion_blur_px"].value, found["motion_direction_deg"].value
            lengths.append(length or 0.0)
            if isinstance(direction, float):
                errors.append(abs((direction - angle + 90) % 180 - 90))
        called = np.array(lengths, float)
        told = f"{np.median(called[called > 0]) / STREAK_PX:.2f}", f"{np.median(errors):.0f}°"
        rows.append((f"streak of {STREAK_PX:g} px at {angle}°", f"{np.mean(called > 0):.0%}", *told))
    for sigma in (0.0, 1.5, 3.0):
        pictures = [blurred(sitter.picture.rgb, sigma) if sigma else sitter.picture.rgb for sitter in some]
        called = [
            bool(measured(sitter, rgb)["motion_blur_px"].value)
            for sitter, rgb in zip(some, pictures, strict=True)
        ]
        rows.append((f"defocus of {sigma:g} px", f"{np.mean(called):.0%}", "", ""))
    return rows


def main(names: Sequence[str]) -> None:
    """Print both tables for each set."""
    for name in names or ("shoot",):
        some = sitters(shoot() if name == "shoot" else shared_set(name))
        for heads, rows in (
            ((name, "sitters", "found / expected", "mean error", "within 20 % or 0.4 px"), law_rows(some)),
            ((name, "called motion", "length, found / true", "direction off by"), motion_rows(some)),
        ):
            print("| " + " | ".join(heads) + " |")
            print("| --- " * len(heads) + "|")
            print("\n".join("| " + " | ".join(row) + " |" for row in rows), end="\n\n")


if __name__ == "__main__":
    main(sys.argv[1:])
