"""Plane areas in closed form: circles, stadiums and convex polygons, joined, cut and clipped.

Every outline is a lower and an upper chain of lines and arcs over one coordinate, so the area of
any union of them, less any rectangles, falls into strips in which the order of all boundaries
stays the same; there it is a signed sum of antiderivatives. Nothing is sampled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

from treenail.timber.errors import GeometryError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Point: TypeAlias = tuple[float, float]
#: (low u, low v, high u, high v), mm.
Rect: TypeAlias = tuple[float, float, float, float]

#: Overlaps thinner than this (mm) are contact, not overlap.
TOUCH = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """``v = slope * u + level`` for ``u0 <= u <= u1``."""

    u0: float
    u1: float
    slope: float
    level: float

    def at(self, u: float) -> float:
        """The v of the line at ``u``."""
        return self.slope * u + self.level

    def integral(self, low: float, high: float) -> float:
        """Area between the u axis and the line from ``low`` to ``high``."""
        return (high - low) * (self.slope * (low + high) / 2.0 + self.level)


@dataclass(frozen=True, slots=True)
class Arc:
    """The upper (``side`` 1) or lower (-1) arc of a circle for ``u0 <= u <= u1``."""

    u0: float
    u1: float
    uc: float
    vc: float
    radius: float
    side: float

    def at(self, u: float) -> float:
        """The v of the arc at ``u``."""
        x = u - self.uc
        return self.vc + self.side * math.sqrt(max((self.radius - x) * (self.radius + x), 0.0))

    def _under(self, u: float) -> float:
        """Antiderivative of the half chord sqrt(r² - x²)."""
        r = self.radius
        x = min(max(u - self.uc, -r), r)
        half = math.sqrt((r - x) * (r + x))
        # Not asin(x / r): near the ends its rounding would not cancel against the first term's.
        return (x * half + r * r * math.atan2(x, half)) / 2.0

    def integral(self, low: float, high: float) -> float:
        """Area between the u axis and the arc from ``low`` to ``high``."""
        return self.vc * (high - low) + self.side * (self._under(high) - self._under(low))


Piece: TypeAlias = Line | Arc


def flat(level: float) -> Line:
    """A line of constant v."""
    return Line(-math.inf, math.inf, 0.0, level)


@dataclass(frozen=True, slots=True)
class Outline:
    """A plane figure with one span at each u: chains from left to right, area in mm², bounds."""

    lower: tuple[Piece, ...]
    upper: tuple[Piece, ...]
    area: float
    box: Rect

    def span(self, u: float) -> tuple[Piece, Piece] | None:
        """The pieces that bound the figure at ``u`` from below and above, or None beside it."""
        if not self.box[0] < u < self.box[2]:
            return None
        low = next((p for p in self.lower if p.u0 <= u <= p.u1), None)
        high = next((p for p in self.upper if p.u0 <= u <= p.u1), None)
        return (low, high) if low is not None and high is not None else None


@dataclass(frozen=True, slots=True)
class Round:
    """All points within ``radius`` of the segment from ``start`` to ``end``: circle or stadium."""

    start: Point
    end: Point
    radius: float

    def transposed(self) -> Round:
        """The figure with its coordinates swapped."""
        return Round(self.start[::-1], self.end[::-1], self.radius)

    def outline(self) -> Outline:
        """Its chains: two arcs and, if it is a slot, the two tangents."""
        (ua, va), (ub, vb) = sorted((self.start, self.end))
        r = self.radius
        long = math.hypot(ub - ua, vb - va)
        s, c = ((vb - va) / long, (ub - ua) / long) if long > 0.0 else (0.0, 1.0)
        box = (ua - r, min(va, vb) - r, ub + r, max(va, vb) + r)
        area = r * (math.pi * r + 2.0 * long)

        def chain(side: float) -> tuple[Piece, ...]:
            left, right = ua - side * r * s, ub - side * r * s
            found: list[Piece] = []
            if left > ua - r:
                found.append(Arc(ua - r, left, ua, va, r, side))
            if c > 0.0 and right > left:
                slope = s / c
                found.append(Line(left, right, slope, va + side * r * c - slope * left))
            if ub + r > right:
                found.append(Arc(right, ub + r, ub, vb, r, side))
            return tuple(found)

        return Outline(chain(-1.0), chain(1.0), area, box)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A convex polygon; its corners in order, either way round."""

    points: tuple[Point, ...]

    def transposed(self) -> Polygon:
        """The figure with its coordinates swapped."""
        return Polygon(tuple(p[::-1] for p in self.points))

    def outline(self) -> Outline:
        """Its chains; raises GeometryError unless it is convex."""
        points = self.points
        u0, v0 = points[0]
        # Relative to the first corner: far from the origin the products would cancel.
        near = [(u - u0, v - v0) for u, v in points]
        edges = list(zip(near, near[1:] + near[:1], strict=True))
        twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in edges)
        turn = math.copysign(1.0, twice)
        size = max(math.dist(a, b) for a, b in edges)
        for (a, b), (_, c) in zip(edges, edges[1:] + edges[:1], strict=True):
            bend = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
            if bend * turn < -TOUCH * size:
                raise GeometryError("a profile must be a convex polygon")
        lower: list[Piece] = []
        upper: list[Piece] = []
        for (ua, va), (ub, vb) in zip(points, points[1:] + points[:1], strict=True):
            if abs(ub - ua) <= TOUCH:
                continue
            slope = (vb - va) / (ub - ua)
            line = Line(min(ua, ub), max(ua, ub), slope, va - slope * ua)
            (lower if (ub - ua) * turn > 0.0 else upper).append(line)
        us, vs = [p[0] for p in points], [p[1] for p in points]
        box = (min(us), min(vs), max(us), max(vs))
        return Outline(tuple(lower), tuple(upper), abs(twice) / 2.0, box)


