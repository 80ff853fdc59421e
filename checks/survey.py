"""What a solid's faces say: planes, cylinders and cones with their places, read off once a shape.

Everything that is measured on solids starts here, so that a solid read back from a STEP file is
measured like one that was just built: nothing of the bench's numbers is used.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from treenail.timber.frames import Frame, Vec

if TYPE_CHECKING:
    import cadquery as cq

Kind: TypeAlias = Literal["plane", "cylinder", "cone", "other"]
State: TypeAlias = Literal["in", "out", "on"]
Box: TypeAlias = tuple[Vec, Vec]

#: Places nearer than this count as one, mm. Noise of the kernel's coordinates is about 1e-12.
SAME = 1e-8

_KINDS: dict[str, Kind] = {
    "GeomAbs_Plane": "plane",
    "GeomAbs_Cylinder": "cylinder",
    "GeomAbs_Cone": "cone",
}


_STATES: dict[str, State] = {
    "TopAbs_IN": "in",
    "TopAbs_OUT": "out",
    "TopAbs_ON": "on",
    "TopAbs_UNKNOWN": "on",
}


@dataclass(frozen=True, slots=True)
class FaceData:
    """One face.

    Attributes:
        kind: of its surface.
        point: a point of the plane, or of the axis; mm.
        axis: a plane's outward normal, or a cylinder's or cone's axis (unit vector).
        radius: a cylinder's; a cone's at ``point``; mm.
        slope: a cone's change of radius along ``axis``; 0 for the others.
        hollow: the solid lies outside the cylinder or cone (a hole's wall).
        box: bounds (low, high), square to the frame that all this is given in; mm.
        index: which of the solid's faces it is.
    """

    kind: Kind
    point: Vec
    axis: Vec
    radius: float
    slope: float
    hollow: bool
    box: Box
    index: int

    def placed(self, frame: Frame) -> FaceData:
        """The same face in the coordinates that ``frame`` is given in."""
        return FaceData(
            self.kind,
            frame.point(self.point),
            frame.direction(self.axis),
            self.radius,
            self.slope,
            self.hollow,
            placed_box(self.box, frame),
            self.index,
        )


def placed_box(box: Box, frame: Frame) -> Box:
    """Bounds of a box carried along by a frame (exact where the frame's axes swap axes)."""
    low, high = list(frame.origin), list(frame.origin)
    for axis, start, end in zip((frame.x, frame.y, frame.z), *box, strict=True):
        for i, way in enumerate(axis):
            a, b = way * start, way * end
            if a > b:
                a, b = b, a
            low[i] += a
            high[i] += b
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def common_box(a: Box, b: Box) -> Box | None:
    """Where two boxes overlap or touch; None if they lie apart."""
    # Written out: a build asks this some ten thousand times, mostly of boxes far apart.
    (ax, ay, az), (bx, by, bz) = a
    (cx, cy, cz), (dx, dy, dz) = b
    x, y, z = max(ax, cx), max(ay, cy), max(az, cz)
    u, v, w = min(bx, dx), min(by, dy), min(bz, dz)
    if u - x < -SAME or v - y < -SAME or w - z < -SAME:
        return None
    return (x, y, z), (u, v, w)


def box_volume(box: Box) -> float:
    """Volume in mm³; less than nothing counts as nothing."""
    return math.prod(max(h - g, 0.0) for g, h in zip(*box, strict=True))


def _bounds(shape: Any) -> Box:
    """Bounds of a kernel shape, without meshing and without tolerances."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    found = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, found, useTriangulation=False, useShapeTolerance=False)
    x0, y0, z0, x1, y1, z1 = found.Get()
    return (x0, y0, z0), (x1, y1, z1)


def _vec(of: Any) -> Vec:
    return (of.X(), of.Y(), of.Z())


def _read(face: Any, index: int) -> FaceData:
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    surface = BRepAdaptor_Surface(face, False)
    kind = _KINDS.get(surface.GetType().name, "other")
    backwards = face.Orientation().name == "TopAbs_REVERSED"
    point, axis, radius, slope = (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 0.0, 0.0
    if kind == "plane":
        place = surface.Plane().Position()
    elif kind == "cylinder":
        place = surface.Cylinder().Position()
        radius = surface.Cylinder().Radius()
    elif kind == "cone":
        place = surface.Cone().Position()
        radius, slope = surface.Cone().RefRadius(), math.tan(surface.Cone().SemiAngle())
    else:
        return FaceData(kind, point, axis, radius, slope, False, _bounds(face), index)
    point, axis = _vec(place.Location()), _vec(place.Direction())
    inward = backwards == place.Direct()
    if kind == "plane" and inward:
        axis = (-axis[0], -axis[1], -axis[2])
    return FaceData(kind, point, axis, radius, slope, inward, _bounds(face), index)


class Survey:
    """A solid's faces and bounds in its own coordinates.

    Args:
        solid: the solid without a location.
    """

    def __init__(self, solid: cq.Shape) -> None:
        self.solid = solid
        self._locator: Any = None

    @cached_property
    def raw_faces(self) -> tuple[Any, ...]:
        """The kernel's faces."""
        from OCP.TopAbs import TopAbs_ShapeEnum
        from OCP.TopExp import TopExp_Explorer
        from OCP.TopoDS import TopoDS

        found, walk = [], TopExp_Explorer(self.solid.wrapped, TopAbs_ShapeEnum.TopAbs_FACE)
        while walk.More():
            found.append(TopoDS.Face_s(walk.Current()))
            walk.Next()
        return tuple(found)

    @cached_property
    def faces(self) -> tuple[FaceData, ...]:
        """All faces."""
        return tuple(_read(face, i) for i, face in enumerate(self.raw_faces))

    @cached_property
    def box(self) -> Box:
        """Bounds of the whole."""
        lows, highs = zip(*(f.box for f in self.faces), strict=True)
        low = tuple(min(axis) for axis in zip(*lows, strict=True))
        high = tuple(max(axis) for axis in zip(*highs, strict=True))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    def vertices(self, index: int) -> list[Vec]:
        """Corners of a face."""
        from OCP.BRep import BRep_Tool
        from OCP.TopAbs import TopAbs_ShapeEnum
        from OCP.TopExp import TopExp
        from OCP.TopoDS import TopoDS
        from OCP.TopTools import TopTools_IndexedMapOfShape

        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.raw_faces[index], TopAbs_ShapeEnum.TopAbs_VERTEX, found)
        return [
            _vec(BRep_Tool.Pnt_s(TopoDS.Vertex_s(found.FindKey(i))))
            for i in range(1, found.Extent() + 1)
        ]

    def state(self, point: Vec) -> State:
        """Whether a point lies in the wood, outside, or on a face."""
        from OCP.BRepClass3d import BRepClass3d_SolidClassifier
        from OCP.gp import gp_Pnt

        if self._locator is None:
            self._locator = BRepClass3d_SolidClassifier(self.solid.wrapped)
        self._locator.Perform(gp_Pnt(*point), SAME)
        return _STATES[self._locator.State().name]


def _frame(place: Any) -> Frame:
    move = place.Transformation()
    columns = [(move.Value(1, c), move.Value(2, c), move.Value(3, c)) for c in range(1, 5)]
    return Frame(columns[3], columns[0], columns[1], columns[2]).snapped()


@dataclass(frozen=True, slots=True)
class Placed:
    """A surveyed shape, where it stands, and its bounds in the bench."""

    name: str
    survey: Survey
    frame: Frame
    box: Box

    def faces_in(self, frame: Frame, within: Box) -> list[FaceData]:
        """Its faces that reach into a box, both the box and they in a bench frame's coordinates."""
        own = self.frame.localise(frame)
        there = frame.localise(self.frame)
        reach = placed_box(within, own)
        return [f.placed(there) for f in self.survey.faces if common_box(f.box, reach)]


class Site(Mapping[str, Placed]):
    """All solids of a bench, each distinct shape surveyed once.

    Args:
        solids: placed solids by name, as built or as read from a file.
    """

    def __init__(self, solids: Mapping[str, cq.Shape]) -> None:
        import cadquery as cq
        from OCP.TopLoc import TopLoc_Location

        self._surveys: dict[cq.Shape, Survey] = {}
        self._placed: dict[str, Placed] = {}
        for name, solid in solids.items():
            place = solid.wrapped.Location()
            bare = cq.Shape(solid.wrapped.Located(TopLoc_Location()))
            survey = self._surveys.setdefault(bare, Survey(bare))
            frame = _frame(place)
            self._placed[name] = Placed(name, survey, frame, placed_box(survey.box, frame))

    def __getitem__(self, name: str) -> Placed:
        return self._placed[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._placed)

    def __len__(self) -> int:
        return len(self._placed)
