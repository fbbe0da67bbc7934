"""Finals made of frames of the bundled shoot: are they found, and how far off is what is carried onto them?

    python -m tests.finals.three_hundred [--finals 300] [--by-picture 60]

The frames of odd place, ten finals of each: those of even place served to choose the constants of
`finals.match`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import cv2
import numpy as np

from eyeline.finals.match import match
from eyeline.finals.registration import Shown, register, shown
from eyeline.run.delivery_finals import COMPARED_PX
from tests.finals.made import SHOOT, Rgb, frame_pixels, made_final, off_by

GOAL = 0.003
"""Share of the final's width."""


def reduced(pixels: Rgb, long_side: int = COMPARED_PX) -> Shown:
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    scale = long_side / max(grey.shape)
    if scale < 1:
        size = (round(grey.shape[1] * scale), round(grey.shape[0] * scale))
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    return shown(np.asarray(grey, np.uint8), pixels.shape[1], pixels.shape[0])


def odd_frames() -> list[Path]:
    return [path for path in sorted(SHOOT.glob("*.jpg")) if path.name != "NL1_1000.jpg"][0::2]


def error_of(pixels: Rgb, frame: Shown, seed: int, turn_deg: float | None = None) -> float | None:
    """How far off a made final's places are put, as a share of its width; None where it is not registered."""
    made = made_final(pixels, seed, turn_deg)
    found = register(frame, reduced(made.pixels))
    if found is None:
        return None
    size = pixels.shape[1], pixels.shape[0]
    return off_by(found.transform, made.truth, size, made.pixels.shape[1])


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--finals", type=int, default=300)
    parser.add_argument("--by-picture", type=int, default=60)
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    frames = odd_frames()
    pixels = [frame_pixels(path) for path in frames]
    seen = [reduced(each) for each in pixels]
    errors: list[float] = []
    missed: list[str] = []
    for number in range(asked.finals):
        row = number % len(frames)
        error = error_of(pixels[row], seen[row], 7000 + number)
        if error is None:
            missed.append(frames[row].name)
        else:
            errors.append(error)
    told = np.array(errors) * 100
    print(f"{asked.finals} finals of {len(frames)} frames: {len(errors)} registered, not {missed[:9]}")
    print(f"off by {np.median(told):.3f} % of the width in the median, {told.max():.3f} % at the worst,")
    print(
        f"{np.percentile(told, 95):.3f} % in 95 of 100; {np.mean(told <= GOAL * 100):.1%} within {GOAL:.1%}"
    )
    right = wrong = two = none = 0
    strangers = 0
    for number in range(asked.by_picture):
        row = number % len(frames)
        final = reduced(made_final(pixels[row], 9000 + number).pixels)
        found = match(final, len(frames), (), lambda place: seen[place])
        right += found.place == row
        wrong += found.place is not None and found.place != row
        two += found.place is None and bool(found.rivals)
        none += found.place is None and not found.rivals
        others = [place for place in range(len(frames)) if place != row]
        absent = match(final, len(others), (), lambda place, others=others: seen[others[place]])
        strangers += absent.place is not None
    print(f"{asked.by_picture} without a number among {len(frames)} frames: {right} found,")
    print(f"{wrong} taken for another, {two} fit two, {none} fit none;")
    print(f"with their own frame absent {strangers} taken for another")


if __name__ == "__main__":
    main()
