"""A joint of two pieces on a workplane: one of them is the solid, the other is made up.

The joint itself says what leaves the solid. So the piece behind each point is measured, stands
for one member of a real :class:`~treenail.joints.base.Joint`, and that member's own cuts are cut.
All of it happens in coordinates whose origin is the point and whose z is the workplane's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol, TypeAlias

from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, cross, neg, snap
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species
from treenail.workplane_cuts import (
    TOUCH,
    Operation,
    behind,
    bounds,
    each_point,
    piece_at,
    refuse_wood_in_front,
    within,
)

if TYPE_CHECKING:
    import cadquery as cq

    from treenail.joints.base import Joint

__all__ = ["FACES", "FAR", "UP", "JointCut", "Part", "Recipe", "Span", "Wood", "boxed"]

Span: TypeAlias = tuple[float, float]
Part: TypeAlias = Literal["receiver", "entering"]

#: The sides of an entering piece that stands along z, by the workplane's directions.
FACES = {
    "-x": Face.FACE_EDGE,
    "+x": Face.BACK_EDGE,
    "-y": Face.FACE_SIDE,
    "+y": Face.BACK_SIDE,
}
#: How far the made-up piece goes on beyond what matters, mm.
FAR = 100.0
UP: Vec = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Wood:
    """Where the solid's wood lies, seen from a point on the stack, mm.

    Attributes:
        x, y: from where to where along the workplane's x and y.
        depth: how far it goes on behind the workplane.
    """

    x: Span
    y: Span
    depth: float

    def __str__(self) -> str:
        """Its section."""
        return f"{self.x[1] - self.x[0]:g} x {self.y[1] - self.y[0]:g} mm"


class Recipe(Protocol):
    """How to make up the joint around a piece; frozen, of numbers only."""

    @property
    def reach(self) -> float:
        """How far behind the workplane an entering piece is cut, mm."""

    def joint(self, part: Part, wood: Wood) -> Joint:
        """The joint; its member of the name ``part`` is the solid."""


def boxed(name: str, x: Span, y: Span, z: Span, *, grain: Vec, face: Vec) -> Member:
    """A member that fills a box; ``grain`` and ``face`` (its face side looks there) are axes."""
    spans, into = (x, y, z), neg(face)
    axes = (grain, cross(into, grain), into)
    at = [low if sum(a[i] for a in axes) > 0.0 else high for i, (low, high) in enumerate(spans)]
    sizes = [snap(sum(abs(a[i]) * (spans[i][1] - spans[i][0]) for i in range(3))) for a in axes]
    return Member(
        name=name,
        role=name,
        length=sizes[0],
        width=sizes[1],
        thickness=sizes[2],
        species=get_species("white ash"),  # of no account: only its cuts are asked for
        placement=Frame((at[0], at[1], at[2]), *axes).snapped(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class JointCut(Operation):
    """What a joint takes from one of its members, at each point.

    Attributes:
        recipe: the joint.
        part: which of its members the solid is.
        on_end: the cuts shape the solid's end (or edge) in which the workplane lies, and stay
            within the piece there; otherwise they go into the solid as a mortise does.
    """

    recipe: Recipe
    part: Part
    on_end: bool

    def _needs_solid(self) -> bool:
        return True

    def _tools(self, placed: cq.Workplane, base: cq.Shape | None) -> list[cq.Shape]:
        assert base is not None
        plane = placed.plane.location
        local = base.moved(plane.inverse)
        points = each_point(placed)
        tools = self._of_ends(local, points) if self.on_end else self._of_faces(local, points)
        return [tool.moved(plane) for tool in tools]

    def _of_faces(self, local: cq.Shape, points: list[cq.Location]) -> list[cq.Shape]:
        found: list[cq.Shape] = []
        for at in points:
            x0, x1, y0, y1, z0, z1 = bounds(local, at)
            if z0 > -TOUCH:
                raise GeometryError(
                    "the solid does not lie behind the workplane: its z must point out of the wood"
                )
            tools = self._solids(Wood((x0, x1), (y0, y1), -z0))
            if z1 > TOUCH:  # wood in front: a tool's run-out must not bite into it
                room = behind((x0, x1, y0, y1, z0, z1))
                tools = [s for tool in tools for s in tool.intersect(room).Solids()]
            found += [tool.moved(at) for tool in tools]
        return found

    def _of_ends(self, local: cq.Shape, points: list[cq.Location]) -> list[cq.Shape]:
        pieces = within(local, self.recipe.reach)
        found: list[cq.Shape] = []
        done: set[int] = set()
        for at in points:
            where = piece_at(pieces, at)
            refuse_wood_in_front(local, at)
            if where in done:
                raise GeometryError("two points lie on one end: it takes one joint of this kind")
            done.add(where)
            x0, x1, y0, y1, _, _ = bounds(pieces[where], at)
            wood = Wood((x0, x1), (y0, y1), -bounds(local, at)[4])
            piece = self._whole(local, pieces[where], at, wood).moved(at.inverse)
            for tool in self._solids(wood):
                found += [waste.moved(at) for waste in piece.intersect(tool).Solids()]
        return found

    def _whole(self, _local: cq.Shape, piece: cq.Shape, _at: cq.Location, _wood: Wood) -> cq.Shape:
        """What the cuts may take of an end, in the workplane: the piece within the reach."""
        return piece

    def _joint(self, wood: Wood) -> Joint:
        near = Wood(_near(wood.x), _near(wood.y), round(wood.depth, 6))
        return self.recipe.joint(self.part, near)

    def _solids(self, wood: Wood) -> list[cq.Shape]:
        """The cutters of the solid's member at a point."""
        from treenail.generators.kernel import cutter_solids, location

        joint = self._joint(wood)
        member = next(m for m in joint.members if m.name == self.part)
        cuts = joint.cuts().get(self.part, ())
        if not cuts:
            raise GeometryError(f"{joint.name}: this piece of a {joint.kind} stays whole")
        place = location(member.placement)
        return [
            solid.moved(place)
            for cut in cuts
            for cutter in cut.cutters(member)
            for solid in cutter_solids(cutter)
        ]

    def _accept(self, base: cq.Shape, result: cq.Shape) -> None:
        # slots=True makes a new class, which a bare super() would not find.
        Operation._accept(self, base, result)  # noqa: SLF001 - the parent's own
        if len(result.Solids()) > len(base.Solids()):
            raise GeometryError("the cuts would leave the solid in two pieces")


def _near(span: Span) -> Span:
    """To the nanometre: the kernel's bounds are a little less exact than a joint expects."""
    return round(span[0], 6), round(span[1], 6)
