"""Quantities other than lengths, at the border: moisture, mass, force, stress and the like.

The units a bench's spec usually holds are read here directly, as exact fractions; anything
else is looked up in pint, which is imported only then. Inside Treenail everything is a plain
float in the unit that :data:`UNITS` gives for its dimension.

Exact factors: 1 lb is 0.453 592 37 kg (international yard and pound agreement, 1959); standard
gravity is 9.806 65 m/s² (3rd CGPM, 1901).
"""

from __future__ import annotations

import functools
import math
import re
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Literal, NoReturn, TypeAlias

from treenail.timber.errors import SpecError

if TYPE_CHECKING:
    import pint

__all__ = [
    "KG_PER_LB",
    "MPA_PER_PSI",
    "N_PER_LBF",
    "UNITS",
    "Dimension",
    "exact_factor",
    "format_mass",
    "parse_quantity",
    "registry",
]

Dimension: TypeAlias = Literal["moisture", "mass", "force", "stress", "temperature", "density"]

UNITS: dict[Dimension, str] = {
    "moisture": "percent",
    "mass": "kg",
    "force": "N",
    "stress": "MPa",
    "temperature": "degC",
    "density": "kg/m3",
}
"""The unit inside Treenail for each dimension."""

_LB = Fraction("0.45359237")
_LBF = _LB * Fraction("9.80665")
_INCH_M = Fraction("0.0254")
_PSI = _LBF / _INCH_M**2 / 10**6  # in MPa

KG_PER_LB = float(_LB)
N_PER_LBF = float(_LBF)
MPA_PER_PSI = float(_PSI)

_MAX_TEXT = 64

# Unit -> (factor, offset) so that inside = number * factor + offset.
_FACTORS: dict[Dimension, dict[str, Fraction]] = {
    "moisture": {"percent": Fraction(1), "%": Fraction(1), "fraction": Fraction(100)},
    "mass": {
        "kg": Fraction(1),
        "g": Fraction(1, 1000),
        "t": Fraction(1000),
        "lb": _LB,
        "lbs": _LB,
        "oz": _LB / 16,
    },
    "force": {"N": Fraction(1), "kN": Fraction(1000), "lbf": _LBF, "kgf": Fraction("9.80665")},
    "stress": {
        "MPa": Fraction(1),
        "N/mm2": Fraction(1),
        "kPa": Fraction(1, 1000),
        "GPa": Fraction(1000),
        "psi": _PSI,
        "ksi": 1000 * _PSI,
    },
    "temperature": {"degC": Fraction(1), "degF": Fraction(5, 9)},
    "density": {
        "kg/m3": Fraction(1),
        "g/cm3": Fraction(1000),
        "lb/ft3": _LB / (12 * _INCH_M) ** 3,
    },
}
_OFFSETS = {"degF": Fraction(-160, 9)}
_SAME = {
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "F": "degF",
    "kg/m³": "kg/m3",
    "kg/m^3": "kg/m3",
    "g/cm³": "g/cm3",
    "g/cm^3": "g/cm3",
    "lb/ft³": "lb/ft3",
    "lb/ft^3": "lb/ft3",
    "N/mm²": "N/mm2",
    "N/mm^2": "N/mm2",
    "pct": "%",
}
_PINT_TARGET: dict[Dimension, str] = {
    "mass": "kg",
    "force": "N",
    "stress": "MPa",
    "density": "kg/m**3",
}
_ALLOWED: dict[Dimension, str] = {
    "moisture": "8, 8 %, 0.08 fraction",
    "mass": "12 kg, 26.5 lb, or another unit of mass",
    "force": "900 N, 0.9 kN, 200 lbf, or another unit of force",
    "stress": "12 MPa, 12.6 GPa, 1800 psi, or another unit of stress",
    "temperature": "21 °C, 70 °F",
    "density": "670 kg/m3, 0.67 g/cm3, 42 lb/ft3",
}
_TEXT = re.compile(
    r"(?P<number>[+-]?\d+\s*/\s*\d+|[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,2})?)"
    r"\s*(?P<unit>\D.*)?",
    re.ASCII,
)
_UNIT_NAME = re.compile(r"[A-Za-zµ][A-Za-z_]{0,30}(?:/[A-Za-zµ][A-Za-z_]{0,30}(?:\*\*[1-3])?)?")


