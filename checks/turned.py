"""What a round piece (peg, bolt) shares with another solid: slab by slab along its axis."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from treenail.checks.survey import SAME, FaceData, Placed, Survey, common_box, placed_box
from treenail.timber.frames import Frame, Vec, dot, sub

#: Gauss-Legendre points and weights on [-1, 1], 8 of them (Abramowitz and Stegun, table 25.4).
_GAUSS = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)


class Unsettled(Exception):
    """This way of looking can't prove it."""


def circles_share(r: float, big: float, e: float) -> float:
    """Area in mm² that circles of radius ``r`` and ``big``, centres ``e`` apart, share."""
    e = abs(e)
    if e >= r + big:
        return 0.0
    small, large = min(r, big), max(r, big)
    if e <= large - small:
        return math.pi * small * small
    # Two circular segments (the chord stands x from the first centre).
    x = (e * e + r * r - big * big) / (2.0 * e)
    y = e - x
    half = math.sqrt(max(r * r - x * x, 0.0))
    first = r * r * math.atan2(half, x) - x * half
    second = big * big * math.atan2(half, y) - y * half
    return first + second


def over_taper(
    z0: float, z1: float, r0: float, r1: float, big: float, e: float, *, outside: bool
) -> float:
    """Volume in mm³ of a frustum inside (or ``outside``) a parallel round hole.

    Args:
        z0: one end of the frustum, mm.
        z1: the other, mm.
        r0: its radius at ``z0``, mm.
        r1: its radius at ``z1``, mm.
        big: the hole's radius, mm.
        e: distance of the axes, mm.
        outside: measure what is left outside the hole.
    """
    if z1 <= z0:
        return 0.0

    def area(z: float) -> float:
        r = r0 + (r1 - r0) * (z - z0) / (z1 - z0)
        inside = circles_share(r, big, e)
        return math.pi * r * r - inside if outside else inside

    if r0 == r1:
        return area(z0) * (z1 - z0)
    # The circles begin to cut each other, or cease to, where r = |big - e| or r = big + e. There
    # the area behaves like a power 3/2, which Gauss's rule dislikes: hence pieces, and s below.
    stops = [z0, z1]
    for r in (abs(big - e), big + e):
        z = z0 + (z1 - z0) * (r - r0) / (r1 - r0)
        if z0 < z < z1:
            stops.append(z)
    stops.sort()
    total = 0.0
    for a, b in itertools.pairwise(stops):
        # z = a + (b - a) s² (3 - 2 s): flat at both ends, which smooths the roots away.
        for t, weight in _GAUSS:
            for s in ((1.0 - t) / 2.0, (1.0 + t) / 2.0):
                total += (
                    weight * 3.0 * s * (1.0 - s) * (b - a) * area(a + (b - a) * s * s * (3 - 2 * s))
                )
    return total


# --- a round piece along its axis


@dataclass(frozen=True, slots=True)
class _Ring:
    """A stretch of a round piece: radii at its ends; ``exact`` unless only a bound (a head)."""

    z0: float
    z1: float
    r0: float
    r1: float
    exact: bool


@dataclass(frozen=True, slots=True)
class Turned:
    """A round piece: the frame whose z is its axis, and its stretches."""

    frame: Frame
    rings: tuple[_Ring, ...]

    @property
    def radius(self) -> float:
        """The largest, mm."""
        return max(max(r.r0, r.r1) for r in self.rings)


_turned: dict[int, tuple[Survey, Turned | None]] = {}


def turned(survey: Survey) -> Turned | None:
    """The shape as a round piece about one axis, or None; a hexagonal head is bounded."""
    known = _turned.get(id(survey))
    if known is None or known[0] is not survey:
        if len(_turned) > 256:
            _turned.clear()
        known = _turned[id(survey)] = (survey, _turn(survey))
    return known[1]


def _parallel(a: Vec, b: Vec) -> bool:
    return abs(abs(dot(a, b)) - 1.0) < 1e-12


