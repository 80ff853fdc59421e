"""What Treenail's Workplane methods do: frozen operations that map a Workplane to a Workplane.

An operation holds checked millimetres; calling it finds the solid in the chain, makes a tool
at each point on the stack with ``eachpoint``, and cuts them all away in one boolean. Operations
compare and pickle by their numbers. CadQuery is loaded only when one is called.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, Literal, TypeAlias

from treenail.joints.corners import Corners, pocket_outline
from treenail.joints.cutters import RUN_OUT
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame

if TYPE_CHECKING:
    import cadquery as cq

__all__ = ["Combine", "Haunch", "HoleCut", "MortiseCut", "Operation", "TenonCut"]

Combine: TypeAlias = bool | Literal["cut", "s"]
Box: TypeAlias = tuple[float, float, float, float, float, float]  # x0, x1, y0, y1, z0, z1

#: Where a point or plane counts as lying in another, mm.
TOUCH = 1e-6


def _one_argument(workplane: Any) -> Any:
    return workplane


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """What all operations share.

    Attributes:
        combine: cut the tools from the solid in the chain; False leaves the tools on the stack.
        clean: call ``clean()`` on the outcome.
    """

    # Workplane.invoke counts the arguments of what it is given by these two attributes of a
    # plain function, and can't take any other callable; a plain closure would not pickle.
    __code__: ClassVar[Any] = _one_argument.__code__
    __defaults__: ClassVar[None] = None

    combine: bool
    clean: bool

    def __call__(self, workplane: cq.Workplane) -> cq.Workplane:
        """Cut at each point on the stack of ``workplane``.

        Raises:
            GeometryError: there is no solid in the chain, or the tools don't meet it.
        """
        import cadquery as cq

        if not isinstance(workplane, cq.Workplane):
            raise TypeError(f"a cadquery.Workplane is wanted, not a {type(workplane).__name__}")
        placed = _on_faces(workplane)
        base = _solid(placed, needed=self.combine or self._needs_solid())
        tools = self._tools(placed, base)
        if not self.combine or base is None:
            return placed.newObject([t.clean() for t in tools] if self.clean else tools)
        result = base.cut(*tools)
        before, after = base.Volume(), result.Volume()
        if not after < before * (1.0 - 1e-10):
            raise GeometryError(
                "no wood is cut at the points on the stack: the workplane's z must point out of "
                "the solid, and the points must lie on it"
            )
        self._accept(base, result)
        return placed.newObject([result.clean() if self.clean else result])

    def _needs_solid(self) -> bool:
        """Whether the tools' sizes depend on the solid."""
        return False

    def _tools(self, placed: cq.Workplane, base: cq.Shape | None) -> list[cq.Shape]:
        raise NotImplementedError

    def _accept(self, base: cq.Shape, result: cq.Shape) -> None:
        """Refuse an outcome that can't be meant (GeometryError)."""
        if not result.Solids():
            raise GeometryError("the cuts leave no wood")


