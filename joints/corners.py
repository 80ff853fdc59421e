"""Inner corners of a pocket that a round cutter leaves, and the tenon that goes into them.

Square corners need a chisel. Round ones have the cutter's radius, and the tenon's four long edges
are rounded to match. Relieved ones let a square tenon in: at each corner the cutter dips a little
beyond both walls, so that the pocket looks like a bone with two knuckles at each end.

A relief's centre lies inside the pocket on the corner's bisector, nearer to the corner than the
cutter's radius, so that the hole takes the corner itself away and some wood beyond both walls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.joints.cutters import BoreCutter, BoxCutter, Cutter
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.timber.frames import Frame

CornerKind: TypeAlias = Literal["square", "round", "relieved"]
CORNERS: tuple[CornerKind, ...] = ("square", "round", "relieved")
#: (x, y, bulge of the piece that follows), anticlockwise; see ``templates.figures.Loop``.
Vertex: TypeAlias = tuple[float, float, float]

#: A relief's centre lies this share of its radius from the corner; under 1, or the corner would
#: stay. Our own choice: a cutter worn by a tenth still clears the tenon's edge.
DIP = 0.9
#: A relief's centre from each of the two walls, in radii.
_IN = DIP / math.sqrt(2.0)
#: Half of what a relief takes out of each wall's line, in radii.
_HALF_CHORD = math.sqrt(1.0 - _IN * _IN)
#: Each relief's arc (the part outside the pocket's rectangle) as a bulge: tan of a quarter angle.
_RELIEF_BULGE = math.tan((math.pi / 2.0 + 2.0 * math.acos(_IN)) / 4.0)
#: A quarter circle's bulge.
ROUND_BULGE = math.tan(math.pi / 8.0)
#: Least straight wall that must be left between two corners, mm (our own choice).
LEAST_WALL = 0.01


@dataclass(frozen=True, slots=True)
class Corners:
    """A pocket's corners where they aren't square.

    Attributes:
        kind: ``round`` or ``relieved``.
        radius: of the rounding or of the relief holes, mm.
        low, high: whether the two corners at -x (+x) of the pocket's frame are so; those of a
            socket that runs into its mortise, or out of the piece, stay square.
    """

    kind: Literal["round", "relieved"]
    radius: float
    low: bool = True
    high: bool = True

    @property
    def beyond(self) -> float:
        """How far the pocket reaches beyond its walls' planes, mm."""
        return snap(self.radius * (1.0 - _IN)) if self.kind == "relieved" else 0.0

    @property
    def of_wall(self) -> float:
        """How much of each adjoining wall a corner takes, mm."""
        return self.radius * (1.0 if self.kind == "round" else _IN + _HALF_CHORD)

    @property
    def bulge(self) -> float:
        """Of each corner's arc."""
        return ROUND_BULGE if self.kind == "round" else _RELIEF_BULGE

    def spots(self, length: float, width: float) -> tuple[tuple[float, float], ...]:
        """The arcs' centres in the pocket's frame, mm."""
        away = self.radius * (1.0 if self.kind == "round" else _IN)
        x, y = length / 2.0 - away, width / 2.0 - away
        ends = [s for s, there in ((-1.0, self.low), (1.0, self.high)) if there]
        return tuple((s * x, t * y) for s in ends for t in (-1.0, 1.0))


def largest_cutter(kind: CornerKind, narrow: float) -> float:
    """The largest cutter's diameter (mm) whose corners leave a pocket's short wall standing."""
    room = max(narrow - LEAST_WALL, 0.0)
    return room / (_IN + _HALF_CHORD) if kind == "relieved" else room


def refuse_unless_they_fit(name: str, length: float, width: float, corners: Corners) -> None:
    """GeometryError where the corners would run together along a wall."""
    narrow = min(length if corners.low and corners.high else 2.0 * length, width)
    most = largest_cutter(corners.kind, narrow)
    if corners.radius <= 0.0 or 2.0 * corners.radius > most + 1e-9:
        raise GeometryError(
            f"{name}: {corners.kind} corners of a {2.0 * corners.radius:.4g} mm cutter don't fit "
            f"a pocket {width:.4g} mm wide; at most {most:.4g} mm"
        )


def tenon_radius(
    corner: float, *, edge: float, cheek: float, width: float, thickness: float
) -> float:
    """Radius of a tenon's long edges in a mortise with round corners, mm.

    The smaller of the two clearances of a side is taken off the mortise's radius. The gap around
    the corner then runs from the cheek's to the edge's and is nowhere less than the smaller one.
    ``edge`` and ``cheek`` are clearances, both sides together; all in mm.
    """
    radius = corner - min(edge, cheek) / 2.0
    return snap(max(min(radius, width / 2.0, thickness / 2.0), 0.0))


def pocket_outline(length: float, width: float, corners: Corners | None) -> tuple[Vertex, ...]:
    """A pocket's mouth about the frame's origin: (x, y, bulge), anticlockwise, mm."""
    a, b = length / 2.0, width / 2.0
    if corners is None:
        return ((-a, -b, 0.0), (a, -b, 0.0), (a, b, 0.0), (-a, b, 0.0))
    s, bulge = corners.of_wall, corners.bulge
    found: list[Vertex] = []
    # Each corner: where the arc begins and ends, seen anticlockwise.
    for x, y, there, first in (
        (-a, -b, corners.low, (0.0, 1.0)),
        (a, -b, corners.high, (-1.0, 0.0)),
        (a, b, corners.high, (0.0, -1.0)),
        (-a, b, corners.low, (1.0, 0.0)),
    ):
        if not there:
            found.append((x, y, 0.0))
            continue
        last = (-first[1], first[0])
        found.append((x + s * first[0], y + s * first[1], bulge))
        # The arc ends on the wall that comes next.
        found.append((x - s * last[0], y - s * last[1], 0.0))
    return tuple(found)


def pocket_cutters(
    start: Frame, length: float, width: float, deep: float, corners: Corners | None
) -> tuple[Cutter, ...]:
    """A pocket ``deep`` mm along ``start``'s z, its middle at the origin, as plain volumes."""

    def box(low: float, high: float, half: float) -> BoxCutter:
        return BoxCutter(start.shifted((low, -half, 0.0)), (high - low, 2.0 * half, deep))

    a, b = length / 2.0, width / 2.0
    if corners is None or not (corners.low or corners.high):
        return (box(-a, a, b),)
    r = corners.radius
    holes = tuple(
        BoreCutter(start.shifted((x, y, 0.0)), 2.0 * r, deep)
        for x, y in corners.spots(length, width)
    )
    if corners.kind == "relieved":
        return (box(-a, a, b), *holes)
    low, high = -a + (r if corners.low else 0.0), a - (r if corners.high else 0.0)
    return (box(low, high, b), box(-a, a, b - r), *holes)


__all__ = [
    "CORNERS",
    "DIP",
    "ROUND_BULGE",
    "CornerKind",
    "Corners",
    "Vertex",
    "largest_cutter",
    "pocket_cutters",
    "pocket_outline",
    "refuse_unless_they_fit",
    "tenon_radius",
]