def _turn(survey: Survey) -> Turned | None:
    round_faces = [f for f in survey.faces if f.kind in ("cylinder", "cone")]
    if not round_faces or len(survey.faces) > 40:
        return None
    first = round_faces[0]
    side = min(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), key=lambda v: abs(dot(v, first.axis)))
    along = Frame.from_zx(first.point, first.axis, sub(side, _scaled(first.axis, side)))
    frame = along
    rings: list[_Ring] = []
    for face in survey.faces:
        own = _localised(face, frame)
        z0, z1 = own.box[0][2], own.box[1][2]
        if own.kind == "plane" and _parallel(own.axis, (0.0, 0.0, 1.0)):
            continue
        if own.kind == "plane" and abs(own.axis[2]) < 1e-12:
            corners = [frame.local_point(p) for p in survey.vertices(own.index)]
            reach = max(math.hypot(p[0], p[1]) for p in corners)
            rings.append(_Ring(z0, z1, reach, reach, exact=False))
        elif own.kind in ("cylinder", "cone") and _parallel(own.axis, (0.0, 0.0, 1.0)):
            if own.hollow or math.hypot(own.point[0], own.point[1]) > SAME:
                return None
            turn = own.slope * (1.0 if own.axis[2] > 0.0 else -1.0)
            r0 = own.radius + turn * (z0 - own.point[2])
            r1 = own.radius + turn * (z1 - own.point[2])
            rings.append(_Ring(z0, z1, max(r0, 0.0), max(r1, 0.0), exact=True))
        else:
            return None
    return Turned(frame, tuple(_split(rings)))


def _scaled(axis: Vec, of: Vec) -> Vec:
    k = dot(axis, of)
    return (axis[0] * k, axis[1] * k, axis[2] * k)


def _localised(face: FaceData, frame: Frame) -> FaceData:
    """A face in a frame's own coordinates."""
    origin = frame.local_point((0.0, 0.0, 0.0))
    rows = Frame(
        origin,
        frame.local_direction((1.0, 0.0, 0.0)),
        frame.local_direction((0.0, 1.0, 0.0)),
        frame.local_direction((0.0, 0.0, 1.0)),
    )
    return face.placed(rows)


def _split(rings: Sequence[_Ring]) -> Iterable[_Ring]:
    """Stretches without overlaps: where several lie, the outermost counts (as a bound)."""
    stops = _distinct([z for r in rings for z in (r.z0, r.z1)])
    for a, b in itertools.pairwise(stops):
        here = [r for r in rings if r.z0 < b - SAME and r.z1 > a + SAME]
        if not here:
            continue
        cut = [_cut(r, a, b) for r in here]
        # Several faces of one cylinder are the same ring; else the widest bounds the others.
        widest = max(cut, key=lambda r: (max(r.r0, r.r1), r.exact))
        same = all(abs(r.r0 - widest.r0) + abs(r.r1 - widest.r1) < SAME for r in cut)
        yield replace(widest, exact=widest.exact and same)


def _cut(ring: _Ring, a: float, b: float) -> _Ring:
    """Part of a ring between two heights."""
    k = (ring.r1 - ring.r0) / (ring.z1 - ring.z0)
    return _Ring(a, b, ring.r0 + k * (a - ring.z0), ring.r0 + k * (b - ring.z0), ring.exact)


def _distinct(values: Iterable[float]) -> list[float]:
    found: list[float] = []
    for value in sorted(values):
        if not found or value - found[-1] > SAME:
            found.append(value)
    return found


