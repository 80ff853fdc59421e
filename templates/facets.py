"""The faces of a bench that look toward a viewer, as flat outlines.

A picture's lines come from exact hidden-line removal. Facets do the rest: they carry the fill
of each piece, they tell where a piece is seen (for its label), and they name the faces that
can't be seen at all, which hidden-line removal needn't work on.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from treenail.joints.aslant_ends import finished_corners
from treenail.templates.hidden_line import Point, View
from treenail.templates.painting import EDGE_ON, SLACK, far_to_near
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, Vec, add, cross, dot, norm, scale, sub, unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.solids import BenchSolids

__all__ = ["Facet", "Scene"]

#: Chords around a full circle.
CHORDS = 24
#: Strips around a full cylinder.
STRIPS = 16
#: Cylinders of a smaller radius (mm) get half as many.
SMALL = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Facet:
    """One flat face, or one strip of a round one.

    Attributes:
        owner: the member or bolt.
        loops: outline first, then openings: arrays of points in the bench, mm.
        normal: outward, in the bench.
        flat: False for a strip of a round face.
    """

    owner: str
    loops: tuple[Any, ...]
    normal: Vec
    flat: bool

    def outlines(self, view: View) -> list[list[Point]]:
        """The loops on the paper."""
        import numpy as np

        axes = np.array((view.right, view.upward)).T
        return [[(u, v) for u, v in (loop @ axes).tolist()] for loop in self.loops]

    def cut(self, normal: Any, level: float) -> list[Facet]:
        """Its parts before and behind a plane; itself where it doesn't go through, or has holes.

        Parts of an outline with notches may hang together by lines along the plane.
        """
        import numpy as np

        if len(self.loops) != 1:
            return [self]
        points = self.loops[0]
        heights = points @ normal - level
        if heights.min() > -SLACK or heights.max() < SLACK:
            return [self]
        parts = []
        for side in (1.0, -1.0):
            kept = []
            for k in range(len(points)):
                a, b = side * heights[k - 1], side * heights[k]
                if (a > 0.0) != (b > 0.0):
                    kept.append(points[k - 1] + (points[k] - points[k - 1]) * (a / (a - b)))
                if b > 0.0:
                    kept.append(points[k])
            parts.append(Facet(self.owner, (np.array(kept),), self.normal, self.flat))
        return parts


class _Face:
    """A kernel face in its shape's own coordinates; what isn't asked for isn't read."""

    def __init__(self, face: Any) -> None:
        from OCP.BRepAdaptor import BRepAdaptor_Surface
        from OCP.GeomAbs import GeomAbs_SurfaceType

        self.face = face
        self.surface = BRepAdaptor_Surface(face.wrapped)
        self.flip = -1.0 if face.wrapped.Orientation().name == "TopAbs_REVERSED" else 1.0
        self.flat = self.surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Plane

    @cached_property
    def normal(self) -> Vec | None:
        """Outward normal of a flat face."""
        if not self.flat:
            return None
        axis = self.surface.Plane().Position()
        # A plane's own axes may be left-handed; the surface normal is X × Y.
        d = axis.XDirection().Crossed(axis.YDirection())
        return (d.X() * self.flip, d.Y() * self.flip, d.Z() * self.flip)

    @cached_property
    def pieces(self) -> tuple[tuple[tuple[Any, ...], Vec], ...]:
        """(loops, outward normal) of the face, or of each strip of a round one."""
        if self.normal is not None:
            return ((_loops(self.face), self.normal),)
        return _strips(self.surface, self.flip, _cut_aslant(self.face))

    @cached_property
    def crossed(self) -> Vec | None:
        """The axis of a bore's wall that another bore breaks through, else None."""
        from OCP.GeomAbs import GeomAbs_SurfaceType

        if self.surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Cylinder:
            return None
        if all(e.geomType() != "BSPLINE" for e in self.face.Edges()):
            return None
        d = self.surface.Cylinder().Axis().Direction()
        return (d.X(), d.Y(), d.Z())

    def lies_across(self, toward: Vec) -> bool:
        """Whether it is such a wall and lies square to a direction.

        It is then seen through the other bore only, whose rim hides the line that they share;
        the kernel's hidden-line pass does not come to an end on the two.
        """
        return self.crossed is not None and abs(dot(self.crossed, toward)) < EDGE_ON

    def turned_to(self, toward: Vec) -> list[tuple[tuple[Any, ...], Vec]]:
        """The pieces that face a direction (in the shape's coordinates)."""
        if self.normal is not None and dot(self.normal, toward) <= EDGE_ON:
            return []
        return [p for p in self.pieces if dot(p[1], toward) > EDGE_ON]


