"""A plane function over a disc that straight lines cut: its integral in closed form.

By Green's theorem: from the disc's centre every side of the outline is a triangle (inside the
circle) or a sector (outside it), whose areas and first moments are known.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Point: TypeAlias = tuple[float, float]


class Plane(NamedTuple):
    """``level + x * across + y * up``: a height over the disc, or a line where it is 0."""

    level: float
    across: float
    up: float

    def at(self, p: Point) -> float:
        """Its value at a point."""
        return self.level + self.across * p[0] + self.up * p[1]

    def less(self, other: Plane) -> Plane:
        """This minus another."""
        return Plane(self.level - other.level, self.across - other.across, self.up - other.up)

    def least(self, radius: float) -> float:
        """Its least value over the disc around the origin."""
        return self.level - radius * math.hypot(self.across, self.up)

    def most(self, radius: float) -> float:
        """Its greatest value there."""
        return self.level + radius * math.hypot(self.across, self.up)


def over_disc(what: Plane, radius: float, where: Iterable[Plane]) -> float:
    """The integral of ``what`` over that part of the disc where all of ``where`` are positive.

    The disc lies around the origin; lengths in mm.
    """
    r = 2.0 * radius
    outline: Sequence[Point] = ((-r, -r), (r, -r), (r, r), (-r, r))
    for side in where:
        if side.least(radius) >= 0.0:
            continue
        outline = _clipped(outline, side)
        if len(outline) < 3:
            return 0.0
    area = mx = my = 0.0
    for i, p in enumerate(outline):
        a, x, y = _side(outline[i - 1], p, radius)
        area, mx, my = area + a, mx + x, my + y
    return what.level * area + what.across * mx + what.up * my


def _clipped(outline: Sequence[Point], side: Plane) -> list[Point]:
    found: list[Point] = []
    for i, p in enumerate(outline):
        q = outline[i - 1]
        h, k = side.at(p), side.at(q)
        if (h > 0.0 > k) or (h < 0.0 < k):
            t = k / (k - h)
            found.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
        if h >= 0.0:
            found.append(p)
    return found


def _side(p: Point, q: Point, r: float) -> tuple[float, float, float]:
    """(area, its moments in x and y) of the disc between the centre and one side."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    a = dx * dx + dy * dy
    if a == 0.0:
        return 0.0, 0.0, 0.0
    b = (p[0] * dx + p[1] * dy) / a
    c = (p[0] * p[0] + p[1] * p[1] - r * r) / a
    inside = b * b - c
    if inside <= 0.0:
        return _sector(p, q, r)
    root = math.sqrt(inside)
    enter, leave = max(-b - root, 0.0), min(-b + root, 1.0)
    if enter >= leave:
        return _sector(p, q, r)
    first = (p[0] + enter * dx, p[1] + enter * dy)
    last = (p[0] + leave * dx, p[1] + leave * dy)
    parts = [_triangle(first, last)]
    if enter > 0.0:
        parts.append(_sector(p, first, r))
    if leave < 1.0:
        parts.append(_sector(last, q, r))
    areas, xs, ys = zip(*parts, strict=True)
    return math.fsum(areas), math.fsum(xs), math.fsum(ys)


def _triangle(p: Point, q: Point) -> tuple[float, float, float]:
    area = (p[0] * q[1] - p[1] * q[0]) / 2.0
    return area, area * (p[0] + q[0]) / 3.0, area * (p[1] + q[1]) / 3.0


def _sector(p: Point, q: Point, r: float) -> tuple[float, float, float]:
    one, two = math.hypot(*p), math.hypot(*q)
    turn = math.atan2(p[0] * q[1] - p[1] * q[0], p[0] * q[0] + p[1] * q[1])
    third = r * r * r / 3.0
    x = third * (q[1] / two - p[1] / one)
    y = third * (p[0] / one - q[0] / two)
    return r * r * turn / 2.0, x, y


__all__ = ["Plane", "over_disc"]
