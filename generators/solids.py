"""The one place where numbers become kernel solids: one boolean a member, alike ones shared.

Shapes are cached by the member's numbers, so a family of benches builds each distinct piece
once. Everything else that needs geometry asks a ``BenchSolids``.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import cadquery as cq
from cadquery.occ_impl.shapes import check as kernel_check
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
)
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

from treenail.generators.shape_key import shape_key
from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    Cutter,
    PrismCutter,
    SlotCutter,
)
from treenail.timber.errors import KernelError
from treenail.timber.fasteners import lag_tip_length
from treenail.timber.frames import Frame, Vec, along, neg, snap, snap_vec

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.joints.base import Hardware
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

#: Most distinct shapes kept; the oldest go first.
CACHE_SIZE = 512
#: Closed-form and kernel volumes must agree to this share.
VOLUME_TOLERANCE = 1e-6

_cache: OrderedDict[str, cq.Solid] = OrderedDict()


def _ax2(frame: Frame) -> gp_Ax2:
    return gp_Ax2(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x))


def location(frame: Frame) -> cq.Location:
    """The kernel's location for a frame."""
    return cq.Location(
        cq.Plane(origin=frame.origin, xDir=frame.x, normal=frame.z)  # exact: no angles
    )


def box(frame: Frame, size: Vec) -> cq.Solid:
    """Box from the frame's origin along its axes, mm."""
    return cq.Solid(BRepPrimAPI_MakeBox(_ax2(frame), *size).Solid())


def cylinder(frame: Frame, diameter: float, height: float) -> cq.Solid:
    """Cylinder about the frame's z from its origin, mm."""
    made = BRepPrimAPI_MakeCylinder(_ax2(frame), diameter / 2.0, height)
    return cq.Solid(made.Solid())


def cone(frame: Frame, d0: float, d1: float, height: float) -> cq.Solid:
    """Frustum about the frame's z: ``d0`` at the origin, ``d1`` at ``height``, mm."""
    made = BRepPrimAPI_MakeCone(_ax2(frame), d0 / 2.0, d1 / 2.0, height)
    return cq.Solid(made.Solid())


def prism(frame: Frame, points: Sequence[tuple[float, float]], depth: float) -> cq.Solid:
    """Polygon in the frame's xy, swept along its z by ``depth`` mm."""
    corners = [cq.Vector(*frame.point((x, y, 0.0))) for x, y in points]
    wire = cq.Wire.makePolygon(corners, close=True)
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(*frame.z) * depth)


def slot(frame: Frame, centres: float, width: float, depth: float) -> cq.Solid:
    """Round-ended slot along the frame's x, swept along its z, mm."""
    c, r = centres / 2.0, width / 2.0

    def at(x: float, y: float) -> cq.Vector:
        return cq.Vector(*frame.point((x, y, 0.0)))

    wire = cq.Wire.assembleEdges(
        [
            cq.Edge.makeLine(at(-c, -r), at(c, -r)),
            cq.Edge.makeThreePointArc(at(c, -r), at(c + r, 0.0), at(c, r)),
            cq.Edge.makeLine(at(c, r), at(-c, r)),
            cq.Edge.makeThreePointArc(at(-c, r), at(-c - r, 0.0), at(-c, -r)),
        ]
    )
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(*frame.z) * depth)


def cutter_solids(cutter: Cutter) -> list[cq.Solid]:
    """Kernel solids of a cutter, in the member's coordinates."""
    match cutter:
        case BoxCutter():
            return [box(cutter.frame, cutter.size)]
        case BoreCutter():
            return [cylinder(cutter.frame, cutter.diameter, cutter.depth)]
        case SlotCutter():
            return [slot(cutter.frame, cutter.centres, cutter.width, cutter.depth)]
        case PrismCutter():
            return [prism(cutter.frame, cutter.points, cutter.depth)]
        case BevelCutter():
            return _bevel(cutter)


def _bevel(cutter: BevelCutter) -> list[cq.Solid]:
    """Four triangular prisms, one along each arris."""
    f, leg, over = cutter.frame, cutter.leg, 2.0
    corner_x, corner_y = f.shifted((cutter.width, 0.0, 0.0)), f.shifted((0.0, cutter.thickness, 0))
    # (start, direction into the piece across the end, length of the arris)
    arrises = (
        (f.origin, f.x, cutter.thickness, f.y),
        (corner_x.origin, neg(f.x), cutter.thickness, f.y),
        (f.origin, f.y, cutter.width, f.x),
        (corner_y.origin, neg(f.y), cutter.width, f.x),
    )
    found = []
    for start, into, run, sweep in arrises:
        base = along(start, sweep, -over)
        corners = [
            cq.Vector(*along(along(base, into, a), f.z, b))
            for a, b in ((-over, -over), (leg + over, -over), (-over, leg + over))
        ]
        wire = cq.Wire.makePolygon(corners, close=True)
        found.append(cq.Solid.extrudeLinear(wire, [], cq.Vector(*sweep) * (run + 2 * over)))
    return found


def stock_solid(member: Member) -> cq.Solid:
    """The member before any cut, in its own coordinates; a peg lies along x, centred on it."""
    if not member.round_section:
        return box(Frame(), member.size)
    axis = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    straight = member.length - member.tip_length
    body = cylinder(axis, member.width, straight) if straight > 0.0 else None
    if member.tip_length == 0.0:
        assert body is not None
        return body
    tip = cone(
        axis.shifted((0.0, 0.0, straight)), member.width, member.tip_diameter, member.tip_length
    )
    if body is None:
        return tip
    return _single(body.fuse(tip), member.name)


