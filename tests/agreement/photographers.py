"""Simulated photographers, whose taste is not of the model's family, and frames for them to rate.

Nothing here knows a weight or a score: the lexicographic one eliminates step by step, moods move a whole
sitting, noise moves single frames.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from eyeline.agreement.rated import Rated
from eyeline.judging.columns import Columns
from eyeline.judging.rulebook import Rulebook
from tests.judging.shipped import QUANTITIES, rules

GENRE = "corporate headshot"
SITTING = 5
"""Frames of one sitting, which are rated in one mood."""

Taste = Callable[[Columns, np.random.Generator], NDArray[np.float64]]


def genre() -> Rulebook:
    return rules().genre(GENRE)


def frames(count: int, chance: np.random.Generator) -> Columns:
    """Frames as a studio makes them: mostly sound, scattered around what is usual, without hard faults."""
    head = chance.normal(0.42, 0.08, count)
    headroom = chance.normal(0.12, 0.05, count)
    numbers = {
        "people": np.ones(count),
        "head_height": head,
        "headroom": headroom,
        "eye_line": headroom + 0.51 * head,
        "chin_room": 1 - headroom - head,
        "centre_distance": np.abs(chance.normal(0, 0.08, count)),
        "third_distance": np.abs(chance.normal(0.12, 0.06, count)),
        "eyes_open": chance.beta(12, 1.2, count),
        "eye_blur_iris": chance.gamma(3.0, 0.009, count),
        "eye_blur_px": chance.gamma(3.0, 0.4, count),
        "glasses_glare": chance.beta(0.4, 8, count),
        "head_yaw_deg": chance.normal(0, 14, count),
        "head_pitch_deg": chance.normal(0, 8, count),
        "head_roll_deg": chance.normal(0, 4, count),
        "lead_room": chance.normal(0.05, 0.2, count),
        "edge_room": chance.normal(0.7, 0.25, count),
        "exposure_off_stops": chance.normal(0, 0.4, count),
        "face_clipped": chance.beta(0.4, 30, count),
        "face_crushed": chance.beta(0.5, 20, count),
        "light_ratio_stops": chance.normal(0.8, 0.6, count),
        "separation": chance.normal(1.6, 0.3, count),
        "gaze_confidence": np.full(count, 0.95),
    }
    words = {
        "gaze": chance.choice([0, 1, 2], count, p=[0.85, 0.08, 0.07]).astype(np.int8),
        "frame_format": np.full(count, QUANTITIES["frame_format"].words.index("portrait"), np.int8),
    }
    spellings = {name: QUANTITIES[name].words for name in words}
    return Columns(count, numbers, words, spellings)


def lexicographic(columns: Columns, chance: np.random.Generator) -> NDArray[np.float64]:
    """Sharp eyes first, then a tight head, then a turned face; what comes later only parts what was equal."""
    sharp = columns.number("eye_blur_iris") < 0.028
    tight = columns.number("head_height") > 0.44
    turned = np.abs(columns.number("head_yaw_deg")) > 10
    return 4.0 * sharp + 2.0 * tight + 1.0 * turned + 0.01 * chance.random(columns.count)


def loose(columns: Columns, chance: np.random.Generator) -> NDArray[np.float64]:
    """Wants far more air than the genre, and cares for little else."""
    room = -np.abs(columns.number("head_height") - 0.30) - np.abs(columns.number("headroom") - 0.19)
    return room + 0.02 * (columns.number("eyes_open") > 0.85) + 0.001 * chance.random(columns.count)


def with_noise(taste: Taste, share: float) -> Taste:
    """The same, with noise of `share` of its own spread on every frame."""

    def noisy(columns: Columns, chance: np.random.Generator) -> NDArray[np.float64]:
        liked = taste(columns, chance)
        return liked + chance.normal(0, share * liked.std(), columns.count)

    return noisy


def with_mood(taste: Taste, share: float) -> Taste:
    """The same, stricter or milder for a whole sitting."""

    def moody(columns: Columns, chance: np.random.Generator) -> NDArray[np.float64]:
        liked = taste(columns, chance)
        mood = chance.normal(0, share * liked.std(), columns.count // SITTING + 1)
        return liked + np.repeat(mood, SITTING)[: columns.count]

    return moody


def no_taste(columns: Columns, chance: np.random.Generator) -> NDArray[np.float64]:
    """Rates at random."""
    return chance.random(columns.count)


def rates(taste: Taste, count: int, seed: int) -> Rated:
    """`count` frames as `taste` rates them: 10 % get 5 stars, 20 % 4, 40 % 3, 20 % 2, 10 % 1."""
    chance = np.random.default_rng(seed)
    columns = frames(count, chance)
    liked = taste(columns, chance)
    place = np.argsort(np.argsort(liked)) / count
    stars = 1 + np.searchsorted([0.1, 0.3, 0.7, 0.9], place, side="right")
    return Rated(columns, stars.astype(np.intp), np.arange(count) // SITTING)


TASTES: dict[str, Taste] = {
    "lexicographic": lexicographic,
    "lexicographic with noise": with_noise(lexicographic, 0.5),
    "lexicographic with moods": with_mood(lexicographic, 0.4),
    "likes air": loose,
    "likes air, with noise": with_noise(loose, 0.5),
}
