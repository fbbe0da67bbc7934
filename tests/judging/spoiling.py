"""Well-framed pictures cut from rendered frames, and one thing about them spoilt by a known amount.

The well-framed picture is cut by the frame's true landmarks. Where the window reaches beyond the frame, the
frame's edge is drawn out: backdrop and shoulders, never the head.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.accuracy.portraits import Person, Portrait

Image = NDArray[np.uint8]

MOST_DRAWN_OUT = {"side": 0.5, "above": 0.35, "below": 0.1}
"""Share of the window that may lie beyond the frame: the backdrop can be drawn out, the chest hardly."""


@dataclass(frozen=True)
class Page:
    """A well-framed picture: its genre, width over height, the head's height and the eyes' place in it."""

    genre: str
    ratio: float
    head: float
    eye_line: float
    eye_x: float


@dataclass(frozen=True, eq=False)
class Made:
    """One picture of a pair: a window of a frame, in pixels of the frame, and what is done to it.

    `left`, `top` may lie outside the frame. `tilt`: degrees clockwise about the eyes. `sigma`: of a Gaussian,
    in pixels. `stops`: of light, + = more.
    """

    portrait: Portrait
    page: Page
    left: float
    top: float
    height: float
    tilt: float = 0.0
    sigma: float = 0.0
    stops: float = 0.0

    @property
    def person(self) -> Person:
        return self.portrait.people[0]

    @property
    def width(self) -> float:
        return self.height * self.page.ratio

    def moved(self, x: float = 0.0, y: float = 0.0) -> Made:
        """With the sitter moved by so many pixels to the right and down."""
        return replace(self, left=self.left - x, top=self.top - y)

    def fits(self) -> bool:
        """Whether little enough of it lies beyond the frame."""
        frame = self.portrait.truth
        beside = max(-self.left, self.left + self.width - frame["width"]) / self.width
        below = (self.top + self.height - frame["height"]) / self.height
        return bool(
            beside <= MOST_DRAWN_OUT["side"]
            and -self.top / self.height <= MOST_DRAWN_OUT["above"]
            and below <= MOST_DRAWN_OUT["below"]
        )


def well_framed(portrait: Portrait, page: Page) -> Made:
    """The window that puts the sitter where `page` wants it."""
    person = portrait.people[0]
    height = (person.chin[1] - person.hair_top_y) / page.head
    eye_x, eye_y = person.eyes_middle
    return Made(
        portrait, page, eye_x - page.eye_x * height * page.ratio, eye_y - page.eye_line * height, height
    )


HEADSHOT = Page("corporate headshot", 4 / 5, 0.46, 0.335, 0.5)
LANDSCAPE = Page("corporate headshot", 3 / 2, 0.46, 0.345, 1 / 3)
ADVERTISING = Page("copy space", 3 / 2, 0.44, 0.34, 1 / 3)


def pages(portrait: Portrait) -> list[Made]:
    """The well-framed pictures that a sound frame yields."""
    person, truth = portrait.people[0], portrait.truth
    sound = (
        len(portrait.people) == 1
        and person.eyes == "open"
        and not person.crown_cut
        and min(person.head_box[0], truth["width"] - person.head_box[2]) >= 0
        and truth["focus_sigma_px"] == 0
        and truth["motion_px"] == 0
        and abs(truth["exposure_ev"]) < 0.5
        and abs(person.head_roll) <= 6
        and abs(person.head_yaw_los) <= 30
    )
    if not sound:
        return []
    yaw, to_camera = person.gaze_yaw, hypot(person.gaze_yaw, person.gaze_pitch) < 5
    if to_camera and abs(person.head_yaw_los) < 20:
        side = person.head_yaw_los
        found = [well_framed(portrait, HEADSHOT), well_framed(portrait, _facing(LANDSCAPE, side))]
    elif abs(yaw) >= 14 and abs(person.gaze_pitch) < 8 and yaw * person.head_yaw_los > 0:
        genre = "copy space right" if yaw > 0 else "copy space left"
        found = [well_framed(portrait, replace(_facing(ADVERTISING, yaw), genre=genre))]
    else:
        return []
    return [each for each in found if each.fits()]


def _facing(page: Page, side: float) -> Page:
    """The page with the room on the side of the look: + = right."""
    return page if side >= 0 else replace(page, eye_x=1 - page.eye_x)


def to_the_edge(good: Made) -> Made:
    """0.08 head widths from the edge that is nearer."""
    x0, _, x1, _ = good.person.head_box
    near_left = good.page.eye_x <= 0.5
    room = x0 - good.left if near_left else good.left + good.width - x1
    shift = room - 0.08 * (x1 - x0)
    return good.moved(x=-shift if near_left else shift)


def crown_cut(good: Made) -> Made:
    """The top edge 3 % of the height below the crown."""
    return good.moved(y=good.top - good.person.hair_top_y - 0.03 * good.height)


def eyes_at_half_height(good: Made) -> Made:
    """Air above."""
    return good.moved(y=(0.5 - good.page.eye_line) * good.height)


def centred(good: Made) -> Made:
    """In landscape, where a third was held."""
    return good.moved(x=(0.5 - good.page.eye_x) * good.width)


def chin_to_the_bottom(good: Made) -> Made:
    """The chin half a per cent of the height above the bottom edge."""
    return good.moved(y=good.top + 0.995 * good.height - good.person.chin[1])


def tilted(good: Made) -> Made:
    """By 6 degrees more to the side to which the head leans already."""
    return replace(good, tilt=6.0 if good.person.head_roll >= 0 else -6.0)


def blurred(good: Made) -> Made:
    """By a Gaussian of 0.06 iris diameters."""
    return replace(good, sigma=0.06 * good.person.iris_diameter_px)


def no_lead_room(good: Made) -> Made:
    """As much room behind the look as ahead of it, and 2 % of the width more."""
    x0, _, x1, _ = good.person.head_box
    middle = (x0 + x1) / 2 - good.left
    ahead = 1 if good.person.gaze_yaw > 0 else -1
    return good.moved(x=good.width / 2 - middle + ahead * 0.01 * good.width)


def under(good: Made) -> Made:
    """A stop and a half less light."""
    return replace(good, stops=-1.5)


def over(good: Made) -> Made:
    """A stop and a half more."""
    return replace(good, stops=1.5)


Spoil = Callable[[Made], Made]
KINDS: dict[str, tuple[Spoil, Callable[[Page], bool]]] = {
    "less than 0.1 head widths from the edge": (to_the_edge, lambda page: True),
    "crown cut": (crown_cut, lambda page: True),
    "eyes at half height, air above": (eyes_at_half_height, lambda page: True),
    "centred where a third was held": (centred, lambda page: page.ratio > 1),
    "chin to the bottom edge": (chin_to_the_bottom, lambda page: True),
    "tilted by 6 degrees": (tilted, lambda page: True),
    "blurred by 0.06 iris diameters": (blurred, lambda page: True),
    "no lead room": (no_lead_room, lambda page: page.genre.startswith("copy")),
    "a stop and a half under": (under, lambda page: True),
    "a stop and a half over": (over, lambda page: True),
}


def rendered(made: Made) -> Image:
    """The pixels of a picture, BGR."""
    frame = cv2.imread(str(made.portrait.path))  # OpenCV turns it upright
    assert frame is not None and frame.shape[1] == made.portrait.truth["width"], made.portrait.path
    left, top, wide, high = (round(each) for each in (made.left, made.top, made.width, made.height))
    right, bottom = left + wide, top + high
    beyond = (max(-top, 0), max(bottom - frame.shape[0], 0), max(-left, 0), max(right - frame.shape[1], 0))
    inside = frame[max(top, 0) : bottom, max(left, 0) : right]
    picture = np.asarray(cv2.copyMakeBorder(inside, *beyond, cv2.BORDER_REPLICATE), np.uint8)
    if made.tilt:
        eye_x, eye_y = made.person.eyes_middle
        # OpenCV turns counter-clockwise by a positive angle.
        turn = cv2.getRotationMatrix2D((eye_x - left, eye_y - top), -made.tilt, 1.0)
        picture = np.asarray(
            cv2.warpAffine(
                picture, turn, (wide, high), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
            ),
            np.uint8,
        )
    if made.sigma:
        picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), made.sigma), np.uint8)
    return _exposed(picture, made.stops) if made.stops else picture


def _exposed(picture: Image, stops: float) -> Image:
    """More or less light, in linear sRGB (IEC 61966-2-1)."""
    value = np.arange(256) / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    lit = np.minimum(linear * 2.0**stops, 1.0)
    encoded = np.where(lit <= 0.0031308, lit * 12.92, 1.055 * lit ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(encoded * 255).astype(np.uint8)[picture])