def turned_volume(piece: Turned, placed: Placed, other: Placed) -> float:
    """What a round piece shares with another solid; Unsettled where that can't be told."""
    axis = placed.frame.place(piece.frame)  # in the bench
    # From the other's coordinates to the axis': faces are read in the other's.
    own = other.frame.localise(axis)
    reach = piece.radius
    low = piece.rings[0].z0
    high = piece.rings[-1].z1
    bounds = (-reach, -reach, low), (reach, reach, high)
    there = placed_box(bounds, own)
    near = [
        f
        for f in (_localised(f, own) for f in other.survey.faces if common_box(f.box, there))
        if f.box[0][2] < high - SAME
        and f.box[1][2] > low + SAME
        and _axis_distance(f) < reach - SAME
    ]
    ends = [z for f in near for z in (f.box[0][2], f.box[1][2])]
    total = 0.0
    for ring in piece.rings:
        stops = _distinct([ring.z0, ring.z1, *(z for z in ends if ring.z0 < z < ring.z1)])
        for a, b in itertools.pairwise(stops):
            total += _slab_volume(_cut(ring, a, b), near, other, own)
    return total


def _slab_volume(ring: _Ring, near: Sequence[FaceData], other: Placed, own: Frame) -> float:
    reach = max(ring.r0, ring.r1)
    mid = (ring.z0 + ring.z1) / 2.0
    hits = [f for f in near if f.box[0][2] < mid < f.box[1][2] and _axis_distance(f) < reach - SAME]
    if not hits:
        state = other.survey.state(own.point((0.0, 0.0, mid)))
        if state == "out":
            return 0.0
        if state == "on" or not ring.exact:
            raise Unsettled
        k = ring.r0 * ring.r0 + ring.r0 * ring.r1 + ring.r1 * ring.r1
        return math.pi * k * (ring.z1 - ring.z0) / 3.0
    hole = hits[0]
    for face in hits:
        if (
            face.kind != "cylinder"
            or not _parallel(face.axis, (0.0, 0.0, 1.0))
            or math.dist(face.point[:2], hole.point[:2]) > SAME
            or abs(face.radius - hole.radius) > SAME
            or face.hollow != hole.hollow
        ):
            raise Unsettled
    if not ring.exact:
        raise Unsettled
    e = math.hypot(hole.point[0], hole.point[1])
    return over_taper(ring.z0, ring.z1, ring.r0, ring.r1, hole.radius, e, outside=hole.hollow)


def _axis_distance(face: FaceData) -> float:
    """How near a face's whole surface (or its box) comes to the z axis, at most that, mm."""
    if face.kind == "plane" and abs(face.axis[2]) < 1e-12:
        by_surface = abs(dot(face.point, face.axis))
    elif face.kind == "cylinder" and _parallel(face.axis, (0.0, 0.0, 1.0)):
        by_surface = _arc_distance(face)
    else:
        by_surface = 0.0
    dx = max(face.box[0][0], -face.box[1][0], 0.0)
    dy = max(face.box[0][1], -face.box[1][1], 0.0)
    return max(by_surface, math.hypot(dx, dy))


def _arc_distance(face: FaceData) -> float:
    """How near the z axis comes to that part of a parallel cylinder that lies in the face's box.

    On the circle the distance grows steadily from the nearest point to the farthest: if the
    nearest isn't in the box, the least is where the circle crosses the box's sides.
    """
    (cx, cy), r, (low, high) = face.point[:2], face.radius, face.box
    e = math.hypot(cx, cy)
    if e < SAME:
        return r - e
    # From the centre towards the axis, whether the axis lies inside the circle or outside.
    points = [(cx - r * cx / e, cy - r * cy / e)]
    for x in (low[0], high[0]):
        rise = math.sqrt(max(r * r - (x - cx) ** 2, 0.0))
        points += [(x, cy - rise), (x, cy + rise)]
    for y in (low[1], high[1]):
        run = math.sqrt(max(r * r - (y - cy) ** 2, 0.0))
        points += [(cx - run, y), (cx + run, y)]
    slack = 1e-6
    inside = [
        math.hypot(x, y)
        for x, y in points
        if low[0] - slack <= x <= high[0] + slack and low[1] - slack <= y <= high[1] + slack
    ]
    return min(inside, default=abs(r - e)) - SAME


# --- squared pieces, cell by cell
