"""Moves swept on the solids: does a group, on its way home, run through wood that is there?

A move home is looked at backward: the group leaves along a direction without end. It runs into
another solid if, seen along that direction, some wood of the other lies ahead of some of its own:
a face of the group that looks backward, and one of the other solid that looks forward and lies
ahead of it, whose shadows overlap. Two faces at a time, with their outlines and openings, decide
that; no boolean is needed.

What is exact: plane faces with straight outlines square to each other as the direction shows
them. What errs on the safe side: round holes and slots count as wood (only their own peg or bolt
goes through them), and other faces as the rectangle around them. Where that leaves a doubt the
kernel intersects the solids at the places where faces would first meet; of two curved or slanting
faces it then sees only those places.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeAlias

from treenail.checks.survey import Placed, Site, Survey, placed_box
from treenail.timber.frames import Frame, Vec, add, along, cross, scale, snap, snap_axis, unit

if TYPE_CHECKING:
    from treenail.checks.survey import Box, FaceData

#: Faces that overlap by less than this slide past each other, mm.
SLIDE = 1e-4
#: Shared volumes up to this are the kernel's noise, mm³.
NOISE = 1e-2
#: How far beyond the place where faces meet the kernel looks, mm.
BEYOND = 0.25

#: (low u, low v, high u, high v) in the plane across the direction, mm.
Rect: TypeAlias = tuple[float, float, float, float]
Loop: TypeAlias = tuple[Vec, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """A plane face's edge lines: corners of the outer loop and of openings; mm, as the solid's.

    ``loops`` is empty where the outer loop has a curved edge.
    """

    loops: tuple[Loop, ...]


@dataclass(frozen=True, slots=True)
class Shadow:
    """A face seen along a direction: around it, its openings, its least and greatest height."""

    rect: Rect
    loops: tuple[tuple[tuple[float, float], ...], ...]
    low: float
    high: float
    level: tuple[float, float, float] | None  # height = level[0] + level[1] u + level[2] v


@dataclass(slots=True)
class Sweeper:
    """Sweeps placed solids against each other; what stands alike is looked at once."""

    site: Site
    _known: dict[tuple[int, int, Frame, Vec], bool] = field(default_factory=dict)
    _outlines: dict[tuple[int, int], Outline] = field(default_factory=dict)
    asked_kernel: int = 0

    def runs_into(self, mover: str, other: str, away: Vec, *, start: Vec | None = None) -> bool:
        """Whether a solid that leaves along ``away`` without end runs into another.

        ``start``: it stands that far off its place, mm.
        """
        a, b = self.site[mover], self.site[other]
        if start is not None:
            a = _displaced(a, start)
        if not _in_the_way(a.box, b.box, away):
            return False
        local = snap_axis(a.frame.local_direction(away))
        key = (id(a.survey), id(b.survey), a.frame.localise(b.frame), local)
        if key not in self._known:
            self._known[key] = self._look(a, b, away)
        return self._known[key]

    def meets_within(self, mover: str, other: str, away: Vec, travel: float) -> bool:
        """Whether a solid that leaves along ``away`` by ``travel`` mm runs into another.

        The kernel intersects the two where faces would first meet, and where the way ends.
        """
        a, b = self.site[mover], self.site[other]
        swept = _both(a.box, _displaced(a, scale(away, travel)).box)
        if not _cut(swept, b.box) or not _in_the_way(a.box, b.box, away):
            return False
        view = _view(away)
        self.asked_kernel += 1
        ways = (way + BEYOND for way in self._meetings(a, b, view))
        places = {travel, *(way for way in ways if way < travel)}
        return any(_shared(a, b, scale(away, place)) > NOISE for place in sorted(places))

    def _look(self, a: Placed, b: Placed, away: Vec) -> bool:
        view = _view(away)
        own = list(self._shadows(a, view, forward=False))
        theirs = list(self._shadows(b, view, forward=True))
        if not any(
            g.high > f.low + SLIDE and _overlap(f.rect, g.rect) and _ahead(f, g)
            for f, g in itertools.product(own, theirs)
        ):
            return False
        return self._kernel(a, b, away, view)

    def _shadows(self, placed: Placed, view: Frame, *, forward: bool) -> Iterator[Shadow]:
        into = view.localise(placed.frame)
        for face in placed.survey.faces:
            if face.kind != "plane":
                if not face.hollow:
                    yield _rough(placed_box(face.box, into))
                continue
            normal = into.direction(face.axis)
            facing = normal[2] if forward else -normal[2]
            if facing > 1e-9:
                yield self._flat(placed.survey, face, into, normal)

    def _flat(self, survey: Survey, face: FaceData, into: Frame, normal: Vec) -> Shadow:
        key = (id(survey), face.index)
        if key not in self._outlines:
            self._outlines[key] = _outline(survey.raw_faces[face.index])
        seen = tuple(
            tuple((snap(q[0]), snap(q[1])) for q in map(into.point, loop))
            for loop in self._outlines[key].loops
        )
        rough = _rough(placed_box(face.box, into))
        at = into.point(face.point)
        slope_u, slope_v = -normal[0] / normal[2], -normal[1] / normal[2]
        level = (at[2] - slope_u * at[0] - slope_v * at[1], slope_u, slope_v)
        rect = _around(seen[0]) if seen else rough.rect
        return Shadow(rect, seen, rough.low, rough.high, level)

    def _kernel(self, a: Placed, b: Placed, away: Vec, view: Frame) -> bool:
        """Intersect the solids where faces of theirs first meet."""
        self.asked_kernel += 1
        ways = self._meetings(a, b, view)
        return any(_shared(a, b, scale(away, way + BEYOND)) > NOISE for way in sorted(ways))

    def _meetings(self, a: Placed, b: Placed, view: Frame) -> set[float]:
        """How far ``a`` travels until faces of the two first meet, mm."""
        fronts = list(self._shadows(a, view, forward=True))
        backs = list(self._shadows(b, view, forward=False))
        ways: set[float] = set()
        for f, g in itertools.product(fronts, backs):
            if _overlap(f.rect, g.rect):
                for travel in (g.low - f.high, g.high - f.low):
                    if travel > -SLIDE:
                        ways.add(round(max(travel, 0.0), 3))
        return ways

    def in_the_rod(
        self, mouth: Vec, back: Vec, length: float, radius: float, others: Sequence[str]
    ) -> str:
        """The first of some solids that reaches into a round rod, or an empty string.

        The rod stands on ``mouth`` and reaches ``length`` mm along the unit vector ``back``.
        """
        end = along(mouth, back, length)
        wide = [0.0 if abs(c) > 1.0 - 1e-9 else radius for c in back]
        low = [min(p, q) - w + SLIDE for p, q, w in zip(mouth, end, wide, strict=True)]
        high = [max(p, q) + w - SLIDE for p, q, w in zip(mouth, end, wide, strict=True)]
        way: Box = ((low[0], low[1], low[2]), (high[0], high[1], high[2]))
        rod: Any = None
        for other in others:
            there = self.site[other]
            if not _cut(way, there.box):
                continue
            local = placed_box(way, there.frame.localise(Frame()))
            if any(_cut(local, f.box, flat=True) for f in there.survey.faces):
                self.asked_kernel += 1
                rod = rod or _rod(mouth, back, radius - SLIDE, length)
                if _volume(rod, _solid(there)) > NOISE:
                    return other
        return ""


# --- seen along a direction


def _view(away: Vec) -> Frame:
    """A frame whose z is the direction and whose x and y lie along the bench's axes if they can."""
    i = min(range(3), key=lambda k: abs(away[k]))
    helper = [0.0, 0.0, 0.0]
    helper[i] = 1.0
    x = unit(cross((helper[0], helper[1], helper[2]), away))
    return Frame.from_zx((0.0, 0.0, 0.0), away, x)