def _single(shape: cq.Shape, name: str) -> cq.Solid:
    solids = shape.Solids()
    if len(solids) != 1:
        raise KernelError(f"{name} falls into {len(solids)} pieces when all its cuts are made")
    return solids[0]


def member_solid(member: Member, cuts: Sequence[Cut], key: str | None = None) -> cq.Solid:
    """The finished member in its own coordinates, by a single boolean; cached.

    Raises:
        KernelError: the cuts leave no wood, or leave it in pieces.
    """
    key = key or shape_key(member, cuts)
    known = _cache.get(key)
    if known is not None:
        _cache.move_to_end(key)
        return known
    solid = stock_solid(member)
    tools = [s for cut in cuts for c in cut.cutters(member) for s in cutter_solids(c)]
    if tools:
        solid = _single(solid.cut(*tools), member.name)
    _cache[key] = solid
    if len(_cache) > CACHE_SIZE:
        _cache.popitem(last=False)
    return solid


def clear_cache() -> None:
    """Forget all cached shapes (for benchmarks)."""
    _cache.clear()


def lag_solid(item: Hardware) -> cq.Solid:
    """A lag bolt with its washer, in its own coordinates: the washer bears on z = 0.

    The thread is drawn as a cylinder of the bolt's diameter with a conical point.
    """
    size = item.size
    up = Frame()
    under_head = -size.washer_thickness
    tip = lag_tip_length(size.diameter)
    flats = size.head_flats / math.sqrt(3.0)
    hexagon = [
        (flats * math.cos(math.radians(60 * i)), flats * math.sin(math.radians(60 * i)))
        for i in range(6)
    ]
    head = prism(up.shifted((0.0, 0.0, under_head - size.head_height)), hexagon, size.head_height)
    shank = cylinder(up.shifted((0.0, 0.0, under_head)), size.diameter, item.length - tip)
    end = up.shifted((0.0, 0.0, under_head + item.length - tip))
    point = cone(end, size.diameter, 0.0, tip)
    washer = cylinder(up.shifted((0.0, 0.0, under_head)), size.washer_od, size.washer_thickness)
    return _single(head.fuse(shank, point, washer), item.name)


@dataclass(frozen=True)
class BenchSolids:
    """A bench's kernel solids.

    Attributes:
        bench: the numbers.
        keys: shape key of each member, by name.
        shapes: distinct shapes by key, in member coordinates.
        bolts: solids of the hardware by name, in its own coordinates (alike ones shared).
    """

    bench: Bench
    keys: Mapping[str, str]
    shapes: Mapping[str, cq.Solid]
    bolts: Mapping[str, cq.Solid]

    def local(self, name: str) -> cq.Solid:
        """A member's (or bolt's) solid in its own coordinates."""
        if name in self.bolts:
            return self.bolts[name]
        return self.shapes[self.keys[name]]

    def placement(self, name: str) -> Frame:
        """Where a member or bolt stands in the bench."""
        member = self.bench.by_name.get(name)
        if member is not None:
            return member.placement
        return next(h.placement for h in self.bench.hardware if h.name == name)

    @cached_property
    def placed(self) -> Mapping[str, cq.Solid]:
        """Every solid in the bench's coordinates, by name."""
        names = [*self.keys, *self.bolts]
        return {n: self.local(n).moved(location(self.placement(n))) for n in names}

    def first_of(self, name: str) -> str:
        """The first member that shares a member's shape (itself, if it is the first)."""
        key = self.keys[name]
        return next(n for n, k in self.keys.items() if k == key)

    def problems(self) -> list[tuple[str, str, float, float]]:
        """Members whose solid is wrong: (name, what, measured, wanted)."""
        found = []
        checked: dict[str, tuple[float, bool]] = {}
        for name, key in self.keys.items():
            if key not in checked:
                shape = self.shapes[key]
                checked[key] = (shape.Volume(), bool(kernel_check(shape)))
            volume, sound = checked[key]
            wanted = self.bench.volumes[name]
            if not abs(volume - wanted) <= VOLUME_TOLERANCE * wanted:
                found.append((name, "volume", volume, wanted))
            if not sound:
                found.append((name, "shape", 0.0, 1.0))
        return found


def build_solids(bench: Bench, *, progress: Callable[[str], None] | None = None) -> BenchSolids:
    """Build every distinct shape of a bench once.

    Args:
        bench: the numbers.
        progress: called with each member's name.

    Raises:
        KernelError: a member's cuts leave nothing or leave it in pieces.
    """
    keys: dict[str, str] = {}
    shapes: dict[str, cq.Solid] = {}
    for member in bench.members:
        if progress:
            progress(member.name)
        cuts = bench.cuts[member.name]
        key = shape_key(member, cuts)
        keys[member.name] = key
        if key not in shapes:
            shapes[key] = member_solid(member, cuts, key)
    bolts: dict[str, cq.Solid] = {}
    alike: dict[tuple[str, float], cq.Solid] = {}
    for item in bench.hardware:
        kind = (f"{item.size.name} {item.size.washer}", snap(item.length))
        if kind not in alike:
            alike[kind] = lag_solid(item)
        bolts[item.name] = alike[kind]
    return BenchSolids(bench, keys, shapes, bolts)


__all__ = [
    "BenchSolids",
    "box",
    "build_solids",
    "clear_cache",
    "cylinder",
    "location",
    "member_solid",
    "shape_key",
    "snap_vec",
]