@dataclass(frozen=True, slots=True, kw_only=True)
class MortiseCut(Operation):
    """Boxes behind the workplane, centred on each point; ``socket`` is a shallower one beside.

    Attributes:
        length, width: along the workplane's x and y, mm.
        depth: from the workplane, mm; None goes through.
        socket: (x0, x1, depth) of the haunch's socket from each point, mm, or None.
        corners: of the pocket; None where they are square.
    """

    length: float
    width: float
    depth: float | None
    socket: tuple[float, float, float] | None = None
    corners: Corners | None = None

    def _needs_solid(self) -> bool:
        return self.depth is None

    def _tools(self, placed: cq.Workplane, base: cq.Shape | None) -> list[cq.Shape]:
        from treenail.generators.kernel import bulged

        x, y = self.length / 2, self.width / 2
        plane = placed.plane.location

        def main(at: cq.Location) -> cq.Shape:
            deep = self.depth or _through(base, plane * at)
            if self.corners is None:
                return _box((-x, x, -y, y, -deep, 0.0)).moved(at)
            floor = Frame((0.0, 0.0, -deep))
            return bulged(floor, pocket_outline(2 * x, 2 * y, self.corners), deep).moved(at)

        made = _each(placed, main)
        if self.socket is not None:
            x0, x1, deep = self.socket
            made += _each(placed, lambda at: _box((x0, x1, -y, y, -deep, 0.0)).moved(at))
        return made


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleCut(Operation):
    """Round holes behind the workplane, each ``shift`` mm from its point.

    Attributes:
        diameter: mm.
        depth: from the workplane, mm; None goes through.
        shift: (x, y) from the point on the stack to the hole's centre, mm.
    """

    diameter: float
    depth: float | None
    shift: tuple[float, float] = (0.0, 0.0)

    def _needs_solid(self) -> bool:
        return self.depth is None

    def _tools(self, placed: cq.Workplane, base: cq.Shape | None) -> list[cq.Shape]:
        import cadquery as cq

        plane = placed.plane.location
        centre, down = cq.Vector(*self.shift, 0.0), cq.Vector(0, 0, -1)

        def hole(at: cq.Location) -> cq.Shape:
            deep = self.depth or _through(base, plane * at)
            return cq.Solid.makeCylinder(self.diameter / 2, deep, centre, down).moved(at)

        return _each(placed, hole)