def _rough(box: Box) -> Shadow:
    (u0, v0, low), (u1, v1, high) = box
    return Shadow((u0, v0, u1, v1), (), low, high, None)


def _around(loop: Sequence[tuple[float, float]]) -> Rect:
    us, vs = zip(*loop, strict=True)
    return (min(us), min(vs), max(us), max(vs))


def _common(a: Rect, b: Rect) -> Rect:
    return (max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3]))


def _overlap(a: Rect, b: Rect) -> bool:
    u0, v0, u1, v1 = _common(a, b)
    return u1 - u0 > SLIDE and v1 - v0 > SLIDE


def _ahead(f: Shadow, g: Shadow) -> bool:
    """Whether somewhere both faces are seen and ``g`` lies ahead; true where that isn't sure."""
    common = _common(f.rect, g.rect)
    for cell in _cells(common, (*f.loops, *g.loops)):
        if not (_within(cell, f.loops) and _within(cell, g.loops)):
            continue
        if f.level is None or g.level is None:
            return True
        p, q = f.level, g.level
        for u, v in ((cell[i], cell[j]) for i in (0, 2) for j in (1, 3)):
            if q[0] - p[0] + (q[1] - p[1]) * u + (q[2] - p[2]) * v > SLIDE:
                return True
    return False


