"""Mass and centre of mass of the bench, its cuts and bolts included, without the kernel.

The mass is exact for the model (net volumes in closed form). The centre of mass takes a piece's
stock less its cutters: boxes by their exact union, holes, slots and prisms by what they leave
outside the boxes, all scaled to the exact volume. Its error is far below a millimetre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from treenail.checks.strength.loads import GRAVITY
from treenail.joints.blocks import Box, disjoint, hull, overlap, size_of
from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    ConeCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    SlotCutter,
    TurnedCutter,
)
from treenail.joints.volumes import NoClosedForm, net_volume
from treenail.timber.frames import Frame, Vec, add, dot, scale
from treenail.timber.measured_parts import MeasuredPart
from treenail.timber.metric_bolts import barrel_nut_volume

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from treenail.generators.bench import Bench
    from treenail.joints.base import Hardware
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["STEEL", "Body", "MassData", "bench_mass", "bolt_mass", "centre_of_stock", "mass_of"]

STEEL = 7850.0
"""Density of steel, kg/m³ (usual handbook figure)."""

_Part: TypeAlias = tuple[float, Vec]


@dataclass(frozen=True, slots=True)
class Body:
    """One piece: mass in kg and its centre in the bench, mm."""

    name: str
    mass: float
    centre: Vec


@dataclass(frozen=True, slots=True)
class MassData:
    """The whole bench: total in kg, centre of mass in the bench in mm, pieces and bolts."""

    total: float
    centre: Vec
    bodies: tuple[Body, ...]

    @property
    def weight(self) -> float:
        """Weight in N."""
        return self.total * GRAVITY

    def of(self, name: str) -> float:
        """Mass of one piece, kg."""
        return next(b.mass for b in self.bodies if b.name == name)


def centre_of_stock(member: Member) -> Vec:
    """Centre of the uncut piece in its own coordinates, mm (a peg's taper included)."""
    if not member.round_section:
        return (member.length / 2, member.width / 2, member.thickness / 2)
    r, s, tip = member.width / 2, member.tip_diameter / 2, member.tip_length
    whole = member.length - tip
    if tip == 0.0:
        return (member.length / 2, 0.0, 0.0)
    rod = math.pi * r * r * whole
    cone, at = _frustum(2 * r, 2 * s, tip)
    return ((rod * whole / 2 + cone * (whole + at)) / (rod + cone), 0.0, 0.0)


def _outline(cutter: Cutter) -> tuple[float, float, tuple[float, float]]:
    """(area, depth, centroid in x and y of its frame) of a swept cutter."""
    if isinstance(cutter, BoreCutter):
        return math.pi * cutter.diameter**2 / 4, cutter.depth, (0.0, 0.0)
    if isinstance(cutter, SlotCutter):
        area = math.pi * cutter.width**2 / 4 + cutter.centres * cutter.width
        return area, cutter.depth, (0.0, 0.0)
    assert isinstance(cutter, PrismCutter)
    points = cutter.points
    area = cx = cy = 0.0
    for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True):
        turn = x0 * y1 - x1 * y0
        area += turn / 2
        cx += (x0 + x1) * turn / 6
        cy += (y0 + y1) * turn / 6
    return abs(area), cutter.depth, (cx / area, cy / area)


def _crossing(frame: Frame, start: Vec, box: Box) -> tuple[float, float] | None:
    """Where the line from ``start`` along the frame's z runs inside a box: (from, to), mm."""
    low, high = -math.inf, math.inf
    for i in range(3):
        d = frame.z[i]
        if abs(d) < 1e-12:
            if not box[0][i] < start[i] < box[1][i]:
                return None
            continue
        a, b = (box[0][i] - start[i]) / d, (box[1][i] - start[i]) / d
        low, high = max(low, min(a, b)), min(high, max(a, b))
    return (low, high) if high > low else None


