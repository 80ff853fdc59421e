"""The integral of one chord times another, to the last digits of a float."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from treenail.joints.outlines import Piece


@cache
def _nodes() -> tuple[tuple[float, float], ...]:
    """Double-exponential nodes and weights on [-1, 1].

    Square roots that vanish at an end of the interval, as those of circles do, cost nothing.
    """
    step = 1.0 / 16.0
    found = []
    for k in range(-52, 53):
        t = k * step
        s = math.pi / 2.0 * math.sinh(t)
        weight = step * math.pi / 2.0 * math.cosh(t) / math.cosh(s) ** 2
        found.append((math.tanh(s), weight))
    return tuple(found)


def quadrature(
    first: tuple[Piece, Piece], second: tuple[Piece, Piece], left: float, right: float
) -> float:
    """Integral from ``left`` to ``right`` of one chord times the other."""
    half, mid = (right - left) / 2.0, (left + right) / 2.0
    (a, b), (c, d) = first, second
    total = 0.0
    for t, weight in _nodes():
        x = mid + half * t
        total += weight * (b.at(x) - a.at(x)) * (d.at(x) - c.at(x))
    return half * total
