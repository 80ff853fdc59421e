"""What a parameter may be, as one says it: ranges in inches or mm, lists of words."""

from __future__ import annotations

import dataclasses
import math
from fractions import Fraction

from treenail.generators.params import Param
from treenail.generators.temperatures import temperature_range
from treenail.timber.lengths import LengthUnit, format_length

__all__ = ["AUTO", "MAX_TEXT", "MM", "Units", "inner_limits", "range_text"]

Units = LengthUnit
AUTO = "auto"
"""Written for a parameter that is left to the generator."""
MAX_TEXT = 60
"""Longest text parameter, in characters."""
MM: dict[Units, Fraction] = {"mm": Fraction(1), "in": Fraction(254, 10)}
"""Millimetres in one of a unit."""

# A limit is shown in a rounder figure if that is nearer than a twentieth.
_ROUNDER = 20


def inner_limits(param: Param, units: Units, *, steps: int) -> tuple[Fraction, Fraction]:
    """Return a length's range in ``units``, rounded inwards to ``1/steps``.

    Inwards, because a limit that is shown must itself be allowed.
    """
    assert param.low is not None
    assert param.high is not None
    low = Fraction(param.low) / MM[units] * steps
    high = Fraction(param.high) / MM[units] * steps
    return Fraction(math.ceil(low), steps), Fraction(math.floor(high), steps)


def _shown_limits(param: Param, units: Units) -> tuple[Fraction, Fraction]:
    """A length's range in ``units`` in figures as round as one would say them.

    Rounded inwards, by a twentieth at most where that gives a rounder figure; the default and
    1/32 in (or 0.01 mm) count for more than roundness.
    """
    if units == "mm":
        return inner_limits(param, units, steps=100)
    low, high = inner_limits(param, units, steps=32)
    least, most = low, high  # of the upper limit and of the lower one
    if isinstance(param.default, int | float):  # not a list's
        least = most = round(Fraction(param.default) / MM[units], 9)
    lows, highs = zip(*(inner_limits(param, units, steps=n) for n in (1, 2, 4, 8, 16)), strict=True)
    return (
        next((x for x in lows if x - low <= low / _ROUNDER and x <= most and x < high), low),
        next((x for x in highs if high - x <= high / _ROUNDER and x >= least and x > low), high),
    )


def range_text(param: Param, units: Units) -> str:
    """Say what a parameter may be: ``1 3/16" to 9 27/32", or auto``."""
    auto = f", or {AUTO}" if param.optional else ""
    if param.kind == "tolerance":
        _, most = inner_limits(param, units, steps=1000)
        return f"0 to {float(most):g} {units}, plus or minus"
    if param.kind == "lengths":
        each = range_text(dataclasses.replace(param, kind="length"), units)
        return f"a list of lengths, each {each}"
    if param.kind == "length" and param.low is not None:
        limits = _shown_limits(param, units)
        low, high = (format_length(float(x * MM[units]), unit=units) for x in limits)
        return f"{low} to {high}{auto}"
    if param.kind in ("count", "angle", "percent") and param.low is not None:
        sign = {"percent": " %", "angle": "°"}.get(param.kind, "")
        return f"{param.low:g} to {param.high:g}{sign}{auto}"
    if param.kind == "temperature" and param.low is not None and param.high is not None:
        return f"{temperature_range(param.low, param.high, units)}{auto}"
    plain: dict[str, str] = {
        "flag": "true, false",
        "choice": ", ".join(param.choices),
        "words": f"a list of some of {', '.join(param.choices)}",
        "text": f"up to {MAX_TEXT} letters, digits, spaces, - and _",
        "section": "fields, each with its value",
    }
    return plain.get(param.kind, f"any {param.kind}{auto}")
