"""What a person wrote, read for Treenail's Workplane methods: sizes, sides, fits, switches."""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

from treenail.joints.fits import Fit, get_fit
from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthValue, parse_length

__all__ = [
    "SIDES",
    "Side",
    "combining",
    "count_of",
    "degrees",
    "fit_of",
    "leaning",
    "one_of",
    "optional",
    "share",
    "size",
]

Side: TypeAlias = Literal["+x", "-x", "+y", "-y"]

#: Unit vector of each side of the workplane.
SIDES: dict[str, tuple[float, float]] = {
    "+x": (1.0, 0.0),
    "-x": (-1.0, 0.0),
    "+y": (0.0, 1.0),
    "-y": (0.0, -1.0),
}


def size(value: LengthValue, field: str, *, zero: bool = False) -> float:
    """A length in mm, above 0 (or from 0 on); SpecError."""
    mm = parse_length(value, unit="mm", field=field)
    if mm < 0.0 or (mm == 0.0 and not zero):
        raise SpecError(
            f"{value!r} is no size here", field=field, allowed="0 mm and more" if zero else "> 0 mm"
        )
    return mm


def optional(value: LengthValue | None, field: str) -> float | None:
    """A length as :func:`size` reads it, or None."""
    return None if value is None else size(value, field)


def one_of(value: object, allowed: tuple[str, ...], field: str) -> None:
    """Refuse a word that is not among the allowed ones (SpecError)."""
    if not (isinstance(value, str) and value in allowed):
        raise SpecError(f"{value!r} is unknown", field=field, allowed=", ".join(allowed))


def combining(where: str, combine: object) -> bool:
    """Whether to cut. Fusing the tools with the solid would do nothing, and so is refused."""
    if not (isinstance(combine, bool) or (isinstance(combine, str) and combine in ("cut", "s"))):
        raise SpecError(
            f"{combine!r}: a joint can only be cut",
            field=f"{where}.combine",
            allowed="True, 'cut', 's', or False for the tools alone",
        )
    return bool(combine)


def fit_of(value: str | Fit, field: str) -> Fit:
    """A fit, or the one of that name; SpecError."""
    named = get_fit(value) if isinstance(value, str) else value
    if not isinstance(named, Fit):
        raise SpecError(f"{value!r} is not a fit", field=field, allowed="a fit's name, or a Fit")
    return named


def share(value: object, field: str) -> float:
    """A plain number over 0 and under 1; SpecError."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1.0:
        raise SpecError(f"{value!r} is no such share", field=field, allowed="over 0, under 1")
    return float(value)


def count_of(value: object, least: int, what: str, field: str) -> int:
    """A whole number of so many and more; SpecError."""
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise SpecError(f"{value!r} {what}", field=field, allowed=f"{least} or more")
    return value


def degrees(value: object, field: str) -> float:
    """A cone's whole angle; SpecError."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 45.0:
        raise SpecError(f"{value!r} is no cone's angle", field=field, allowed="over 0°, under 45°")
    return float(value)


def leaning(value: object, most: float, field: str) -> float:
    """The tangent of an angle told in degrees, to either side; SpecError."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= most:
        raise SpecError(
            f"{value!r} is no such angle", field=field, allowed=f"-{most:g}° to {most:g}°"
        )
    return math.tan(math.radians(value))


def pair(value: object, what: str, allowed: str, field: str) -> tuple[float, float]:
    """Two lengths of 0 and more; SpecError."""
    if not isinstance(value, tuple | list) or len(value) != 2:
        raise SpecError(f"{value!r} are not {what}", field=field, allowed=allowed)
    low, high = (size(v, field, zero=True) for v in value)
    return low, high