def parse_quantity(
    text: str | float,
    dimension: Dimension,
    default_unit: str | None = None,
    *,
    field: str | None = None,
) -> float:
    """Read a quantity and return it in the unit that :data:`UNITS` gives for ``dimension``.

    A bare number is in ``default_unit`` (without one: in the inside unit). The range isn't
    looked at: that is the caller's question. Raises :class:`SpecError`.
    """
    if dimension not in UNITS:
        message = f"{dimension!r} is not a dimension"
        raise SpecError(message, field=field, allowed=", ".join(UNITS))
    unit = UNITS[dimension] if default_unit is None else default_unit
    if isinstance(text, bool):
        _refuse(text, dimension, field)
    if isinstance(text, int):
        number = Fraction(text)
    elif isinstance(text, float):
        if not math.isfinite(text):
            _refuse(text, dimension, field)
        number = Fraction(repr(float(text)))
    elif isinstance(text, str):
        match = _TEXT.fullmatch(text.strip()) if len(text) <= _MAX_TEXT else None
        if match is None:
            _refuse(text, dimension, field)
        try:
            number = Fraction("".join(match["number"].split()))
        except ZeroDivisionError:
            _refuse(text, dimension, field)
        unit = (match["unit"] or unit).strip()
    else:
        _refuse(text, dimension, field)
    unit = _SAME.get(unit, unit)
    factor = _FACTORS[dimension].get(unit)
    if factor is None:
        target = _PINT_TARGET.get(dimension)
        if target is not None and _UNIT_NAME.fullmatch(unit):
            factor = exact_factor(unit, target)
        if factor is None:
            _refuse(text, dimension, field)
    try:
        return float(number * factor + _OFFSETS.get(unit, 0))
    except OverflowError:
        _refuse(text, dimension, field)


@functools.lru_cache(maxsize=1)
def registry() -> pint.UnitRegistry[Any]:
    """Return the one pint registry, built when first asked for; its numbers are Fractions."""
    import pint

    # Constants in the trade's units (a survey foot, say) stay exact as fractions.
    return pint.UnitRegistry(non_int_type=Fraction, cache_folder=None)


@functools.lru_cache(maxsize=256)
def exact_factor(unit: str, target: str) -> Fraction | None:
    """Return how many ``target`` one ``unit`` is, or None where that has no answer.

    ``unit`` has to be a plain name or one quotient of names: pint's expressions aren't
    evaluated for text that a person wrote.
    """
    if not _UNIT_NAME.fullmatch(unit):
        return None
    import pint

    try:
        magnitude = registry().Quantity(Fraction(1), unit).to(target).magnitude
    except (pint.PintError, ArithmeticError, AttributeError, KeyError, TypeError, ValueError):
        # pint raises what its parser happens to raise; its message adds nothing to ours (and
        # printing it can fail with fractions as exponents).
        return None
    if isinstance(magnitude, float) and not math.isfinite(magnitude):
        return None
    return Fraction(magnitude)


def format_mass(kg: float, *, unit: Literal["kg", "lb"] = "kg", places: int = 1) -> str:
    """Write a mass for people: ``12.4 kg`` or ``27.3 lb``."""
    if not math.isfinite(kg):
        message = f"{kg!r} can't be written as a mass"
        raise SpecError(message, allowed="finite numbers")
    if unit not in ("kg", "lb"):
        message = f"{unit!r} is not a unit to write masses in"
        raise SpecError(message, allowed="kg, lb")
    number = kg if unit == "kg" else kg / KG_PER_LB
    return f"{number:.{places}f} {unit}"


def _refuse(value: object, dimension: Dimension, field: str | None) -> NoReturn:
    try:
        shown = repr(value)
    except ValueError:  # Python won't print integers of thousands of digits
        shown = f"a huge {type(value).__name__}"
    if len(shown) > _MAX_TEXT + 12:
        shown = shown[: _MAX_TEXT - 3] + "..."
    message = f"{shown} is not a {dimension}"
    raise SpecError(message, field=field, allowed=_ALLOWED[dimension])
