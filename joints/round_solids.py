"""Round holes and cones in any direction, cut by planes: exact volumes.

Over a cylinder's section every plane that isn't parallel to its axis is a plane function of the
height at which it cuts the line (generator) through a point. What a set of half spaces leaves is
the integral of the lowest upper plane less the highest lower one, piece by piece over the disc; a
plane that cuts every generator gives area times length along the axis.

A cone's piece between two planes that cut every generator, and don't cut each other inside it, is
a difference of two oblique cones: each a third of the section's area times its distance from the
apex, pi k² h³ / 3 (1 - k² m²)^(3/2), where k is the cone's radius for each mm of its axis, h where
the plane cuts the axis, and m the plane's slope. Other planes through a cone have no formula here.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from treenail.joints import polytopes
from treenail.joints.convex import segment_distance
from treenail.joints.cutters import BoreCutter, ConeCutter, SlotCutter, TurnedCutter
from treenail.joints.disc_integrals import Plane, over_disc
from treenail.timber.frames import Frame, Vec, along, dot, neg

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.joints.cutters import Cutter
    from treenail.joints.polytopes import Half, Solid

#: Planes nearer to parallel to an axis than this (sine) don't cut it.
_PARALLEL = 1e-11
#: What differs by less is the same, mm.
_SAME = 1e-10
#: Shared volumes up to this are contact, mm³.
CONTACT = 1e-6


class NoFormula(Exception):
    """A plane cuts a cone in a way for which there is no formula here."""


@dataclass(frozen=True, slots=True)
class RoundSolid:
    """A cylinder or frustum about ``frame``'s +z from its origin.

    Attributes:
        label: what made it, for messages.
        start, end: diameters at the origin and ``depth`` mm further on.
        within: half spaces that bound it besides; a slot's end is half a cylinder.
        cutter: what made it: parts of one cutter don't overlap.
    """

    label: str
    frame: Frame
    start: float
    end: float
    depth: float
    cutter: Cutter
    within: tuple[Half, ...] = field(default=())

    @property
    def radius(self) -> float:
        """The largest, mm."""
        return max(self.start, self.end) / 2.0

    @property
    def axis(self) -> tuple[Vec, Vec]:
        """Its ends in the middle."""
        return self.frame.origin, along(self.frame.origin, self.frame.z, self.depth)

    def volume(self, halves: Iterable[Half] = ()) -> float:
        """Volume in mm³ inside the half spaces; NoFormula if a cone's has none."""
        local = [
            (self.frame.local_direction(n), level - dot(n, self.frame.origin))
            for n, level in (*self.within, *halves)
        ]
        if abs(self.start - self.end) <= _SAME:
            return _cylinder(self.start / 2.0, self.depth, local)
        return _cone(self.start / 2.0, self.end / 2.0, self.depth, local)

    def reaches(self, halves: Sequence[Half]) -> bool:
        """Whether it surely or possibly reaches into a convex solid."""
        try:
            return self.volume(halves) > CONTACT
        except NoFormula:
            return True

    def outside(self, stock: Sequence[Half], others: Sequence[Sequence[Half]]) -> float:
        """Volume in mm³ in the stock and outside of convex solids (inclusion and exclusion)."""
        near = [other for other in others if self.reaches((*stock, *other))]

        def shared(halves: tuple[Half, ...], rest: Sequence[Sequence[Half]]) -> float:
            # What it shares with the first of the rest, with the second and not the first ...
            total = []
            for i, other in enumerate(rest):
                both = (*halves, *other)
                there = self.volume(both)
                if there > 0.0:
                    total.append(there - shared(both, rest[i + 1 :]))
            return math.fsum(total)

        own = tuple(stock)
        return self.volume(own) - shared(own, near)


def apart(first: RoundSolid, second: RoundSolid) -> bool:
    """Whether two surely don't overlap: parts of one cutter, or axes far enough apart."""
    if first.cutter is second.cutter:
        return True
    gap = segment_distance(first.axis, second.axis).distance
    return gap >= first.radius + second.radius - _SAME


def swallowed(thin: RoundSolid, thick: RoundSolid) -> tuple[Half, ...] | None:
    """The slab in which a coaxial thicker cylinder holds all of a thinner one; None if none."""
    if thick.start != thick.end or thick.within or thin.radius > thick.start / 2.0:
        return None
    local = [thick.frame.local_point(p) for p in thin.axis]
    if any(math.hypot(x, y) > _SAME for x, y, _ in local):
        return None
    z = thick.frame.z
    low = dot(z, thick.frame.origin)
    return ((neg(z), -low), (z, low + thick.depth))