def _cells(common: Rect, loops: Sequence[Sequence[tuple[float, float]]]) -> Iterator[Rect]:
    """The common rectangle cut along the loops' corners; slivers are left out."""

    def stops(k: int) -> list[float]:
        low, high = common[k], common[k + 2]
        inner = {p[k] for loop in loops for p in loop if low + SLIDE < p[k] < high - SLIDE}
        return [low, *sorted(inner), high]

    for u0, u1 in itertools.pairwise(stops(0)):
        for v0, v1 in itertools.pairwise(stops(1)):
            if u1 - u0 > SLIDE and v1 - v0 > SLIDE:
                yield (u0, v0, u1, v1)


def _within(cell: Rect, loops: Sequence[Sequence[tuple[float, float]]]) -> bool:
    """Whether a cell lies in a face; one that a slanting edge may cut counts as in."""
    if not loops:
        return True
    u, v = (cell[0] + cell[2]) / 2, (cell[1] + cell[3]) / 2
    inside = False
    for loop in loops:
        for a, b in zip(loop, (*loop[1:], loop[0]), strict=True):
            slants = abs(a[0] - b[0]) > SLIDE and abs(a[1] - b[1]) > SLIDE
            if slants and _overlap(_around((a, b)), cell):
                return True
            if (a[1] > v) != (b[1] > v) and u < a[0] + (v - a[1]) / (b[1] - a[1]) * (b[0] - a[0]):
                inside = not inside
    return inside


def _outline(face: Any) -> Outline:
    """A plane face's loops; an opening with a curved edge is filled, a curved outside unknown."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepTools import BRepTools, BRepTools_WireExplorer
    from OCP.GeomAbs import GeomAbs_CurveType
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    outer = BRepTools.OuterWire_s(face)
    loops: list[Loop] = []
    wires = TopExp_Explorer(face, TopAbs_ShapeEnum.TopAbs_WIRE)
    while wires.More():
        wire = TopoDS.Wire_s(wires.Current())
        wires.Next()
        corners: list[Vec] = []
        straight = True
        walk = BRepTools_WireExplorer(wire, face)
        while walk.More():
            if BRepAdaptor_Curve(walk.Current()).GetType() != GeomAbs_CurveType.GeomAbs_Line:
                straight = False
                break
            point = BRep_Tool.Pnt_s(walk.CurrentVertex())
            corners.append((point.X(), point.Y(), point.Z()))
            walk.Next()
        if wire.IsSame(outer):
            if not straight:
                return Outline(())
            loops.insert(0, tuple(corners))
        elif straight:
            loops.append(tuple(corners))
    return Outline(tuple(loops))


# --- bounds and the kernel


def _displaced(placed: Placed, by: Vec) -> Placed:
    low, high = placed.box
    return replace(placed, frame=placed.frame.moved(by), box=(add(low, by), add(high, by)))


def _both(a: Box, b: Box) -> Box:
    """The box around two."""
    ((p, q, r), (s, t, u)), ((v, w, x), (y, z, o)) = a, b
    return (min(p, v), min(q, w), min(r, x)), (max(s, y), max(t, z), max(u, o))


def _in_the_way(a: Box, b: Box, away: Vec) -> bool:
    """Whether a box's way without end may meet another."""
    for i in range(3):
        if abs(away[i]) > 1e-9:
            ahead = b[1][i] - a[0][i] if away[i] > 0.0 else a[1][i] - b[0][i]
            if ahead <= SLIDE:
                return False
        elif min(a[1][i], b[1][i]) - max(a[0][i], b[0][i]) <= SLIDE:
            return False
    return True


def _cut(a: Box, b: Box, *, flat: bool = False) -> bool:
    """Whether two boxes share more than contact; a ``flat`` second box may lie inside."""
    room = 0.0 if flat else SLIDE
    return all(
        min(h, q) - max(g, p) > room or (flat and g < p <= q < h)
        for g, h, p, q in zip(a[0], a[1], b[0], b[1], strict=True)
    )


def _solid(placed: Placed, by: Vec = (0.0, 0.0, 0.0)) -> Any:
    from treenail.generators.solids import location

    return placed.survey.solid.moved(location(placed.frame.moved(by)))


def _rod(mouth: Vec, back: Vec, radius: float, length: float) -> Any:
    from treenail.generators.solids import cylinder

    axis = Frame.from_zx(mouth, back, _view(back).x)
    return cylinder(axis.shifted((0.0, 0.0, SLIDE)), 2 * radius, length - SLIDE)


def _volume(first: Any, second: Any) -> float:
    shared = first.intersect(second)
    return float(sum(s.Volume() for s in shared.Solids())) if shared else 0.0


def _shared(a: Placed, b: Placed, by: Vec) -> float:
    return _volume(_solid(a, by), _solid(b))