class Scene:
    """All solids of a bench, some of them moved, ready to be looked at.

    Args:
        solids: the bench.
        moved: displacements in mm by member or bolt name, for an exploded view.
    """

    def __init__(self, solids: BenchSolids, moved: Mapping[str, Vec] | None = None) -> None:
        self.solids = solids
        moved = moved or {}
        self.names = (*solids.keys, *solids.bolts)
        for name in moved:
            if name not in self.names:
                raise SpecError(f"there is no part {name!r} to move", field="explode")
        self.frames = {
            n: solids.placement(n).moved(moved.get(n, (0.0, 0.0, 0.0))) for n in self.names
        }
        self._faces: dict[int, list[_Face]] = {}

    def shapes(self) -> list[Any]:
        """Every solid where it stands."""
        from treenail.generators.solids import location

        return [self.solids.local(n).moved(location(self.frames[n])) for n in self.names]

    def corners(self, name: str) -> list[Vec]:
        """The corners of a member's stock as it stands, mm."""
        member = self.solids.bench.by_name[name]
        frame, home = self.frames[name], member.placement
        return [frame.point(home.local_point(p)) for p in member.world_corners()]

    def bounds(self) -> tuple[Vec, Vec]:
        """Axis-aligned bounds of all members as they stand, (low, high) in mm.

        Of their stock, less what ends that are cut aslant lose.
        """
        points = [
            self.frames[name].point(member.placement.local_point(p))
            for name, member in self.solids.bench.by_name.items()
            for p in finished_corners(member, self.solids.bench.cuts[name])
        ]
        low, high = (tuple(pick(p[k] for p in points) for k in range(3)) for pick in (min, max))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    def _local_faces(self, name: str) -> list[_Face]:
        shape = self.solids.local(name)
        known = self._faces.get(id(shape))
        if known is None:
            known = [_Face(f) for f in shape.Faces()]
            self._faces[id(shape)] = known
        return known

    def facing(self, view: View) -> tuple[list[Facet], list[Any]]:
        """What may be seen: (facets from far to near, a shape of loose faces for each piece).

        Left out are faces turned away, and faces inside the stock of other pieces, which fills
        the joint around them.
        """
        import cadquery as cq

        from treenail.generators.solids import location

        facets: list[Facet] = []
        shapes: list[Any] = []
        fillers = _Fillers(self)
        for name in self.names:
            frame = self.frames[name]
            toward = frame.local_direction(view.toward)
            turned = [(f, p) for f in self._local_faces(name) if (p := f.turned_to(toward))]
            if not turned:
                continue
            pieces = [
                [(tuple(_placed(loop, frame) for loop in loops), n) for loops, n in found]
                for _, found in turned
            ]
            hide = fillers.hide(
                name,
                [[loops[0] for loops, _ in placed] for placed in pieces],
                [face.flat for face, _ in turned],
            )
            if name in self.solids.bolts and toward[2] < -EDGE_ON:
                # One looks at its head, which lies in an open counterbore.
                hide = [h and not face.flat for h, (face, _) in zip(hide, turned, strict=True)]
            kept = []
            for (face, _), placed, hidden in zip(turned, pieces, hide, strict=True):
                if not hidden:
                    if not face.lies_across(toward):
                        kept.append(face.face)
                    facets += [
                        Facet(name, loops, frame.direction(normal), face.flat)
                        for loops, normal in placed
                    ]
            if kept:
                shapes.append(cq.Compound.makeCompound(kept).moved(location(frame)))
        return far_to_near(facets, view), shapes


def _placed(points: Any, frame: Frame) -> Any:
    import numpy as np

    return points @ np.array((frame.x, frame.y, frame.z)) + np.array(frame.origin)


_CORNERS = tuple(itertools.product((0, 1), repeat=3))


class _Fillers:
    """The room that each piece's stock takes up: boxes in their frames."""

    def __init__(self, scene: Scene) -> None:
        import numpy as np

        low, high, names, is_round = [], [], [], []
        for name, member in scene.solids.bench.by_name.items():
            names.append(name)
            is_round.append(member.round_section)
            if member.round_section:
                # A peg fills its bore, and hides what is left of it beyond the tip.
                r = member.width / 2 + 1.0
                low.append((-1.0, -r, -r))
                high.append((member.length + 2 * member.width, r, r))
            else:
                low.append((0.0, 0.0, 0.0))
                high.append(member.size)
        frames = [scene.frames[n] for n in names]
        self.names, self.low, self.high = np.array(names), np.array(low), np.array(high)
        self.square = ~np.array(is_round)
        self.axes = np.array([(f.x, f.y, f.z) for f in frames])
        self.origins = np.array([f.origin for f in frames])
        corners = np.array(
            [[(self.low, self.high)[b][:, k] for k, b in enumerate(c)] for c in _CORNERS]
        )  # [corner, axis, piece]
        world = np.einsum("cap,pax->pcx", corners, self.axes) + self.origins[:, None]
        self.least, self.most = world.min(axis=1), world.max(axis=1)

    def hide(
        self, name: str, outlines: Sequence[Sequence[Any]], flat: Sequence[bool]
    ) -> list[bool]:
        """Which of a piece's faces lie inside the stock of others.

        A flat one lies well inside a single piece's: on its surface it may be seen. Round ones
        end in flat ones there, and may run through several pieces.
        """
        import numpy as np

        points = np.concatenate([p for loops in outlines for p in loops])
        sizes = [sum(len(p) for p in loops) for loops in outlines]
        starts = np.cumsum([0, *sizes[:-1]])
        near = np.all(
            (self.least <= points.max(axis=0)) & (self.most >= points.min(axis=0)), axis=1
        ) & (self.names != name)
        if not near.any():
            return [False] * len(outlines)
        local = (points[None] - self.origins[near, None]) @ self.axes[near].transpose(0, 2, 1)
        into = np.minimum(local - self.low[near, None], self.high[near, None] - local).min(axis=2)
        well = np.logical_and.reduceat(into >= SLACK, starts, axis=1)
        well = np.any(well & self.square[near, None], axis=0)
        on = np.logical_and.reduceat(np.any(into >= -SLACK, axis=0), starts)
        return [bool(w if f else o) for w, o, f in zip(well, on, flat, strict=True)]


