"""Values and ideals in plain words."""

from __future__ import annotations

from math import inf

from eyeline.judging.rulebook import Ideal
from eyeline.terms.measurement import Quantity, Value

_DEGREES = ("deg", "degree", "degrees", "°")
_TRUTH = ("bool", "true or false")
_SHORT_UNITS = {"stops": "stops", "pixels": "px", "px": "px", "metres": "m"}
_PER_CENT = ("fraction", "share", "0 to 1")


def value_in_words(value: Value, quantity: Quantity | None) -> str:
    """A measured value with its unit, as a photographer would say it: "2 %", "12°", "left"."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    unit = quantity.unit if quantity is not None else ""
    if unit in _TRUTH:
        return "yes" if value else "no"
    return _with_unit(_figure(value, unit), unit)


def ideal_in_words(ideal: Ideal, quantity: Quantity | None) -> str:
    """The ideal with its unit: "6 to 12 %", "at least 25 %", "camera or left"."""
    if ideal.words:
        best = max(desirability for _, desirability in ideal.words)
        return " or ".join(word for word, desirability in ideal.words if desirability == best)
    unit = quantity.unit if quantity is not None else ""
    if ideal.ideal_high == inf:
        return _with_unit(f"at least {_figure(ideal.ideal_low, unit)}", unit)
    if ideal.ideal_low == -inf:
        return _with_unit(f"at most {_figure(ideal.ideal_high, unit)}", unit)
    low, high = _figure(ideal.ideal_low, unit), _figure(ideal.ideal_high, unit)
    return _with_unit(low if low == high else f"{low} to {high}", unit)


def _figure(value: float, unit: str) -> str:
    if unit.startswith(_PER_CENT):
        return _plain(round(100 * value, 1 if abs(value) < 0.995 else 0))
    if unit in _DEGREES:
        return _plain(round(value))
    return _plain(float(f"{value:.3g}"))


def _plain(value: float) -> str:
    text = f"{value:g}"
    return "0" if text == "-0" else text


def _with_unit(text: str, unit: str) -> str:
    if unit.startswith(_PER_CENT):
        return f"{text} %"
    if unit in _DEGREES:
        return f"{text}°"
    for start, shown in _SHORT_UNITS.items():
        if unit.startswith(start):
            return f"{text} {shown}"
    return text
