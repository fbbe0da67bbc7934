"""CIEDE2000: how different two colours look."""

from __future__ import annotations

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

Lab = tuple[float, float, float]

MIDDLE_LIGHTNESS = 50.0
"""L* at which chroma is compared when lightness does not count: the middle of the scale."""

_OF_25 = 25.0**7


def ciede2000(one: Lab, other: Lab) -> float:
    """Colour difference ΔE00 of two CIELAB colours (L*, a*, b*), with kL = kC = kH = 1; 0 = the same.

    About 1 is just noticeable side by side. Sharma, Wu & Dalal, Color Research and Application 30(1),
    2005, equations 2 to 22, whose table of 34 pairs is the check.
    """
    (light1, a1, b1), (light2, a2, b2) = one, other
    mean7 = ((hypot(a1, b1) + hypot(a2, b2)) / 2) ** 7
    stretch = 1 + 0.5 * (1 - sqrt(mean7 / (mean7 + _OF_25)))
    a1, a2 = a1 * stretch, a2 * stretch
    chroma1, chroma2 = hypot(a1, b1), hypot(a2, b2)
    hue1, hue2 = degrees(atan2(b1, a1)) % 360, degrees(atan2(b2, a2)) % 360
    coloured = chroma1 * chroma2 > 0

    turn = (hue2 - hue1 + 180) % 360 - 180 if coloured else 0.0
    if coloured and abs(hue2 - hue1) == 180:
        turn = hue2 - hue1
    d_light, d_chroma = light2 - light1, chroma2 - chroma1
    d_hue = 2 * sqrt(chroma1 * chroma2) * sin(radians(turn / 2))

    light, chroma = (light1 + light2) / 2, (chroma1 + chroma2) / 2
    hue = (hue1 + hue2) / 2 if coloured else hue1 + hue2
    if coloured and abs(hue1 - hue2) > 180:
        hue += 180 if hue1 + hue2 < 360 else -180
    tone = (
        1
        - 0.17 * cos(radians(hue - 30))
        + 0.24 * cos(radians(2 * hue))
        + 0.32 * cos(radians(3 * hue + 6))
        - 0.20 * cos(radians(4 * hue - 63))
    )
    of_light = 1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2)
    of_chroma = 1 + 0.045 * chroma
    of_hue = 1 + 0.015 * chroma * tone
    blue = -2 * sqrt(chroma**7 / (chroma**7 + _OF_25)) * sin(radians(60 * exp(-(((hue - 275) / 25) ** 2))))
    light_part, chroma_part, hue_part = d_light / of_light, d_chroma / of_chroma, d_hue / of_hue
    return sqrt(max(0.0, light_part**2 + chroma_part**2 + hue_part**2 + blue * chroma_part * hue_part))


def at_middle_lightness(colour: Lab) -> Lab:
    """The same surface lit so that its L* is 50: what is left of a colour when brightness does not count.

    Light changed by one factor for all channels scales L* + 16, a* and b* alike, since each is a
    difference of cube roots of X, Y and Z (CIE 15), above the straight part near black.
    """
    lightness, a, b = colour
    factor = (MIDDLE_LIGHTNESS + 16) / (max(0.0, lightness) + 16)
    return MIDDLE_LIGHTNESS, a * factor, b * factor


def luminance_of(lightness: float) -> float:
    """Relative luminance 0 to 1 of an L* (CIE 15)."""
    return ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3
