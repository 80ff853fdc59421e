"""Rough and surfaced lumber as it is bought: board feet, quarters, and what a plank yields.

Measures by the rules of the National Hardwood Lumber Association (NHLA). Everything in and
out is mm unless its name says otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_FOOT, MM_PER_INCH, LengthUnit

__all__ = [
    "CAUTIOUS_FLATTENING",
    "MM3_PER_BOARD_FOOT",
    "QUARTERS",
    "WASTE_ALLOWANCE",
    "Quarter",
    "board_feet",
    "board_feet_of_volume",
    "lumber_figure",
    "lumber_scale",
    "lumber_text",
    "quarter",
    "rough_quarter_for",
    "surface_measure",
]

MM3_PER_BOARD_FOOT = 144.0 * MM_PER_INCH**3
"""A board foot is 1 in x 12 in x 12 in; twelve are a cubic foot (NHLA)."""

CAUTIOUS_FLATTENING = MM_PER_INCH / 8
"""What a cupped or twisted plank can cost beyond surfacing (common practice), mm.

8/4 stock flattens to 1 5/8 to 1 3/4 in: the upper figure is the surfaced size, the lower one
is this much less.
"""

WASTE_ALLOWANCE = (0.15, 0.30)
"""Lumber bought over net, as fractions (common practice)."""

_NHLA = "NHLA, Rules for the Measurement and Inspection of Hardwood, standard surfaced sizes"


@dataclass(frozen=True, slots=True)
class Quarter:
    """A nominal thickness in quarters of an inch, as rough lumber is sold.

    ``rough`` is the nominal thickness, ``surfaced`` what it is after surfacing two sides.
    """

    quarters: int
    rough: float
    surfaced: float
    source: str

    @property
    def name(self) -> str:
        """The trade's name: ``8/4``."""
        return f"{self.quarters}/4"

    @property
    def flattened(self) -> float:
        """The finished thickness to count on from a plank that isn't flat (common practice)."""
        return self.surfaced - CAUTIOUS_FLATTENING


def _row(quarters: int, whole: int, sixteenths: int, source: str = _NHLA) -> Quarter:
    rough = quarters * MM_PER_INCH / 4
    surfaced = (16 * whole + sixteenths) * MM_PER_INCH / 16
    return Quarter(quarters, rough, surfaced, source)


QUARTERS: tuple[Quarter, ...] = (
    _row(4, 0, 13),
    _row(5, 1, 1),
    _row(6, 1, 5),
    _row(8, 1, 12),
    _row(10, 2, 4, f"{_NHLA}, from memory"),
    _row(12, 2, 12),
    _row(16, 3, 12),
)
"""Rough thicknesses with their surfaced ones, thinnest first."""


def quarter(name: str | int, *, field: str | None = None) -> Quarter:
    """Return the row for ``8/4`` (or 8). Raises :class:`SpecError` for one not sold."""
    wanted = str(name).replace(" ", "")[:20]
    for row in QUARTERS:
        if not isinstance(name, bool) and wanted in (row.name, str(row.quarters)):
            return row
    message = f"{str(name)[:40]!r} is not a thickness that rough lumber is sold in"
    raise SpecError(message, field=field, allowed=", ".join(q.name for q in QUARTERS))


def rough_quarter_for(finished: float, *, cautious: bool = True) -> Quarter | None:
    """Return the thinnest rough stock that still yields ``finished`` mm; None if none does.

    ``cautious`` counts on :attr:`Quarter.flattened` (a plank that needs flattening), otherwise
    on the surfaced size of a flat one. None means that the piece has to be laminated.
    """
    _positive(finished, "finished thickness")
    for row in QUARTERS:
        yields = row.flattened if cautious else row.surfaced
        if yields >= finished - 1e-6:
            return row
    return None


def board_feet(thickness: float, width: float, length: float) -> float:
    """Return the board feet in a piece of these sizes, exactly: T(in) W(in) L(ft) / 12."""
    for size, what in ((thickness, "thickness"), (width, "width"), (length, "length")):
        _positive(size, what)
    return thickness * width * length / MM3_PER_BOARD_FOOT


def board_feet_of_volume(volume_mm3: float) -> float:
    """Return the board feet in a volume."""
    return volume_mm3 / MM3_PER_BOARD_FOOT


def surface_measure(width: float, length: float) -> int:
    """Return the NHLA surface measure, whole square feet: W(in) L(ft) / 12.

    The length counts in whole feet, rounded down; the product goes to the nearest whole foot.
    The rules let a tallier take exact halves up and down by turns (from memory); here a half
    goes to the even number, which does the same on average and is the same each time.
    """
    _positive(width, "width")
    _positive(length, "length")
    # A length that was written as 8' is 8 feet, whatever the float's last bits say.
    feet = math.floor(length / MM_PER_FOOT + 1e-9)
    exact = width / MM_PER_INCH * feet / 12.0
    return round(round(exact, 9))


def lumber_scale(row: Quarter, width: float, length: float) -> float:
    """Return the board feet a yard would tally: surface measure times nominal inches."""
    return surface_measure(width, length) * row.quarters / 4.0


def _positive(size: float, what: str) -> None:
    if not (size > 0.0 and math.isfinite(size)):
        raise SpecError(f"{size!r} mm is not a {what}", allowed="more than 0")


def lumber_figure(board_feet: float, unit: LengthUnit, *, places: int | None = None) -> str:
    """A volume's figure alone: board feet, or cubic metres where sizes are in mm.

    ``places`` after the point of board feet; left out, as a yard would say them.
    """
    if unit == "mm":
        return f"{board_feet * MM3_PER_BOARD_FOOT * 1e-9:.3f}"
    digits = places if places is not None else 1 if board_feet < 10 else 0
    return f"{board_feet:.{digits}f}"


def lumber_text(board_feet: float, unit: LengthUnit, *, places: int | None = None) -> str:
    """A volume of lumber for people: ``80 board feet``, or ``0.189 m³`` where sizes are in mm."""
    name = "board feet" if unit == "in" else "m³"
    return f"{lumber_figure(board_feet, unit, places=places)} {name}"
