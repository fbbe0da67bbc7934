"""Finals made of frames of the bundled shoot: are they found, and how far off is what is carried onto them?

    python -m tests.finals.three_hundred [--finals 300] [--by-picture 120] [--record FILE]

The frames of odd place, ten finals of each: those of even place served to choose the constants of
`finals.match`. Which frame a final is of is asked among all frames of the shoot.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from eyeline.finals.match import Match, match
from eyeline.finals.registration import Shown, register, shown
from eyeline.run.final_candidates import COMPARED_PX, beside_gaps
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


LARGEST_PX = 2000
"""Long side to which frames are reduced before finals are made of them: painting on 24 megapixels takes 20 s,
and places are compared on a thousand."""


def workable(path: Path) -> Rgb:
    """A frame's pixels, as large as finals are made of here."""
    pixels = frame_pixels(path)
    scale = LARGEST_PX / max(pixels.shape)
    if scale >= 1:
        return pixels
    size = round(pixels.shape[1] * scale), round(pixels.shape[0] * scale)
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)


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


def all_frames() -> list[Path]:
    """Every frame of the shoot: near-identical neighbours of each other, as the camera took them."""
    return sorted(SHOOT.glob("*.jpg"))


def placed(pixels: Rgb, of: int, frames: int, seen: Callable[[int], Shown], seed: int) -> dict[str, str]:
    """What a final made of the frame at `of` is taken for by its picture alone, among so many `frames` and
    among those without its own, whose numbers tell that one is missing, or tell nothing: "right", "wrong",
    "two" (told to fit several, or not surely) or "none"."""
    final = reduced(made_final(pixels, seed).pixels)
    others = [place for place in range(frames) if place != of]
    present = match(final, frames, (), seen)
    unnumbered = match(final, len(others), (), lambda place: seen(others[place]))
    gaps = beside_gaps([all_frames()[place].name for place in others])
    absent = match(final, len(others), (), lambda place: seen(others[place]), gaps)
    return {
        "present": _outcome(present, of),
        "absent": _outcome(absent, None),
        "unnumbered": _outcome(unnumbered, None),
    }


def _outcome(found: Match, of: int | None) -> str:
    if found.place is None:
        return "two" if found.rivals else "none"
    return "right" if found.place == of else "wrong"


def worked(kind: str, count: int, record: Path | None, work: Callable[[int], object]) -> list[Any]:
    """`work` of each number below `count`. What `record` holds of an earlier run is not done again, so that a
    long run may be broken off."""
    known: dict[int, Any] = {}
    if record is not None and record.exists():
        lines = [json.loads(line) for line in record.read_text().splitlines()]
        known = {line["number"]: line["found"] for line in lines if line["kind"] == kind}
    for number in range(count):
        if number not in known:
            known[number] = work(number)
            if record is not None:
                with record.open("a") as file:
                    file.write(json.dumps({"kind": kind, "number": number, "found": known[number]}) + "\n")
    return [known[number] for number in range(count)]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--finals", type=int, default=300)
    parser.add_argument("--by-picture", type=int, default=120)
    parser.add_argument("--record", type=Path, help="results are kept there and not worked out again")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    frames, everything = odd_frames(), all_frames()
    place_of = [everything.index(path) for path in frames]

    @cache
    def seen(place: int) -> Shown:
        return reduced(workable(everything[place]))

    def error(number: int) -> float | None:
        row = number % len(frames)
        return error_of(workable(frames[row]), seen(place_of[row]), 7000 + number)

    def place(number: int) -> dict[str, str]:
        row = number % len(frames)
        return placed(workable(frames[row]), place_of[row], len(everything), seen, 9000 + number)

    errors = worked("error", asked.finals, asked.record, error)
    missed = [frames[number % len(frames)].name for number, each in enumerate(errors) if each is None]
    told = np.array([each for each in errors if each is not None]) * 100
    print(f"{asked.finals} finals of {len(frames)} frames: {len(told)} registered, not {missed[:9]}")
    print(f"off by {np.median(told):.3f} % of the width in the median, {told.max():.3f} % at the worst,")
    print(
        f"{np.percentile(told, 95):.3f} % in 95 of 100; {np.mean(told <= GOAL * 100):.1%} within {GOAL:.1%}"
    )
    found = worked("picture", asked.by_picture, asked.record, place)
    for which, words in (
        ("present", "by picture alone among"),
        ("absent", "their own frame absent among"),
        ("unnumbered", "their own frame absent, no numbers, among"),
    ):
        counts = Counter(each[which] for each in found)
        told_so = ", ".join(f"{counts[each]} {each}" for each in ("right", "wrong", "two", "none"))
        print(f"{len(found)} finals, {words} {len(everything)} frames: {told_so}")


if __name__ == "__main__":
    main()
