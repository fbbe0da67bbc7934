"""What the shipped brief says of real photographs, each judged alone, against what two raters say alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image, ImageOps

from eyeline.terms.verdict import Verdict
from tests.accuracy.figures.row import Row
from tests.accuracy.judged import judge_alone
from tests.accuracy.real.measured import Measured, measured, share
from tests.accuracy.real.sets import Photograph

RATED = "portraits"
"""The set with the labels of two raters."""

TIGHTNESS = {"cramped", "edge", "outer_edge"}
"""Faults and criteria about room at the sides. A finished picture was cut to taste: not held against it."""

DARKER_STOPS = -2.5
"""How far the same frame is darkened, in stops of linear light."""

DARK_WORDS = {"underexposed", "blocked shadows"}

COMMON = 1 / 3
"""Share of the frames of ordinary shoots on which no word may stand (common practice, "Keywords")."""

USES = {"headshot", "tight crop", "loose frame", "copy space left", "copy space right"}
"""Words that name the line of the brief which a frame serves: one stands on every frame that serves one."""


@dataclass(frozen=True)
class JudgedAlone:
    """A measured photograph and its verdict."""

    measured: Measured
    verdict: Verdict

    def is_(self, key: str, *words: object) -> bool:
        return self.measured.photograph.labels.get(key) in words

    @property
    def decisive(self) -> str:
        """The name of the reason that decided the stars."""
        return self.verdict.reasons[0].name if self.verdict.reasons else ""


def star_rows(name: str, photographs: Sequence[Measured]) -> list[Row]:
    """The errors that decide whether the stars are trusted; nothing for a set without the raters' labels."""
    judged = [
        JudgedAlone(each, judge_alone(each.examined))
        for each in photographs
        if each.examined is not None and each.photograph.set_name == RATED
    ]
    if not judged:
        return []
    return [
        *_sound_rows(name, judged),
        *_soft_rows(name, judged),
        *_dark_rows(name, judged),
        _common_words_row(name, judged),
    ]


def is_sound(each: JudgedAlone) -> bool:
    """One person's sound portrait into the lens, the whole head in it, sharp."""
    return (
        each.is_("people", 1)
        and each.is_("worth", "sound")
        and each.is_("gaze", "camera")
        and each.is_("eyes", "open", "narrow")
        and each.is_("crown", "air")
        and each.is_("chin", "in")
        and each.is_("sharp", "sharp")
    )


def _sound_rows(name: str, judged: Sequence[JudgedAlone]) -> list[Row]:
    sound = [each for each in judged if is_sound(each)]
    low = [each for each in sound if each.verdict.stars in (1, 2)]
    otherwise = [each for each in low if each.decisive not in TIGHTNESS]
    causes = ", ".join(f"{cause} {count}" for cause, count in Counter(e.decisive for e in low).most_common())
    return [
        _row(f"{name}: sound, given 1 or 2 stars", low, sound, None, causes),
        _row(f"{name}: the same for another cause than tightness at the sides", otherwise, sound, 0.01),
        _row(
            f"{name}: sound, given none", [each for each in sound if each.verdict.stars is None], sound, None
        ),
        _row(
            f"{name}: dud by both, given 4 stars",
            [each for each in judged if each.is_("worth", "dud") and each.verdict.stars == 4],
            [each for each in judged if each.is_("worth", "dud")],
            0.005,
        ),
    ]


def _soft_rows(name: str, judged: Sequence[JudgedAlone]) -> list[Row]:
    soft = [each for each in judged if each.is_("sharp", "soft", "blurred")]
    unmeasured = [
        each
        for each in judged
        if each.measured.number("eyes_open") is None or each.measured.number("eye_blur_iris") is None
    ]
    return [
        _row(f"{name}: soft or blurred at the eye, given 4 stars", _four(soft), soft, 0.02),
        _row(f"{name}: eyes or sharpness not measured, given 4 stars", _four(unmeasured), unmeasured, 0.0),
    ]


def _four(judged: Sequence[JudgedAlone]) -> list[JudgedAlone]:
    return [each for each in judged if each.verdict.stars in (4, 5)]


def _dark_rows(name: str, judged: Sequence[JudgedAlone]) -> list[Row]:
    dark = [each for each in judged if each.is_("exposure", "dark")]
    fine = [each for each in judged if each.is_("exposure", "fine") and is_sound(each)]
    with TemporaryDirectory() as folder:
        darker = measured([darkened(each.measured, Path(folder)) for each in fine])
        lower = [
            each
            for each, taken in zip(fine, darker, strict=True)
            if taken.examined is not None and judge_alone(taken.examined).score < each.verdict.score
        ]
    said = [each for each in dark if DARK_WORDS & set(each.verdict.keywords)]
    falsely = [each for each in fine if DARK_WORDS & set(each.verdict.keywords)]
    return [
        _row(f"{name}: a stop or more too dark, a word about it", said, dark, 1.0, at_least=True),
        _row(f"{name}: well exposed, called dark", falsely, fine, None),
        _row(f"{name}: the same at {DARKER_STOPS:g} stops scores lower", lower, fine, 0.95, at_least=True),
    ]


def darkened(each: Measured, folder: Path) -> Photograph:
    """The photograph with its light multiplied by 2 to the `DARKER_STOPS`, as a file in `folder`.

    sRGB to linear light and back by IEC 61966-2-1.
    """
    level = np.arange(256) / 255
    linear = np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4) * 2**DARKER_STOPS
    encoded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    table = np.rint(255 * encoded).astype(np.uint8)
    with Image.open(each.photograph.path) as opened:
        pixels = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    path = folder / f"{each.photograph.path.stem}.jpg"
    Image.fromarray(table[pixels]).save(path, quality=95)
    return replace(each.photograph, path=path)


def _common_words_row(name: str, judged: Sequence[JudgedAlone]) -> Row:
    words = Counter(word for each in judged for word in each.verdict.keywords if word not in USES)
    word, count = words.most_common(1)[0] if words else ("none", 0)
    return Row(
        f"{name}: the commonest keyword beside the use",
        len(judged),
        None,
        f"{word}, {share(count, len(judged))}",
        "≤ 33 %",
        count / len(judged) <= COMMON,
    )


def _row(
    name: str,
    part: Sequence[JudgedAlone],
    whole: Sequence[JudgedAlone],
    goal: float | None,
    causes: str = "",
    at_least: bool = False,
) -> Row:
    figure = share(len(part), len(whole)) + (f": {causes}" if causes else "")
    if goal is None or not whole:
        return Row(name, len(whole), None, figure, "", None)
    reached = len(part) / len(whole) >= goal if at_least else len(part) / len(whole) <= goal
    return Row(name, len(whole), None, figure, f"{'≥' if at_least else '≤'} {100 * goal:g} %", reached)
