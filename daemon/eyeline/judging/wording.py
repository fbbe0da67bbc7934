"""Values and ideals in plain words."""

from __future__ import annotations

from math import inf

from eyeline.judging.rulebook import Ideal
from eyeline.terms.measurement import Quantity, Value

_DEGREES = ("deg", "degree", "degrees", "°")
_TRUTH = ("bool", "true or false")
_SHORT_UNITS = {"stops": "stops", "pixels": "px", "px": "px", "metres": "m"}
_PER_CENT = ("fraction", "share", "0 to 1", "relative luminance")
_HEAD_WIDTHS = "fraction of head width"
WHOLE_FROM = 0.0995
"""Share from which a value is told in whole per cent: nobody measures 37.2 % with a ruler."""

LEAST_SHARE = 0.0005
"""Share below which per cent with one decimal would say 0."""

UNDER = "under"

_SPOKEN = {
    ("gaze", "camera"): "into the lens",
    ("gaze", "left"): "to camera left",
    ("gaze", "right"): "to camera right",
    ("gaze", "closed"): "nowhere, the lids are down",
}
"""Words of a measure that make no sentence as they are."""


def value_in_words(value: Value, quantity: Quantity | None) -> str:
    """A measured value with its unit, as a photographer would say it: "2 %", "12°", "left"."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _spoken(value, quantity)
    unit = quantity.unit if quantity is not None else ""
    if unit in _TRUTH:
        return "yes" if value else "no"
    if unit.startswith(_PER_CENT) and unit != _HEAD_WIDTHS and 0 < value < LEAST_SHARE:
        return f"{UNDER} 0.1 %"
    return _with_unit(_figure(value, unit, spoken=True), unit)


def value_beside(value: Value, ideal: Ideal, quantity: Quantity | None) -> str:
    """`value` in words for a sentence that tells `ideal` too: one that misses it by less than is told is
    "just over 12 %", never "12 %" beside a wish for 6 to 12 %."""
    words = value_in_words(value, quantity)
    if isinstance(value, (bool, str)) or value is None or words.startswith(UNDER):
        return words
    unit = quantity.unit if quantity is not None else ""
    told = float(_figure(value, unit, spoken=True))
    if value > ideal.ideal_high and told <= float(high := _figure(ideal.ideal_high, unit)):
        return _with_unit(f"just over {high}", unit)
    if value < ideal.ideal_low and told >= float(low := _figure(ideal.ideal_low, unit)):
        return _with_unit(f"just under {low}", unit)
    return words


def is_told_as_nothing(value: float, quantity: Quantity | None) -> bool:
    """Whether `value` is less than a photographer would say: "0 %" in words."""
    return float(_figure(value, quantity.unit if quantity is not None else "", spoken=True)) == 0


def ideal_in_words(ideal: Ideal, quantity: Quantity | None) -> str:
    """The ideal with its unit: "6 to 12 %", "at least 25 %", "camera or left"."""
    if ideal.words:
        best = max(desirability for _, desirability in ideal.words)
        return " or ".join(
            _spoken(word, quantity) for word, desirability in ideal.words if desirability == best
        )
    unit = quantity.unit if quantity is not None else ""
    if ideal.ideal_high == inf:
        return _with_unit(f"at least {_figure(ideal.ideal_low, unit)}", unit)
    if ideal.ideal_low == -inf:
        return _with_unit(f"at most {_figure(ideal.ideal_high, unit)}", unit)
    low, high = _figure(ideal.ideal_low, unit), _figure(ideal.ideal_high, unit)
    return _with_unit(low if low == high else f"{low} to {high}", unit)


def per_cent(share: float) -> str:
    """A share in whole per cent: "52 %"."""
    return f"{100 * share:.0f} %"


def factor_of(quantity: Quantity | None) -> float:
    """By what a value is multiplied when it is told: 100 for a share that is told in per cent."""
    unit = quantity.unit if quantity is not None else ""
    return 100.0 if unit.startswith(_PER_CENT) and unit != _HEAD_WIDTHS else 1.0


def unit_word(quantity: Quantity | None) -> str:
    """What stands behind a value of this quantity: "%", "°", "stops"; "" where nothing does."""
    return _with_unit("2", quantity.unit if quantity is not None else "").removeprefix("2").strip()


def _spoken(word: str, quantity: Quantity | None) -> str:
    return word if quantity is None else _SPOKEN.get((quantity.name, word), word)


def _figure(value: float, unit: str, spoken: bool = False) -> str:
    """The number alone; `spoken`: no finer than a photographer would say it."""
    if unit == _HEAD_WIDTHS:
        return _plain(float(f"{value:.2g}"))
    if unit.startswith(_PER_CENT):
        return _plain(round(100 * value, 1 if abs(value) < (WHOLE_FROM if spoken else 0.995) else 0))
    if spoken and unit.startswith("stops"):
        return _plain(round(value, 1))
    if unit in _DEGREES:
        return _plain(round(value, 0 if spoken else 1))
    return _plain(float(f"{value:.3g}"))


def _plain(value: float) -> str:
    text = f"{value:g}"
    return "0" if text == "-0" else text


def _with_unit(text: str, unit: str) -> str:
    if unit == _HEAD_WIDTHS:
        return f"{text} head width{'' if text.split()[-1] == '1' else 's'}"
    if unit.startswith(_PER_CENT):
        return f"{text} %"
    if unit in _DEGREES:
        return f"{text}°"
    for start, shown in _SHORT_UNITS.items():
        if unit.startswith(start):
            return f"{text} {shown.removesuffix('s') if text.split()[-1] == '1' else shown}"
    return text
