"""Round metric sizes in the place of the usual sizes in inches.

A bench in millimetres is made with metric tools and from a metric rule: its usual sizes are
not inches recalculated but the next ones in use there (our own choice). What is bought in
inch sizes, such as lag bolts, keeps them.
"""

from __future__ import annotations

from fractions import Fraction

__all__ = ["metric_size"]

INCH = 25.4
#: Inches to mm. Thicknesses stay within what rough stock of the same nominal size yields.
_SIZES = {
    Fraction(1, 32): 0.8,
    Fraction(1, 16): 1.5,
    Fraction(1, 8): 3.0,
    Fraction(1, 4): 6.0,
    Fraction(3, 8): 10.0,
    Fraction(1, 2): 12.0,
    Fraction(3, 4): 20.0,
    Fraction(3, 2): 38.0,
    Fraction(25, 16): 38.0,
    Fraction(7, 4): 44.0,
    Fraction(7): 175.0,
    Fraction(81, 2): 1020.0,
}
#: Below so many mm, to the nearest of so many.
_STEPS = ((2.0, 0.1), (5.0, 0.5), (35.0, 1.0), (200.0, 5.0), (400.0, 10.0))
_ROUGHEST = 50.0


def metric_size(mm: float) -> float:
    """The round metric size, in mm, that stands for a usual size in inches."""
    inches = Fraction(round(mm / INCH * 64), 64)
    if inches in _SIZES and abs(float(inches) * INCH - mm) < 1e-6:
        return _SIZES[inches]
    step = next((step for below, step in _STEPS if mm < below), _ROUGHEST)
    return round(round(mm / step) * step, 9)
