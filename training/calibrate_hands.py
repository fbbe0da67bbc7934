"""Find the odds from which a hand decides that a part of the face is covered: prints what `covers.py` holds.

    python calibrate_hands.py HAND.glb [--every N] [--left-out]

HAND.glb: see modelled_hand.py. Photographs are those of tests/accuracy/real/sets.py (EYELINE_SHARED) that may
be looked at, each bare and with the hand in five places; `--left-out`: the others, to be scored once at the
end. About five minutes of one core.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot
from pathlib import Path

import numpy as np
from cover_looks import CHIN as CHIN_RADIUS
from cover_looks import CHIN_UP, IRIS, covered_share
from modelled_hand import Array, Model, Random, drawn
from PIL import Image, ImageOps

from eyeline.measuring.covers import HAND_REACH, LEAST_ODDS, PART_POINTS, part_odds
from eyeline.reading.hands import hands_about
from eyeline.reading.look import look
from eyeline.reading.picture import reduced
from eyeline.terms.frame import Picture
from eyeline.terms.points import PARTS

sys.path.insert(0, str(Path(__file__).parents[1]))
from tests.accuracy.real.sets import real_portraits, studio_pictures

MOST_PX, SEED, LEFT_OUT_SEED = 1000, 11, 12
PLACES = ("eye", "eye", "mouth", "under", "beside")
PUPILS_M = 0.063
"""Between the pupils of an adult: the scale of the hand."""

COVERED, FREE = 0.5, 0.1
"""As train_covers.py counts them."""

STEPS = (2.0, 1.5, 1.0, 0.5, 0.0), (4.0, 3.0, 2.5, 2.0, 1.5, 1.0)
"""Least odds that are tried, of an eye and of the chin."""


@dataclass(frozen=True)
class Look:
    """Of each part: `share` covered (None: bare), log odds, and whether a hand is within reach."""

    share: tuple[float, ...] | None
    odds: tuple[float, ...]
    reached: tuple[bool, ...]


def seen(rgb: Array, share: tuple[float, ...] | None) -> tuple[Look, Array] | None:
    """What eyeline makes of a picture, and the face's landmarks; None without a face."""
    rgb = np.ascontiguousarray(rgb)
    picture = Picture(rgb, reduced(rgb))
    sitter = look(picture).sitter
    if sitter is None or sitter.landmarks is None:
        return None
    places = [sitter.landmarks[point, :2] for point in PART_POINTS]
    hands = hands_about(picture, sitter.landmarks)
    reached = tuple(
        any(hypot(x - hand.knuckle[0], y - hand.knuckle[1]) <= HAND_REACH * hand.palm_px for hand in hands)
        for x, y in places
    )
    return Look(share, part_odds(picture, sitter.landmarks), reached), sitter.landmarks


def looks_at(rgb: Array, model: Model, random: Random) -> Iterator[Look]:
    """The bare photograph, and the hand before it in each of `PLACES`."""
    bare = seen(rgb, None)
    if bare is None:
        return
    yield bare[0]
    left, right, chin = (bare[1][point, :2].astype(float) for point in PART_POINTS)
    mouth = bare[1][13, :2].astype(float)
    between, eyes = float(np.hypot(*(right - left))), (left + right) / 2
    down = (chin - eyes) / np.hypot(*(chin - eyes))
    face, aside = float(np.hypot(*(chin - eyes))), np.array([down[1], -down[0]])
    nose = rgb[
        int(eyes[1]) : int(eyes[1] + 0.35 * face), int(eyes[0] - 0.3 * between) : int(eyes[0] + 0.3 * between)
    ]
    skin = np.median(nose.reshape(-1, 3), axis=0)
    for aim in PLACES:
        curl = random.uniform(*((0, 0.35), (0.3, 0.9), (0.9, 1.4))[random.choice(3, p=(0.5, 0.3, 0.2))])
        hand, side = model.posed(curl, random), 1 if random.random() < 0.5 else -1
        held = float(random.normal(0, 0.015)), float(random.uniform(0, 0.12 if curl < 0.35 else 0.06))
        angle = -side * random.uniform(-10, 60)
        if aim == "eye":
            place = (right if side > 0 else left) + random.normal(0, 0.12, 2) * between
        elif aim == "mouth":
            place, angle = (mouth + chin) / 2 + random.normal(0, 0.15, 2) * between, random.normal(0, 50)
        elif aim == "under":
            place = chin + down * random.uniform(0.12, 0.5) * face + aside * random.normal(0, 0.3) * between
            held, angle = (held[0], float(np.percentile(hand.points[:, 1], 92))), random.normal(0, 40)
        else:
            place = (
                eyes
                + down * random.uniform(-0.5, 0.9) * face
                + aside * side * random.uniform(1.3, 1.9) * between
            )
        px_per_m = between / PUPILS_M * random.uniform(0.92, 1.12)
        made, mask = drawn(rgb, model, hand, place, float(angle), px_per_m, random, skin, held)
        spots = ((left, IRIS), (right, IRIS), (chin - CHIN_UP * between * down, CHIN_RADIUS))
        share = tuple(covered_share(mask, spot, radius * between) for spot, radius in spots)
        if (found := seen(made, share)) is not None:
            yield found[0]


def report(looks: list[Look], parts: tuple[int, ...], least: float) -> str:
    """How many are told from `least` on where a hand is within reach."""

    def told(of: Look, part: int) -> bool:
        return of.odds[part] >= (least if of.reached[part] else LEAST_ODDS[part])

    counts = []
    for name, low, high in (("covered", COVERED, 1.01), ("free beside a hand", -0.01, FREE)):
        rows = [
            (each, part) for each in looks for part in parts if each.share and low <= each.share[part] <= high
        ]
        counts.append(f"{name} {sum(told(*row) for row in rows)} of {len(rows)}")
    bare = [(each, part) for each in looks for part in parts if each.share is None]
    return ", ".join([*counts, f"bare {sum(told(*row) for row in bare)} of {len(bare)}"])


def main() -> None:
    """Print the counts for every step of the least odds."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("hand", type=Path)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--left-out", action="store_true")
    arguments = parser.parse_args()
    model = Model(arguments.hand)
    random = np.random.default_rng(LEFT_OUT_SEED if arguments.left_out else SEED)
    looks: list[Look] = []
    photographs = [
        each for each in (*studio_pictures(), *real_portraits()) if each.seen != arguments.left_out
    ]
    for photograph in photographs[:: arguments.every]:
        with Image.open(photograph.path) as opened:
            small = ImageOps.exif_transpose(opened).convert("RGB")
        small.thumbnail((MOST_PX, MOST_PX))
        looks += looks_at(np.asarray(small), model, random)
    for parts, steps in (((0, 1), STEPS[0]), ((2,), STEPS[1])):
        for least in steps:
            print(f"{PARTS[parts[0]]}, from {least:+.1f}: {report(looks, parts, least)}")


if __name__ == "__main__":
    main()
