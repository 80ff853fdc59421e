"""Standard tolerance grades, so that a CNC shop reads a clearance in the words it knows.

A few values of ISO 286-1, Table 1 (grades IT9 to IT13, 10 to 120 mm: tenons and peg holes).
"""

from __future__ import annotations

from treenail.timber.errors import SpecError

SOURCE = "ISO 286-1, Table 1"
#: Upper limits of the bands of nominal sizes, mm; the first band starts over 10 mm.
BANDS: tuple[float, ...] = (18.0, 30.0, 50.0, 80.0, 120.0)
_LOWEST = 10.0
#: Micrometres, by grade and band.
_GRADES: dict[int, tuple[int, ...]] = {
    9: (43, 52, 62, 74, 87),
    10: (70, 84, 100, 120, 140),
    11: (110, 130, 160, 190, 220),
    12: (180, 210, 250, 300, 350),
    13: (270, 330, 390, 460, 540),
}


def standard_tolerance(nominal: float, grade: int) -> float:
    """Width of the tolerance field in mm for a nominal size in mm.

    Raises:
        SpecError: a size or grade that is not tabulated here.
    """
    if grade not in _GRADES:
        raise SpecError(f"IT{grade} is not tabulated", field="grade", allowed="9 to 13")
    if not _LOWEST < nominal <= BANDS[-1]:
        raise SpecError(
            f"{nominal:g} mm is not tabulated", field="nominal", allowed="over 10 to 120 mm"
        )
    band = next(i for i, high in enumerate(BANDS) if nominal <= high)
    return _GRADES[grade][band] / 1000.0


def clearance_h(nominal: float, hole: int, shaft: int) -> tuple[float, float]:
    """Least and greatest clearance of an H hole with an h shaft, mm: both start at nominal."""
    return 0.0, standard_tolerance(nominal, hole) + standard_tolerance(nominal, shaft)


def coarsest_grade_within(nominal: float, width: float) -> int | None:
    """The coarsest grade whose field is no wider than ``width`` mm; None: finer than IT9."""
    if not _LOWEST < nominal <= BANDS[-1]:
        return None
    fitting = [g for g in _GRADES if standard_tolerance(nominal, g) <= width + 1e-9]
    return max(fitting, default=None)
