"""Temperatures in specs: °C inside; beside inches a bare number is °F, beside millimetres °C."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from treenail.timber.quantities import parse_quantity

if TYPE_CHECKING:
    from treenail.timber.lengths import LengthUnit

__all__ = ["bare_scale", "bare_temperature", "read_temperature", "temperature_range"]


def bare_scale(units: LengthUnit) -> str:
    """The letter of the degrees that a bare number counts in: ``C`` or ``F``."""
    return "F" if units == "in" else "C"


def bare_temperature(celsius: float, units: LengthUnit) -> float:
    """Return a temperature in the degrees of a bare number."""
    return celsius if units == "mm" else float(Fraction(celsius) * Fraction(9, 5) + 32)


def read_temperature(value: Any, units: LengthUnit, *, field: str) -> float:
    """Read ``20 C``, ``68 F`` or a bare number; return °C. Raises :class:`SpecError`."""
    return parse_quantity(value, "temperature", f"deg{bare_scale(units)}", field=field)


def temperature_range(low: float, high: float, units: LengthUnit) -> str:
    """Say a range given in °C: ``32 to 122 F``."""
    numbers = (f"{bare_temperature(x, units):g}" for x in (low, high))
    return f"{' to '.join(numbers)} {bare_scale(units)}"