def _within(frame: Frame, start: Vec, other: Cutter) -> tuple[float, float] | None:
    """The same inside a round or slotted hole that runs the same way and is wider."""
    if not isinstance(other, BoreCutter | SlotCutter):
        return None
    along = dot(frame.z, other.frame.z)
    if abs(abs(along) - 1.0) > 1e-9:
        return None
    x, y, z = other.frame.local_point(start)
    if math.hypot(x, y) > 1e-6:
        return None
    a, b = sorted((-z * along, (other.depth - z) * along))
    return a, b


def _swept(cutters: list[Cutter], blocks: list[Box], stock: Box) -> list[_Part]:
    """What holes, slots and prisms take outside the boxes and outside a wider hole about them."""
    parts: list[_Part] = []
    rows = sorted(((*_outline(c), c) for c in cutters), key=lambda row: -row[0])
    for n, (area, depth, (x, y), cutter) in enumerate(rows):
        start = cutter.frame.point((x, y, 0.0))
        inside = _crossing(cutter.frame, start, stock)
        if inside is None:
            continue
        near, far = max(0.0, inside[0]), min(depth, inside[1])
        taken = [_crossing(cutter.frame, start, b) for b in blocks]
        taken += [_within(cutter.frame, start, row[3]) for row in rows[:n]]
        at = near
        for a, b in sorted(t for t in taken if t is not None):
            if a > at:
                parts.append(_slice(cutter.frame, (x, y), area, at, min(a, far)))
            at = max(at, b)
            if at >= far:
                break
        if at < far:
            parts.append(_slice(cutter.frame, (x, y), area, at, far))
    return [p for p in parts if p[0] > 0.0]


def _slice(frame: Frame, at: tuple[float, float], area: float, a: float, b: float) -> _Part:
    return area * (b - a), frame.point((*at, (a + b) / 2))


def _bevel(cutter: BevelCutter) -> list[_Part]:
    """The four bevelled arrises of an end as prisms (the corners they share count once)."""
    w, t, leg = cutter.width, cutter.thickness, cutter.leg
    area, near = leg * leg / 2, leg / 3
    sides = (
        (area * t, (near, t / 2, near)),
        (area * t, (w - near, t / 2, near)),
        (area * (w - 2 * leg), (w / 2, near, near)),
        (area * (w - 2 * leg), (w / 2, t - near, near)),
    )
    return [(v, cutter.frame.point(p)) for v, p in sides]


def _cone(cutter: ConeCutter | TurnedCutter) -> _Part:
    """A conical hole, run-out included; or what is taken off around a conical tenon."""
    if isinstance(cutter, ConeCutter):
        volume, at = _frustum(cutter.start, cutter.end, cutter.depth)
        return volume, cutter.frame.point((0.0, 0.0, at))
    kept, at = _frustum(cutter.tip, cutter.base, cutter.length)
    whole = cutter.width * cutter.thickness * cutter.length
    gone = whole - kept
    middle = (cutter.width / 2, cutter.thickness / 2, cutter.length / 2)
    x, y, z = (
        (whole * a - kept * b) / gone for a, b in zip(middle, (*cutter.centre, at), strict=True)
    )
    return gone, cutter.frame.point((x, y, z))


def _fillet(cutter: FilletCutter) -> _Part:
    """A rounded edge's waste, run-out included: a square less a quarter circle."""
    r, disc = cutter.radius, math.pi / 4
    at = (r / 2 - disc * (r - 4 * r / (3 * math.pi))) / (1 - disc)
    area = (1 - disc) * r * r
    return area * cutter.depth, cutter.frame.point((at, at, cutter.depth / 2))


def _frustum(first: float, last: float, height: float) -> tuple[float, float]:
    """(volume, centroid's distance from the first end) of a frustum between two diameters."""
    share = first * first + first * last + last * last
    at = height * (first * first + 2 * first * last + 3 * last * last) / (4 * share)
    return math.pi / 12 * height * share, at