def rounds_of(cutter: Cutter, label: str) -> tuple[tuple[RoundSolid, ...], tuple[Solid, ...]]:
    """A bore, slot or cone as round solids, and a slot's flat part; empty for any other."""
    frame = cutter.frame
    if isinstance(cutter, BoreCutter):
        d = cutter.diameter
        return (RoundSolid(label, frame, d, d, cutter.depth, cutter),), ()
    if isinstance(cutter, ConeCutter):
        return (RoundSolid(label, frame, cutter.start, cutter.end, cutter.depth, cutter),), ()
    if isinstance(cutter, SlotCutter):
        a, d = cutter.centres / 2.0, cutter.width
        ends = []
        for sign in (-1.0, 1.0):
            at = frame.shifted((sign * a, 0.0, 0.0))
            inner = (neg(frame.x), -dot(frame.x, at.origin))
            if sign < 0.0:
                inner = (frame.x, dot(frame.x, at.origin))
            ends.append(RoundSolid(label, at, d, d, cutter.depth, cutter, (inner,)))
        low, high = (-a, -d / 2.0, 0.0), (a, d / 2.0, cutter.depth)
        flat = polytopes.block((low, high))
        middle = tuple(tuple(frame.point(p) for p in face) for face in flat)
        return tuple(ends), (middle,)
    return (), ()


def cone_of(cutter: TurnedCutter, label: str) -> RoundSolid:
    """The cone that a turned end leaves."""
    frame = cutter.frame.shifted((*cutter.centre, 0.0))
    return RoundSolid(label, frame, cutter.tip, cutter.base, cutter.length, cutter)


# --- one round thing and half spaces, in its own coordinates


def _kept(
    planes: Iterable[Plane], radius: float, *, lowest: bool, slack: float = _SAME
) -> list[Plane]:
    """Planes that count somewhere over the disc, each once."""
    found: list[Plane] = []
    for plane in planes:

        def hides(one: Plane, other: Plane) -> bool:
            return (other.less(one) if lowest else one.less(other)).least(radius) >= -slack

        if any(hides(known, plane) for known in found):
            continue
        found = [known for known in found if not hides(plane, known)]
        found.append(plane)
    return found


def _cylinder(radius: float, depth: float, halves: Iterable[Half]) -> float:
    uppers, lowers = [Plane(depth, 0.0, 0.0)], [Plane(0.0, 0.0, 0.0)]
    sides: list[Plane] = []
    for (nx, ny, nz), level in halves:
        if abs(nz) <= _PARALLEL:
            sides.append(Plane(level, -nx, -ny))
            if sides[-1].most(radius) <= 0.0:
                return 0.0
        else:
            height = Plane(level / nz, -nx / nz, -ny / nz)
            (uppers if nz > 0.0 else lowers).append(height)
    uppers = _kept(uppers, radius, lowest=True)
    lowers = _kept(lowers, radius, lowest=False)
    total = []
    for top, bottom in itertools.product(uppers, lowers):
        between = top.less(bottom)
        if between.most(radius) <= 0.0:
            continue
        where = [between, *sides]
        where += [other.less(top) for other in uppers if other is not top]
        where += [bottom.less(other) for other in lowers if other is not bottom]
        total.append(over_disc(between, radius, where))
    return math.fsum(total)


def _cone(first: float, last: float, depth: float, halves: Iterable[Half]) -> float:
    k = abs(last - first) / depth
    if last < first:  # from the apex on, it widens along +z
        first, last = last, first
        halves = [((nx, ny, -nz), level - nz * depth) for (nx, ny, nz), level in halves]
    start = first / k
    stop = last / k
    # A plane as its height h on the axis and its slope: 1 / s = (1 - slope·g) / h along a ray g.
    uppers, lowers = [Plane(1.0 / stop, 0.0, 0.0)], []
    if start > _SAME:
        lowers.append(Plane(1.0 / start, 0.0, 0.0))
    for (nx, ny, nz), level in halves:
        c, aside = level + nz * start, math.hypot(nx, ny)
        ends = [nz * w for w in (start, stop)]
        if max(ends[0] + k * start * aside, ends[1] + k * stop * aside) <= c + _SAME:
            continue  # all of it lies inside
        if min(ends[0] - k * start * aside, ends[1] - k * stop * aside) >= c - _SAME:
            return 0.0
        if k * aside >= abs(nz) * (1.0 - 1e-9) or c * nz <= 0.0:
            raise NoFormula
        (uppers if nz > 0.0 else lowers).append(Plane(nz / c, nx / c, ny / c))
    # Their reciprocals are plane functions of the ray: the lowest plane has the greatest.
    slack = 1e-11 / (start if start > _SAME else stop)
    uppers = _kept(uppers, k, lowest=False, slack=slack)
    lowers = _kept(lowers, k, lowest=True, slack=slack)
    if len(uppers) > 1 or len(lowers) > 1:
        raise NoFormula
    top = uppers[0]
    if not lowers:
        return _oblique(top, k)
    bottom = lowers[0]
    if bottom.less(top).most(k) <= 0.0:
        return 0.0
    if bottom.less(top).least(k) < -slack:
        raise NoFormula
    return _oblique(top, k) - _oblique(bottom, k)


def _oblique(plane: Plane, k: float) -> float:
    """From the apex to a plane, told by its reciprocal heights."""
    slope = math.hypot(plane.across, plane.up) / plane.level
    return float(math.pi * k * k / (3.0 * plane.level**3 * (1.0 - (k * slope) ** 2) ** 1.5))


__all__ = [
    "CONTACT",
    "NoFormula",
    "RoundSolid",
    "apart",
    "cone_of",
    "rounds_of",
    "swallowed",
]
