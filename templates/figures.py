"""Plane figures that templates and drawings are made of. Numbers only, all in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.joints.cuts import Cut

__all__ = [
    "Box",
    "Figure",
    "Line",
    "Loop",
    "Point",
    "Reach",
    "Ring",
    "Shape",
    "box_of",
    "closed_loop",
    "merged_lines",
    "placed",
    "quadrilateral",
    "rectangle",
    "stadium",
    "tidy",
    "union_box",
]

Point: TypeAlias = tuple[float, float]
Box: TypeAlias = tuple[float, float, float, float]
Vertex: TypeAlias = tuple[float, float, float]
#: How far an operation goes: to its depth, right through, the far side of a through cut, or it
#: is a mark only.
Reach = Literal["deep", "through", "exit", "mark"]


@dataclass(frozen=True, slots=True)
class Loop:
    """Straight pieces and arcs: (x, y, bulge) each, the bulge being that of the piece after it.

    A bulge is the tangent of a quarter of the arc's angle, positive anticlockwise (the DXF
    reference's definition). ``is_open`` leaves out the piece from the last vertex to the first.
    """

    vertices: tuple[Vertex, ...]
    is_open: bool = False

    def area(self) -> float:
        """Area in mm² of a closed loop, positive anticlockwise, arcs included."""
        total = 0.0
        for (x0, y0, bulge), (x1, y1, _) in self.pieces():
            total += (x0 * y1 - x1 * y0) / 2.0
            if bulge:
                angle = 4.0 * math.atan(bulge)
                chord = math.hypot(x1 - x0, y1 - y0)
                radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
                total += radius * radius * (angle - math.sin(angle)) / 2.0
        return total

    def pieces(self) -> list[tuple[Vertex, Vertex]]:
        """(start, end) of each piece; the start holds the bulge."""
        around = [*self.vertices[1:], self.vertices[0]]
        found = list(zip(self.vertices, around, strict=True))
        return found[:-1] if self.is_open else found

    def moved(self, by: Point) -> Loop:
        """The same loop shifted."""
        return Loop(tuple((x + by[0], y + by[1], b) for x, y, b in self.vertices), self.is_open)


@dataclass(frozen=True, slots=True)
class Ring:
    """A true circle."""

    centre: Point
    diameter: float

    def moved(self, by: Point) -> Ring:
        """The same circle shifted."""
        return Ring((self.centre[0] + by[0], self.centre[1] + by[1]), self.diameter)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from ``start`` to ``end``."""

    start: Point
    end: Point

    def moved(self, by: Point) -> Line:
        """The same line shifted."""
        (a, b), (c, d) = self.start, self.end
        return Line((a + by[0], b + by[1]), (c + by[0], d + by[1]))


