"""The view of one frame: its series hung from the eyes, its reasons, and what the photographer sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from eyeline.deciding.own_hand import OwnHand
from eyeline.judging.rulebook import Rulebook
from eyeline.pages.eye_windows import slice_width, window_row
from eyeline.pages.review.frame_strip import (
    GAP,
    LEAST_SLICE,
    MOST_OPEN,
    MOST_SLICE,
    OPEN_HEIGHT,
    ROOM,
    Beside,
    CropLine,
    Marks,
    Place,
    beside,
    eyes_of,
    marks_over,
    series_around,
)
from eyeline.pages.review.frame_words import Judged, cure_of, judged, sentence, words_of
from eyeline.pages.review.own_hands import stars_of
from eyeline.pages.review.spread import Laid, Part, Spread
from eyeline.terms.verdict import Crop, NoCrop, Verdict


@dataclass(frozen=True, slots=True)
class FramePage:
    """All that the view shows. `left`, `right`: keys beside it in the series; `up`, `down`: of the series
    before and after. `state`: on which the page's corrections are made."""

    laid: Laid
    verdict: Verdict
    sentence: str
    cure: str
    places: tuple[Place, ...]
    beside: Beside | None
    line: float
    height: float
    marks: Marks
    judged: tuple[Judged, ...]
    hand: OwnHand
    own_stars: int | None
    words: tuple[tuple[str, bool], ...]
    crops: tuple[CropLine, ...]
    left: str | None
    right: str | None
    up: str | None
    down: str | None
    undo: str


def frame_page(
    spread: Spread,
    part: Part,
    laid: Laid,
    hands: Sequence[OwnHand],
    crops: tuple[tuple[Crop, ...], tuple[NoCrop, ...]],
    undo: str,
) -> FramePage:
    """The page of `laid`. `hands`: of each frame of its series, in order; `crops`: that eyeline suggests."""
    series = series_around(part, laid)
    place = series.index(laid)
    hand = hands[place]
    verdict = part.verdict(laid)
    rulebook = part.rulebook(laid)
    scale = min(OPEN_HEIGHT / laid.frame.height, MOST_OPEN / laid.frame.width)
    slice_px = slice_width(len(series) - 1, laid.frame.width * scale, ROOM, GAP, LEAST_SLICE, MOST_SLICE)
    stave = window_row(
        [(each.frame, each.points) for each in series],
        [scale * laid.frame.height / each.frame.height for each in series],
        [None if each is laid else slice_px for each in series],
    )
    lines = _crop_lines(rulebook, hand, crops)
    shown = next((each for each in lines if each.is_own), None) or next(
        (each for each in sorted(lines, key=lambda each: -(each.score or 0)) if each.area), None
    )
    frames, here = spread.frames, spread.frames.index(laid)
    before = next((each for each in reversed(frames[:here]) if each not in series), None)
    after = next((each for each in frames[here:] if each not in series), None)
    return FramePage(
        laid,
        verdict,
        sentence(verdict, laid, len(series)),
        cure_of(verdict, rulebook),
        tuple(
            Place(
                each,
                stave.hung[row],
                each is laid,
                stars_of(hands[row]) or each.stars,
                stars_of(hands[row]) is not None,
                each.word,
                eyes_of(each, stave.hung[row].width),
            )
            for row, each in enumerate(series)
        ),
        beside(rulebook, laid, stave) if len(series) == 1 else None,
        stave.line,
        stave.height,
        marks_over(part, laid, stave.hung[place], shown),
        judged(part, laid, verdict, rulebook),
        hand,
        stars_of(hand),
        words_of(verdict, hand),
        lines,
        series[place - 1].key if place else None,
        series[place + 1].key if place + 1 < len(series) else None,
        before.key if before else None,
        after.key if after else None,
        undo,
    )


def slug(format_name: str) -> str:
    """A format's name as it stands in an address: "4x5"."""
    return format_name.replace(":", "x")


def _crop_lines(
    rulebook: Rulebook, hand: OwnHand, crops: tuple[tuple[Crop, ...], tuple[NoCrop, ...]]
) -> tuple[CropLine, ...]:
    suggested = {each.format_name: each for each in crops[0]}
    refused = {each.format_name: each.reason for each in crops[1]}
    lines = []
    for each in rulebook.formats:
        own, ours = hand.crop(each.name), suggested.get(each.name)
        area = own or (ours.area if ours else None)
        score = None if own or not ours else ours.score
        lines.append(
            CropLine(each.name, slug(each.name), area, own is not None, score, refused.get(each.name, ""))
        )
    return tuple(lines)