@dataclass(frozen=True, slots=True)
class Spandrel:
    """A corner less the quarter circle of ``radius`` that touches both of its sides.

    Attributes:
        corner: where the sides meet.
        ways: +1 or -1 each: which way the sides run along u and v.
        radius: of the quarter circle, mm.
    """

    corner: Point
    ways: Point
    radius: float

    def transposed(self) -> Spandrel:
        """The figure with its coordinates swapped."""
        return Spandrel(self.corner[::-1], self.ways[::-1], self.radius)

    def outline(self) -> Outline:
        """Its chains: a side, and the arc opposite; it isn't convex, but has one span at each u."""
        (u, v), (s, t), r = self.corner, self.ways, self.radius
        u0, u1 = sorted((u, u + s * r))
        v0, v1 = sorted((v, v + t * r))
        side: tuple[Piece, ...] = (Line(u0, u1, 0.0, v),)
        arc: tuple[Piece, ...] = (Arc(u0, u1, u + s * r, v + t * r, r, -t),)
        lower, upper = (side, arc) if t > 0.0 else (arc, side)
        return Outline(lower, upper, (1.0 - math.pi / 4.0) * r * r, (u0, v0, u1, v1))


Shape: TypeAlias = Round | Polygon | Spandrel


def _meet_lines(a: Line, b: Line) -> tuple[float, ...]:
    bend = a.slope - b.slope
    return ((b.level - a.level) / bend,) if bend != 0.0 else ()


def _meet_line_arc(line: Line, arc: Arc) -> tuple[float, ...]:
    # Foot of the centre on the line, then half the chord along it.
    lean = 1.0 + line.slope * line.slope
    off = line.at(arc.uc) - arc.vc
    inside = arc.radius * arc.radius - off * off / lean
    if inside < 0.0:
        return ()
    foot = arc.uc - line.slope * off / lean
    half = math.sqrt(inside / lean)
    return (foot - half, foot + half)


def _meet_arcs(a: Arc, b: Arc) -> tuple[float, ...]:
    du, dv = b.uc - a.uc, b.vc - a.vc
    apart = math.hypot(du, dv)
    if apart == 0.0:
        return ()
    toward = (apart + (a.radius - b.radius) * (a.radius + b.radius) / apart) / 2.0
    inside = (a.radius - toward) * (a.radius + toward)
    if inside < 0.0:
        return ()
    half = math.sqrt(inside)
    mid = a.uc + toward * du / apart
    return (mid - half * dv / apart, mid + half * dv / apart)


def meet(a: Piece, b: Piece) -> tuple[float, ...]:
    """Every u at which two boundaries can change their order (a few too many do no harm)."""
    if isinstance(a, Line):
        return _meet_lines(a, b) if isinstance(b, Line) else _meet_line_arc(a, b)
    return _meet_line_arc(b, a) if isinstance(b, Line) else _meet_arcs(a, b)


def strips(stops: Iterable[float], low: float, high: float) -> list[tuple[float, float]]:
    """Neighbouring pairs of the stops that lie between ``low`` and ``high``, these included."""
    kept = sorted({low, high, *(u for u in stops if low < u < high)})
    return list(pairwise(kept))