def _removed(member: Member, cuts: Sequence[Cut]) -> list[_Part]:
    """(volume, centre) of what leaves a squared piece, in its coordinates."""
    stock: Box = ((0.0, 0.0, 0.0), member.size)
    blocks: list[Box] = []
    swept: list[Cutter] = []
    parts: list[_Part] = []
    for cut in cuts:
        for cutter in cut.cutters(member):
            if isinstance(cutter, BoxCutter):
                corners = [cutter.frame.origin, cutter.frame.point(cutter.size)]
                if (box := overlap(hull(corners), stock)) is not None:
                    blocks.append(box)
            elif isinstance(cutter, BevelCutter):
                parts += _bevel(cutter)
            elif isinstance(cutter, ConeCutter | TurnedCutter):
                parts.append(_cone(cutter))
            elif isinstance(cutter, FilletCutter):
                parts.append(_fillet(cutter))
            else:
                swept.append(cutter)
    parts += [(size_of(b), scale(add(*b), 0.5)) for b in disjoint(blocks)]
    return parts + _swept(swept, blocks, stock)


def mass_of(member: Member, cuts: Sequence[Cut], mc: float, volume: float) -> Body:
    """A piece's mass (kg) and centre (bench, mm) from its net ``volume`` in mm³."""
    centre = centre_of_stock(member)
    gone = _removed(member, cuts) if cuts and not member.round_section else []
    total = math.fsum(v for v, _ in gone)
    if total > 0.0:
        # Where holes cross, both were counted: scale to the exact volume.
        share = (member.stock_volume - volume) / total
        x, y, z = (
            (member.stock_volume * centre[i] - share * math.fsum(v * p[i] for v, p in gone))
            / volume
            for i in range(3)
        )
        centre = (x, y, z)
    mass = volume * 1e-9 * member.species.density(mc)
    return Body(member.name, mass, member.placement.point(centre))


def bolt_mass(bolt: Hardware) -> Body:
    """A bolt with its washer: shank as a full rod, hexagonal head, ring; a nut's barrel; rings."""
    s = bolt.size
    if isinstance(s, MeasuredPart):
        centre = bolt.placement.point((0.0, 0.0, s.middle))
        return Body(bolt.name, s.volume * 1e-9 * STEEL, centre)
    if bolt.kind == "barrel nut":
        barrel = barrel_nut_volume(bolt.body, bolt.length, s.diameter)
        return Body(bolt.name, barrel * 1e-9 * STEEL, bolt.placement.origin)
    shank = math.pi * s.diameter**2 / 4 * bolt.length
    head = math.sqrt(3) / 2 * s.head_flats**2 * s.head_height
    ring = math.pi / 4 * (s.washer_od**2 - s.washer_id**2) * s.washer_thickness
    # From the bearing surface along the shank: washer, then the head below it.
    lift = s.washer_thickness
    total = shank + head + ring
    at = (
        shank * (bolt.length / 2 - lift) - head * (lift + s.head_height / 2) - ring * lift / 2
    ) / (total)
    return Body(bolt.name, total * 1e-9 * STEEL, bolt.placement.point((0.0, 0.0, at)))


def _volumes(bench: Bench) -> Mapping[str, float]:
    """Net volumes; where the closed form gives up, the stock less each cutter by itself."""
    try:
        return bench.volumes
    except NoClosedForm:
        pass
    found = {}
    for member in bench.members:
        cuts = bench.cuts[member.name]
        try:
            found[member.name] = net_volume(member, cuts)
        except NoClosedForm:
            gone = math.fsum(v for v, _ in _removed(member, cuts))
            found[member.name] = max(member.stock_volume - gone, 0.1 * member.stock_volume)
    return found


def bench_mass(bench: Bench) -> MassData:
    """Mass and centre of mass of the whole bench at the moisture content of its build."""
    volumes = _volumes(bench)
    bodies = [
        mass_of(m, bench.cuts[m.name], bench.seasons.at_build, volumes[m.name])
        for m in bench.members
    ]
    bodies += [bolt_mass(bolt) for bolt in bench.hardware]
    total = math.fsum(b.mass for b in bodies)
    x, y, z = (math.fsum(b.mass * b.centre[i] for b in bodies) / total for i in range(3))
    return MassData(total, (x, y, z), tuple(bodies))