Shape: TypeAlias = Loop | Ring | Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure on a face.

    Attributes:
        what: in shop words: ``mortise``, ``peg hole``, ``shoulder``, ``centre line`` ...
        shape: in the face's seen coordinates, mm.
        reach: how far the operation goes.
        depth: from the face, mm; None where there is none.
        cut: the cut it stands for; None for lines that only help to mark out.
    """

    what: str
    shape: Shape
    reach: Reach = "mark"
    depth: float | None = None
    cut: Cut | None = None

    def moved(self, by: Point) -> Figure:
        """The same figure shifted."""
        return Figure(
            what=self.what,
            shape=self.shape.moved(by),
            reach=self.reach,
            depth=self.depth,
            cut=self.cut,
        )


def closed_loop(vertices: Sequence[Vertex]) -> Loop:
    """A loop that runs anticlockwise from its lowest, then leftmost, vertex.

    The same figure gives the same loop whichever way its frame was turned.
    """
    points = [(snap(x), snap(y), snap(b)) for x, y, b in vertices]
    if Loop(tuple(points)).area() < 0.0:
        n = len(points)
        # Each bulge belongs to the piece after its vertex; reversed, to the one before.
        points = [(*points[-i - 1][:2], -points[(-i - 2) % n][2] + 0.0) for i in range(n)]
    first = min(range(len(points)), key=lambda i: (points[i][1], points[i][0]))
    return Loop((*points[first:], *points[:first]))


def rectangle(box: Box) -> Loop:
    """A closed rectangle from (left, bottom, right, top)."""
    left, low, right, high = box
    return closed_loop(((left, low, 0.0), (right, low, 0.0), (right, high, 0.0), (left, high, 0.0)))


def quadrilateral(corners: Sequence[Point]) -> Loop:
    """A closed loop of straight pieces."""
    return closed_loop([(x, y, 0.0) for x, y in corners])


def stadium(centre: Point, along: Point, centres: float, width: float) -> Loop:
    """A round-ended slot about ``centre``, its long axis along the unit vector ``along``."""
    c, r = centres / 2.0, width / 2.0
    (x, y), (ux, uy) = centre, along

    def at(a: float, b: float, bulge: float) -> Vertex:
        return (x + a * ux - b * uy, y + a * uy + b * ux, bulge)

    return closed_loop((at(-c, -r, 0.0), at(c, -r, 1.0), at(c, r, 0.0), at(-c, r, 1.0)))


def placed(centre: Point, along: Point, outline: Iterable[Vertex]) -> Loop:
    """An outline about the origin moved to ``centre``, its x turned to the unit vector ``along``.

    The outline must be its own mirror image in its x axis: which way y runs then doesn't matter.
    """
    (x, y), (ux, uy) = centre, along
    return closed_loop([(x + a * ux - b * uy, y + a * uy + b * ux, g) for a, b, g in outline])


def box_of(shape: Shape) -> Box:
    """Bounds (left, bottom, right, top); an arc of up to half a turn is taken at its full circle.

    The bounds serve to keep texts clear, so that a little too much does no harm.
    """
    if isinstance(shape, Ring):
        (x, y), r = shape.centre, shape.diameter / 2.0
        return (x - r, y - r, x + r, y + r)
    if isinstance(shape, Line):
        (a, b), (c, d) = shape.start, shape.end
        return (min(a, c), min(b, d), max(a, c), max(b, d))
    boxes = []
    for (x0, y0, bulge), (x1, y1, _) in shape.pieces():
        sagitta = abs(bulge) * math.hypot(x1 - x0, y1 - y0) / 2.0
        boxes.append(
            (
                min(x0, x1) - sagitta,
                min(y0, y1) - sagitta,
                max(x0, x1) + sagitta,
                max(y0, y1) + sagitta,
            )
        )
    return union_box(boxes)


def union_box(boxes: Iterable[Box]) -> Box:
    """Bounds of all boxes."""
    left, low, right, high = zip(*boxes, strict=True)
    return (min(left), min(low), max(right), max(high))


def merged_lines(lines: Iterable[Line], places: int = 6) -> list[Line]:
    """The same lines with nothing drawn twice: collinear overlaps become one line.

    Lines are sorted, so that the outcome doesn't depend on their order. Lines shorter than the
    rounding (``places`` decimals of a mm) vanish.
    """
    rows: dict[tuple[float, float, float], list[tuple[float, float]]] = {}
    for line in lines:
        (x0, y0), (x1, y1) = line.start, line.end
        length = math.hypot(x1 - x0, y1 - y0)
        if length < 10.0**-places:
            continue
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        if ux < -1e-12 or (abs(ux) <= 1e-12 and uy < 0.0):
            ux, uy = -ux, -uy
        # The row: direction and distance from the origin; the place along it: start and end.
        key = (
            round(ux, 9) + 0.0,
            round(uy, 9) + 0.0,
            round(x0 * uy - y0 * ux, places) + 0.0,
        )
        ends = sorted((x0 * ux + y0 * uy, x1 * ux + y1 * uy))
        rows.setdefault(key, []).append((ends[0], ends[1]))
    found = []
    for (ux, uy, off), spans in sorted(rows.items()):
        joined: list[list[float]] = []
        for low, high in sorted(spans):
            if joined and low <= joined[-1][1] + 10.0**-places:
                joined[-1][1] = max(joined[-1][1], high)
            else:
                joined.append([low, high])
        found += [
            Line(
                (snap(a * ux + off * uy), snap(a * uy - off * ux)),
                (snap(b * ux + off * uy), snap(b * uy - off * ux)),
            )
            for a, b in joined
        ]
    return found


def tidy(figures: Sequence[Figure]) -> tuple[Figure, ...]:
    """No figure twice; centre lines that lie on each other joined."""
    found: list[Figure] = []
    seen: set[tuple[str, Reach, float | None, Shape]] = set()
    for f in figures:
        key = (f.what, f.reach, f.depth, f.shape)
        if f.what != "centre line" and key not in seen:
            seen.add(key)
            found.append(f)
    centre = [f.shape for f in figures if f.what == "centre line" and isinstance(f.shape, Line)]
    found += [Figure(what="centre line", shape=line) for line in merged_lines(centre)]
    return tuple(found)