def rects_overlap(a: Rect, b: Rect) -> bool:
    """Whether two rectangles share more than contact."""
    return (
        a[0] < b[2] - TOUCH and b[0] < a[2] - TOUCH and a[1] < b[3] - TOUCH and b[1] < a[3] - TOUCH
    )


def region_area(figures: Sequence[Outline], holes: Sequence[Rect], clip: Rect) -> float:
    """Area in mm² of the union of ``figures``, less the rectangles ``holes``, within ``clip``."""
    figures = [f for f in figures if rects_overlap(f.box, clip)]
    holes = [h for h in holes if any(rects_overlap(f.box, h) for f in figures)]
    if not figures:
        return 0.0
    if len(figures) == 1 and not holes and _inside(figures[0].box, clip):
        return figures[0].area
    levels = [flat(v) for v in {clip[1], clip[3], *(v for h in holes for v in (h[1], h[3]))}]
    chains = [f.lower + f.upper for f in figures]
    stops = {u for h in holes for u in (h[0], h[2])}
    for i, chain in enumerate(chains):
        rivals = [*levels, *(p for other in chains[:i] for p in other)]
        for piece in chain:
            stops.update((piece.u0, piece.u1))
            for rival in rivals:
                stops.update(meet(piece, rival))
    low = max(clip[0], min(f.box[0] for f in figures))
    high = min(clip[2], max(f.box[2] for f in figures))
    return math.fsum(
        _strip_area(figures, holes, clip, left, right) for left, right in strips(stops, low, high)
    )


def _inside(inner: Rect, outer: Rect) -> bool:
    return (
        inner[0] >= outer[0]
        and inner[1] >= outer[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )


def _strip_area(
    figures: Sequence[Outline], holes: Sequence[Rect], clip: Rect, left: float, right: float
) -> float:
    """Area of one strip, in which no two boundaries cross."""
    mid = (left + right) / 2.0
    # (v in mid-strip, boundary, figures entered, holes entered), walked from below. Outside the
    # clip counts as one more hole.
    walls: list[tuple[float, Piece, int, int]] = [
        (clip[1], flat(clip[1]), 0, -1),
        (clip[3], flat(clip[3]), 0, 1),
    ]
    for figure in figures:
        span = figure.span(mid)
        if span is not None:
            walls.append((span[0].at(mid), span[0], 1, 0))
            walls.append((span[1].at(mid), span[1], -1, 0))
    for hole in holes:
        if hole[0] < mid < hole[2]:
            walls.append((hole[1], flat(hole[1]), 0, 1))
            walls.append((hole[3], flat(hole[3]), 0, -1))
    walls.sort(key=lambda wall: wall[0])
    area, inside, barred, was = 0.0, 0, 1, False
    for _, piece, enters, bars in walls:
        inside += enters
        barred += bars
        now = inside > 0 and barred == 0
        if now != was:
            area += (-1.0 if now else 1.0) * piece.integral(left, right)
            was = now
    return area


def circle_rectangle_area(diameter: float, centre: Point, rect: Rect) -> float:
    """Area in mm² shared by a circle and a rectangle."""
    return region_area([Round(centre, centre, diameter / 2.0).outline()], [], rect)


def stadium_rectangle_area(width: float, start: Point, end: Point, rect: Rect) -> float:
    """Area in mm² shared by a rectangle and a slot ``width`` wide between two centres."""
    return region_area([Round(start, end, width / 2.0).outline()], [], rect)


def lens_area(d: float, e: float) -> float:
    """Area in mm² shared by two circles of diameter ``d`` with centres ``e`` apart, both in mm.

    This is the opening that stays clear through a drawbored joint before the peg is driven.
    """
    if not (math.isfinite(d) and d > 0.0 and math.isfinite(e)):
        raise GeometryError(f"a lens needs a diameter above 0 and an offset, got {d!r} and {e!r}")
    e = abs(e)
    if e >= d:
        return 0.0
    chord = math.sqrt((d - e) * (d + e))
    # The angle is acos(e / d), which would lose digits as e nears d.
    return (d * d * math.atan2(chord, e) - e * chord) / 2.0


def crescent_area(d: float, e: float) -> float:
    """Area in mm² of a circle of diameter ``d`` outside an equal one offset by ``e``, in mm."""
    return math.pi * d * d / 4.0 - lens_area(d, e)


def clear_opening(d: float, e: float) -> float:
    """Clear width in mm through two holes of diameter ``d`` whose centres lie ``e`` apart."""
    return max(d - abs(e), 0.0)