# -- faces of the kernel -----------------------------------------------------------------------


def _loops(face: Any) -> tuple[Any, ...]:
    """Points around each wire of a face, the outer one first."""
    from OCP.BRepTools import BRepTools
    from OCP.TopoDS import TopoDS, TopoDS_Iterator

    outer = BRepTools.OuterWire_s(face.wrapped)
    found = [_loop(outer)]
    walk = TopoDS_Iterator(face.wrapped)
    while walk.More():
        wire = walk.Value()
        if not wire.IsSame(outer):
            found.append(_loop(TopoDS.Wire(wire)))
        walk.Next()
    return tuple(found)


def _loop(wire: Any) -> Any:
    """Points around a wire, in its order."""
    import numpy as np
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepTools import BRepTools_WireExplorer
    from OCP.GeomAbs import GeomAbs_CurveType

    points: list[Vec] = []
    walk = BRepTools_WireExplorer(wire)
    while walk.More():
        edge = walk.Current()
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        if edge.Orientation().name == "TopAbs_REVERSED":
            first, last = last, first
        count = 1
        if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
            count = max(2, math.ceil(abs(last - first) / (2 * math.pi) * CHORDS - 1e-9))
        elif curve.GetType() != GeomAbs_CurveType.GeomAbs_Line:
            count = CHORDS
        for i in range(count):
            p = curve.Value(first + (last - first) * i / count)
            points.append((p.X(), p.Y(), p.Z()))
        walk.Next()
    return np.array(points)


def _cut_aslant(face: Any) -> list[tuple[Vec, Vec]]:
    """The planes (a point, the normal) that cut a round face in ellipses."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve

    found = []
    for edge in face.Edges():
        if edge.geomType() == "ELLIPSE":
            place = BRepAdaptor_Curve(edge.wrapped).Ellipse().Position()
            p, d = place.Location(), place.Direction()
            found.append(((p.X(), p.Y(), p.Z()), (d.X(), d.Y(), d.Z())))
    return found


def _ruling(low: Vec, high: Vec, planes: Sequence[tuple[Vec, Vec]]) -> tuple[Vec, Vec]:
    """A line along a round face between the planes that cut it, each at its nearer end."""
    run = sub(high, low)
    first, last = 0.0, 1.0
    for point, normal in planes:
        along = dot(normal, run)
        if abs(along) <= EDGE_ON * norm(run):
            continue
        at = dot(normal, sub(point, low)) / along
        if at < 0.5:
            first = max(first, at)
        else:
            last = min(last, at)
    return add(low, scale(run, first)), add(low, scale(run, last))


def _strips(
    surface: Any, flip: float, planes: Sequence[tuple[Vec, Vec]]
) -> tuple[tuple[tuple[Any, ...], Vec], ...]:
    """A cylinder or cone as flat strips along it; other surfaces likewise, more coarsely."""
    import numpy as np
    from OCP.GeomAbs import GeomAbs_SurfaceType

    u0, u1 = surface.FirstUParameter(), surface.LastUParameter()
    v0, v1 = surface.FirstVParameter(), surface.LastVParameter()
    around = STRIPS
    if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
        around = STRIPS if surface.Cylinder().Radius() > SMALL else STRIPS // 2
    count = max(1, math.ceil((u1 - u0) / (2 * math.pi) * around - 1e-9))

    def at(u: float, v: float) -> Vec:
        p = surface.Value(u, v)
        return (p.X(), p.Y(), p.Z())

    found = []
    for i in range(count):
        a, b = (u0 + (u1 - u0) * k / count for k in (i, i + 1))
        start, far = _ruling(at(a, v0), at(a, v1), planes)
        low, high = _ruling(at(b, v0), at(b, v1), planes)
        corners = (start, low, high, far)
        # Normal of the strip by its diagonals, which also holds where one end is a point.
        n = cross(sub(corners[2], corners[0]), sub(corners[3], corners[1]))
        if norm(n) > 0.0:
            found.append(((np.array(corners),), scale(unit(n), flip)))
    return tuple(found)
