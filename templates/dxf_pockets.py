"""Rectangles with round or relieved corners, found again among a template's closed loops."""

from __future__ import annotations

import math
from dataclasses import dataclass

from treenail.joints.corners import Corners, pocket_outline
from treenail.templates.figures import Loop, Point

__all__ = ["Pocket", "read_pocket"]

#: Bulges this near are the same; files round them.
_SAME_BULGE = 1e-4


@dataclass(frozen=True, slots=True)
class Pocket:
    """What was found; on the sheet, mm.

    Attributes:
        kind: ``round`` or ``relieved``.
        centre: of the rectangle.
        size: its longer and shorter side.
        along: unit vector of the longer one.
        radius: of the corners' arcs.
        toward: unit vector to the end that has the arcs; None if both have.
    """

    kind: str
    centre: Point
    size: tuple[float, float]
    along: Point
    radius: float
    toward: Point | None


def read_pocket(loop: Loop) -> Pocket | None:
    """The rectangle with two or four arcs at its corners that a loop is; None if it is none."""
    pieces = loop.pieces()
    arcs = [(a, b) for a, b in pieces if a[2]]
    walls = [(a, b) for a, b in pieces if not a[2]]
    if len(arcs) not in (2, 4) or len(walls) != 4:
        return None
    bulge = abs(arcs[0][0][2])
    if any(abs(abs(a[2]) - bulge) > _SAME_BULGE for a, _ in arcs):
        return None
    kind = next((k for k in ("round", "relieved") if _is(k, bulge)), None)
    if kind is None:
        return None
    (x0, y0, _), (x1, y1, _) = max(walls, key=lambda w: math.dist(w[0][:2], w[1][:2]))
    run = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / run, (y1 - y0) / run
    across = [x * ux + y * uy for x, y, _ in loop.vertices]
    up = [y * ux - x * uy for x, y, _ in loop.vertices]
    a, b = (min(across) + max(across)) / 2.0, (min(up) + max(up)) / 2.0
    wide, high = max(across) - min(across), max(up) - min(up)
    chords = [math.dist(p[:2], q[:2]) for p, q in arcs]
    radius = math.fsum(chords) / len(chords) * (1.0 + bulge * bulge) / (4.0 * bulge)
    toward: Point | None = None
    flat = True  # whether the arcs' end lies along u
    if len(arcs) == 2:
        middles = [((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0) for p, q in arcs]
        s = math.fsum(x * ux + y * uy for x, y in middles) / 2.0 - a
        t = math.fsum(y * ux - x * uy for x, y in middles) / 2.0 - b
        flat = abs(s) > abs(t)
        way = math.copysign(1.0, s if flat else t)
        toward = (way * ux, way * uy) if flat else (-way * uy, way * ux)
    corners = _corners(kind, radius, low=len(arcs) == 4)
    whole = Loop(pocket_outline(*((wide, high) if flat else (high, wide)), corners))
    if abs(abs(loop.area()) - whole.area()) > 1e-3 * max(1.0, wide, high):
        return None
    centre = (a * ux - b * uy, a * uy + b * ux)
    if wide >= high:
        return Pocket(kind, centre, (wide, high), (ux, uy), radius, toward)
    return Pocket(kind, centre, (high, wide), (-uy, ux), radius, toward)


def _corners(kind: str, radius: float, *, low: bool) -> Corners:
    return Corners("relieved" if kind == "relieved" else "round", radius, low=low)


def _is(kind: str, bulge: float) -> bool:
    return abs(_corners(kind, 1.0, low=True).bulge - bulge) <= _SAME_BULGE
