"""A second solid modeller (manifold3d) as the oracle for volumes and places of cuts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold

from treenail.joints.cuts import Cut
from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    ConeCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    TurnedCutter,
)
from treenail.timber.frames import Frame, Vec
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

#: Sides of the polygons that stand for circles.
SIDES = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class RawCut(Cut):
    """A cut made of ready-made cutters."""

    parts: tuple[Cutter, ...]

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        return self.parts


def raw(*parts: Cutter, name: str = "raw") -> RawCut:
    return RawCut(joint=name, purpose="cut", face=Face.FACE_SIDE, frame=Frame(), parts=parts)


def stick(length: float, width: float, thickness: float) -> Member:
    return Member(
        name="stick",
        role="post",
        length=length,
        width=width,
        thickness=thickness,
        species=get_species("white_ash"),
    )


def _placed(solid: Manifold, frame: Frame) -> Manifold:
    columns = [frame.x, frame.y, frame.z, frame.origin]
    return solid.transform(np.array(columns, dtype=float).T)


def _swept(points: Sequence[tuple[float, float]], depth: float) -> Manifold:
    return Manifold.extrude(CrossSection([np.array(points, dtype=float)]), depth)


def _circle(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    turns = [2.0 * math.pi * (i + 0.5) / SIDES for i in range(SIDES)]
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]


def _round(half: float, radius: float, depth: float) -> Manifold:
    both = _circle(-half, 0.0, radius) + _circle(half, 0.0, radius)
    return Manifold.extrude(CrossSection.hull_points(np.array(both)), depth)


def _cone(height: float, start: float, end: float) -> Manifold:
    return Manifold.cylinder(height, start / 2.0, end / 2.0, SIDES)


def cutter_solid(cutter: Cutter, *, around: bool = False) -> Manifold:
    """A cutter; polygons stand inside circles, or ``around`` them."""
    grow = 1.0 / math.cos(math.pi / SIDES) if around else 1.0
    if isinstance(cutter, BoxCutter):
        solid = Manifold.cube(cutter.size)
    elif isinstance(cutter, BoreCutter):
        solid = _round(0.0, cutter.diameter / 2.0 * grow, cutter.depth)
    elif isinstance(cutter, PrismCutter):
        solid = _swept(cutter.points, cutter.depth)
    elif isinstance(cutter, BevelCutter):
        w, t, leg = cutter.width, cutter.thickness, cutter.leg
        end = [(x, y, 0.0) for x in (leg, w - leg) for y in (leg, t - leg)]
        foot = [(x, y, leg) for x in (0.0, w) for y in (0.0, t)]
        solid = Manifold.cube((w, t, leg)) - Manifold.hull_points(np.array(end + foot))
    elif isinstance(cutter, ConeCutter):
        solid = _cone(cutter.depth, cutter.start * grow, cutter.end * grow)
    elif isinstance(cutter, TurnedCutter):
        # What is left is the polygon's: it grows as what goes shrinks, and the other way round.
        kept = 1.0 if around else 1.0 / math.cos(math.pi / SIDES)
        cone = _cone(cutter.length, cutter.tip * kept, cutter.base * kept)
        zone = Manifold.cube((cutter.width, cutter.thickness, cutter.length))
        solid = zone - cone.translate((*cutter.centre, 0.0))
    elif isinstance(cutter, FilletCutter):
        r = cutter.radius
        # The wood's quarter circle: chords inside it take too much off, tangents too little.
        kept = r if around else r / math.cos(math.pi / SIDES)
        square = CrossSection([np.array([(0.0, 0.0), (r, 0.0), (r, r), (0.0, r)])])
        wood = CrossSection([np.array(_circle(r, r, kept))])
        solid = Manifold.extrude(square - wood, cutter.depth)
    else:
        solid = _round(cutter.centres / 2.0, cutter.width / 2.0 * grow, cutter.depth)
    return _placed(solid, cutter.frame)


def box_solid(low: Vec, high: Vec) -> Manifold:
    size = (high[0] - low[0], high[1] - low[1], high[2] - low[2])
    return Manifold.cube(size).translate(low)


def solid(member: Member, cuts: Sequence[Cut], *, around: bool = False) -> Manifold:
    """The member less all cutters of its cuts."""
    tools = [cutter_solid(c, around=around) for cut in cuts for c in cut.cutters(member)]
    stock = Manifold.cube(member.size)
    if not tools:
        return stock
    return stock - Manifold.batch_boolean(tools, manifold3d.OpType.Add)


def bounds(member: Member, cuts: Sequence[Cut]) -> tuple[float, float]:
    """Volumes between which the true net volume lies."""
    return solid(member, cuts, around=True).volume(), solid(member, cuts).volume()


def same_place(a: Manifold, b: Manifold, *, within: float) -> bool:
    """Whether two solids fill the same space, but for ``within`` mm³."""
    return bool((a - b).volume() + (b - a).volume() <= within)