@dataclass(frozen=True, slots=True)
class Haunch:
    """A stub of tenon in one shoulder.

    Attributes:
        length: how far it stands out from the shoulder, mm.
        width: from the tenon's edge, mm; None fills the shoulder.
        side: on which side of the tenon it lies.
    """

    length: float
    width: float | None
    side: Literal["+x", "-x"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TenonCut(Operation):
    """The wood within ``length`` of the workplane, except a tenon at each point on the stack.

    Attributes:
        length: from the workplane (the end) to the shoulders, mm.
        width, thickness: along the workplane's x and y, centred on the point, mm; None keeps
            the piece's own.
        shoulders: widths on the -x, +x, -y, +y sides instead of a size, mm, or None.
        haunch: a stub in one shoulder, or None.
    """

    length: float
    width: float | None
    thickness: float | None
    shoulders: tuple[float, float, float, float] | None
    haunch: Haunch | None

    def _needs_solid(self) -> bool:
        return True

    def _tools(self, placed: cq.Workplane, base: cq.Shape | None) -> list[cq.Shape]:
        assert base is not None
        plane = placed.plane.location
        local = base.moved(plane.inverse)
        pieces = within(local, self.length)
        kept: dict[int, list[cq.Shape]] = {}

        def keep(at: cq.Location) -> cq.Shape:
            where = piece_at(pieces, at)
            refuse_wood_in_front(local, at)
            boxes = [_box(b).moved(at) for b in self._boxes(bounds(pieces[where], at))]
            kept.setdefault(where, []).extend(boxes)
            return boxes[0].copy()  # eachpoint moves what it gets, in place

        _each(placed, keep)
        waste = [w for i, boxes in kept.items() for w in pieces[i].cut(*boxes).Solids()]
        if not waste:
            raise GeometryError("the tenon has the size of the piece: no shoulder is left to cut")
        return [w.moved(plane) for w in waste]

    def _boxes(self, section: Box) -> list[Box]:
        """The tenon (and haunch) in the point's coordinates, from the piece's bounds there."""
        low_x, high_x, low_y, high_y, _, _ = section
        if self.shoulders is not None:
            s = self.shoulders
            x0, x1, y0, y1 = low_x + s[0], high_x - s[1], low_y + s[2], high_y - s[3]
        else:
            x0, x1 = (low_x, high_x) if self.width is None else (-self.width / 2, self.width / 2)
            y0, y1 = (
                (low_y, high_y)
                if self.thickness is None
                else (-self.thickness / 2, self.thickness / 2)
            )
        if x1 - x0 < TOUCH or y1 - y0 < TOUCH:
            raise GeometryError(
                f"the shoulders leave no tenon of the piece's {high_x - low_x:g} x "
                f"{high_y - low_y:g} mm"
            )
        if min(x0 - low_x, high_x - x1, y0 - low_y, high_y - y1) < -TOUCH:
            raise GeometryError(
                f"a tenon of {x1 - x0:g} x {y1 - y0:g} mm does not lie within the piece's "
                f"{high_x - low_x:g} x {high_y - low_y:g} mm at the point on the stack"
            )
        found: list[Box] = []
        # Where there is no shoulder the box runs out, so that no two faces almost coincide.
        y0, y1 = _run_out(y0, low_y, -RUN_OUT), _run_out(y1, high_y, RUN_OUT)
        deep = -self.length - RUN_OUT
        found.append(
            (_run_out(x0, low_x, -RUN_OUT), _run_out(x1, high_x, RUN_OUT), y0, y1, deep, RUN_OUT)
        )
        if self.haunch is not None:
            left, right = self._haunch(self.haunch, (low_x, x0), (x1, high_x))
            found.append((left, right, y0, y1, deep, self.haunch.length - self.length))
        return found

    def _haunch(
        self, haunch: Haunch, left: tuple[float, float], right: tuple[float, float]
    ) -> tuple[float, float]:
        """The stub's x0 and x1, beginning inside the tenon so that they are one piece."""
        shoulder = left[1] - left[0] if haunch.side == "-x" else right[1] - right[0]
        inside = (left[1] + right[0]) / 2
        wide = shoulder if haunch.width is None else haunch.width
        if shoulder < TOUCH or wide > shoulder + TOUCH:
            raise GeometryError(
                f"the {haunch.side} shoulder is {max(shoulder, 0.0):g} mm wide: it has no room "
                f"for a haunch{'' if haunch.width is None else f' of {haunch.width:g} mm'}"
            )
        if haunch.side == "-x":
            return _run_out(left[1] - wide, left[0], -RUN_OUT), inside
        return inside, _run_out(right[0] + wide, right[1], RUN_OUT)

    def _accept(self, base: cq.Shape, result: cq.Shape) -> None:
        if len(result.Solids()) > len(base.Solids()):
            raise GeometryError(
                "the shoulders would cut the solid in two: other parts of it are joined to the end "
                "within the tenon's length"
            )


def _on_faces(workplane: cq.Workplane) -> cq.Workplane:
    """Put the workplane on the faces on the stack, if that is what is there.

    ``faces(">X").tenon(...)`` then does what ``faces(">X").workplane().tenon(...)`` does. A
    workplane that lies in the faces already is kept, with its direction of x.
    """
    import cadquery as cq

    faces = [o for o in workplane.objects if isinstance(o, cq.Face)]
    if not faces or len(faces) < len(workplane.objects):
        return workplane
    plane = workplane.plane
    for face in faces:
        if face.geomType() != "PLANE":
            raise GeometryError("the face on the stack is not flat: put a workplane where to cut")
        off = (face.Center() - plane.origin).dot(plane.zDir)
        if (face.normalAt() - plane.zDir).Length > TOUCH or abs(off) > TOUCH:
            break
    else:
        return workplane
    first = faces[0]
    for face in faces[1:]:
        off = (face.Center() - first.Center()).dot(first.normalAt())
        if (face.normalAt() - first.normalAt()).Length > TOUCH or abs(off) > TOUCH:
            raise GeometryError("the faces on the stack do not lie in one plane")
    placed = workplane.newObject([first]).workplane(centerOption="CenterOfMass")
    return placed.newObject(list(workplane.objects))


def _solid(placed: cq.Workplane, *, needed: bool) -> cq.Shape | None:
    try:
        return placed.findSolid()
    except ValueError:
        if needed:
            raise GeometryError("there is no solid on the stack or before it to cut") from None
        return None


def _each(placed: cq.Workplane, tool: Callable[[cq.Location], cq.Shape]) -> list[cq.Shape]:
    """A tool at each point on the stack; ``tool`` gets the point in workplane coordinates."""
    made: list[Any] = placed.eachpoint(tool, useLocalCoordinates=True, clean=False).vals()
    return made


def each_point(placed: cq.Workplane) -> list[cq.Location]:
    """The points on the stack in workplane coordinates."""
    import cadquery as cq

    found: list[cq.Location] = []

    def keep(at: cq.Location) -> cq.Shape:
        found.append(at)
        return cq.Vertex.makeVertex(0.0, 0.0, 0.0)

    _each(placed, keep)
    return found


def _box(box: Box) -> cq.Solid:
    import cadquery as cq

    x0, x1, y0, y1, z0, z1 = box
    return cq.Solid.makeBox(x1 - x0, y1 - y0, z1 - z0, cq.Vector(x0, y0, z0))


def bounds(shape: cq.Shape, at: cq.Location) -> Box:
    """Exact bounds in the coordinates of ``at``."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    # Without triangulation and tolerance: the plain BoundingBox is up to 1e-7 mm too large.
    BRepBndLib.AddOptimal_s(shape.moved(at.inverse).wrapped, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return (x0, x1, y0, y1, z0, z1)


def _through(base: cq.Shape | None, at: cq.Location) -> float:
    """How deep a tool at ``at`` must go to leave the solid, run-out included, mm."""
    import cadquery as cq

    assert base is not None
    box = base.BoundingBox()
    depths = [
        -(at.inverse * cq.Location(cq.Vector(x, y, z))).toTuple()[0][2]
        for x in (box.xmin, box.xmax)
        for y in (box.ymin, box.ymax)
        for z in (box.zmin, box.zmax)
    ]
    if max(depths) <= TOUCH:
        raise GeometryError(
            "the solid does not lie behind the workplane: its z must point out of the wood"
        )
    return max(depths) + RUN_OUT


def within(local: cq.Shape, length: float) -> list[cq.Solid]:
    """What lies within ``length`` mm behind the workplane, in whose coordinates ``local`` is."""
    import cadquery as cq

    x0, x1, y0, y1, _, _ = bounds(local, cq.Location())
    out = RUN_OUT
    return local.intersect(_box((x0 - out, x1 + out, y0 - out, y1 + out, -length, 0.0))).Solids()


def behind(box: Box) -> cq.Solid:
    """All that a tool may take behind a workplane, around a solid's bounds."""
    x0, x1, y0, y1, z0, _ = box
    out = 2 * RUN_OUT
    return _box((x0 - out, x1 + out, y0 - out, y1 + out, z0 - out, 0.0))


def piece_at(pieces: list[cq.Solid], at: cq.Location) -> int:
    """Index of the piece on whose end a point lies."""
    import cadquery as cq

    (x, y, z), _ = at.toTuple()
    if abs(z) > TOUCH:
        raise GeometryError(
            f"a point on the stack lies {z:g} mm off the workplane: a tenon's end lies in it"
        )
    point = cq.Vertex.makeVertex(x, y, z)
    gaps = [piece.distance(point) for piece in pieces]
    if not gaps or min(gaps) > TOUCH:
        raise GeometryError("there is no wood behind the workplane at a point on the stack")
    return gaps.index(min(gaps))


def refuse_wood_in_front(local: cq.Shape, at: cq.Location) -> None:
    """GeometryError where the workplane lies inside the wood at a point."""
    (x, y, _), _ = at.toTuple()
    if any(solid.isInside((x, y, 0.01)) for solid in local.Solids()):
        raise GeometryError(
            "the wood goes on in front of the workplane, which must lie on the piece's end"
        )


def _run_out(value: float, edge: float, out: float) -> float:
    return edge + out if abs(value - edge) <= TOUCH else value
