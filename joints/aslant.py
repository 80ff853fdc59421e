"""What cutters that lie aslant to a member take of it, beside its square blocks and sweeps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints import polytopes
from treenail.joints.angled_cuts import EndBevel
from treenail.joints.blocks import Box, disjoint, overlap, union_volume
from treenail.joints.cutters import BoreCutter, ConeCutter, TurnedCutter
from treenail.joints.round_solids import NoFormula, RoundSolid, apart, rounds_of, swallowed
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.joints.cuts import Cut
    from treenail.joints.cutters import Cutter
    from treenail.joints.polytopes import Half, Solid
    from treenail.joints.sweeps import Sweep
    from treenail.timber.member import Member

#: Shared volumes up to this are contact, mm³.
CONTACT = 1e-6
#: Shorter pieces of a peg than this are none, mm.
SLIVER = 1e-9


class NoClosedForm(GeometryError):
    """The numbers alone cannot give this volume; only the solid kernel can."""


@dataclass(frozen=True, slots=True)
class Bevel:
    """The ring that leaves an end: the end's zone, less a frustum around ``core``.

    A cone is one too, its zone being the box around it. ``cone`` is the frustum where it is round:
    wood inside a turned end, or a reamed hole.
    """

    label: str
    zone: Box
    core: Box
    volume: float
    cone: RoundSolid | None = None


def clipped(cutter: Cutter, stock: Box) -> Solid | None:
    """What of a box or prism lies in the stock (empty: nothing); None for anything round."""
    solid = polytopes.from_cutter(cutter)
    return None if solid is None else polytopes.common(polytopes.block(stock), solid)


def reaches(solids: Iterable[Solid], zone: Box) -> bool:
    """Whether any of the solids reaches into a box."""
    there = polytopes.block(zone)
    return any(
        overlap(_bounds(solid), zone) is not None
        and polytopes.volume(polytopes.common(there, solid)) > CONTACT
        for solid in solids
    )


def volume_outside(solids: Sequence[Solid], blocks: Sequence[Box]) -> float:
    """Volume that the solids fill together outside of the blocks, mm³."""
    cells = [polytopes.block(cell) for cell in disjoint(blocks)]
    inside = [
        polytopes.together([both for s in solids if (both := polytopes.common(cell, s))])
        for cell in cells
    ]
    return math.fsum([polytopes.together(solids), *(-v for v in inside)])


def _bounds(solid: Solid) -> Box:
    xs, ys, zs = zip(*(p for face in solid for p in face), strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def peg_volume(member: Member, cuts: Sequence[Cut]) -> float:
    """A peg whose ends are cut flush with faces that its axis meets aslant."""
    if not all(isinstance(cut, EndBevel) for cut in cuts):
        raise NoClosedForm(f"{member.name}: no closed form for such cuts in a round peg")
    waste = [polytopes.from_cutter(cutter) for cut in cuts for cutter in cut.cutters(member)]
    solids = [solid for solid in waste if solid is not None]
    volume = member.stock_volume
    if not solids:
        return volume
    d, straight = member.width, member.length - member.tip_length
    frame = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    parts = [BoreCutter(frame, d, straight)] if straight > SLIVER else []
    found = [r for cutter in parts for r in rounds_of(cutter, member.name)[0]]
    if member.tip_length > SLIVER:
        tip = ConeCutter(
            frame.shifted((0.0, 0.0, straight)), d, member.tip_diameter, member.tip_length
        )
        found += rounds_of(tip, member.name)[0]
    halves = [polytopes.halves(solid) for solid in solids]
    try:
        return math.fsum(part.outside((), halves) for part in found)
    except NoFormula:
        raise NoClosedForm(f"{member.name}: no closed form where its tip is cut aslant") from None


def parts_of(
    cutter: Cutter, label: str, stock: Box
) -> tuple[tuple[RoundSolid, ...], tuple[Solid, ...]] | None:
    """A cutter as round solids and convex ones in the stock; None where it is neither."""
    solid = clipped(cutter, stock)
    if solid is not None:
        return (), (solid,) if solid else ()
    rounds, flat = rounds_of(cutter, label)
    there = polytopes.block(stock)
    solids = tuple(s for f in flat if (s := polytopes.common(there, f)))
    return (rounds, solids) if rounds else None


class Leaning:
    """The solids with plane faces that lie aslant, and the round ones that have to do with them."""

    def __init__(
        self, member: Member, stock: Box, tilted: list[Solid], rounds: list[RoundSolid]
    ) -> None:
        self.member, self.stock = member, stock
        self.tilted, self.rounds = tilted, rounds
        self.turned: list[Bevel] = []

    def reaches(self, zone: Box) -> bool:
        """Whether anything that lies aslant reaches into a box."""
        if reaches(self.tilted, zone):
            return True
        there = polytopes.halves(polytopes.block(zone))
        return any(r.reaches(there) for r in self.rounds)

    def keep_straight(
        self, bevels: list[Bevel], blocks: Sequence[Box], sweeps: list[Sweep]
    ) -> tuple[list[Bevel], list[Sweep]]:
        """The bevels that nothing reaches into, and the sweeps left; what meets a cone joins in."""
        kept = []
        for bevel in bevels:
            cone, zone = bevel.cone, bevel.zone
            there = [s for s in sweeps if overlap(zone, s.box)]
            met = there or self.reaches(zone) or any(overlap(zone, b) for b in blocks)
            if cone is None or not met or not all(self.take(s) for s in there):
                kept.append(bevel)
                continue
            sweeps = [s for s in sweeps if s not in there]
            if isinstance(cone.cutter, TurnedCutter):
                self.turned.append(bevel)
            else:
                self.rounds.append(cone)
        return kept, sweeps

    def keep_sweeps(self, sweeps: list[Sweep], bevels: Sequence[Bevel]) -> list[Sweep]:
        """The sweeps that nothing aslant reaches into; the others join what lies aslant."""
        while True:
            touched = [s for s in sweeps if self.reaches(s.box)]
            bad = [b.label for b in bevels if self.reaches(b.zone)]
            bad += [s.label for s in touched if not self.take(s)]
            if bad:
                raise NoClosedForm(
                    f"{self.member.name}: no closed form where something aslant reaches into "
                    f"{bad[0]}"
                )
            if not touched:
                return sweeps
            sweeps = [s for s in sweeps if s not in touched]

    def take(self, sweep: Sweep) -> bool:
        """Treat a sweep as something aslant, if that can be."""
        parts = parts_of(sweep.cutter, sweep.label, self.stock)
        if parts is None:
            return False
        self.rounds += parts[0]
        self.tilted += parts[1]
        return True

    def gone(self, blocks: Sequence[Box]) -> float:
        """Volume in mm³ that it takes with the blocks, less what is left of turned ends' cones."""
        if not (self.tilted or self.rounds or self.turned):
            return union_volume(blocks)
        stock = polytopes.halves(polytopes.block(self.stock))
        flat = [polytopes.halves(solid) for solid in self.tilted]
        square = [polytopes.halves(polytopes.block(cell)) for cell in disjoint(blocks)]
        zones = [end.zone for end in self.turned]
        found = [union_volume([*blocks, *zones])]
        found.append(volume_outside(self.tilted, [*blocks, *zones]))
        ends = [polytopes.halves(polytopes.block(zone)) for zone in zones]
        rounds = sorted(self.rounds, key=lambda r: r.radius, reverse=True)
        try:
            for i, one in enumerate(rounds):
                slabs = [self._slab(one, other) for other in rounds[:i]]
                others = [*flat, *square, *ends, *(slab for slab in slabs if slab)]
                found.append(one.outside(stock, others))
            for end in self.turned:
                assert end.cone is not None
                self._keep_off(end)
                found.append(-end.cone.outside(stock, [*flat, *square]))
        except NoFormula:
            raise NoClosedForm(
                f"{self.member.name}: no closed form where a plane cuts a cone lengthwise"
            ) from None
        return math.fsum(found)

    def _slab(self, thin: RoundSolid, thick: RoundSolid) -> tuple[Half, ...]:
        """Where a thicker hole around the same axis holds a thinner one; empty if they're apart."""
        if apart(thin, thick):
            return ()
        slab = swallowed(thin, thick)
        if slab is None:
            raise NoClosedForm(
                f"{self.member.name}: no closed form where {thick.label} and {thin.label} cross, "
                "because one of them lies aslant or is cut aslant"
            )
        return slab

    def _keep_off(self, end: Bevel) -> None:
        there = polytopes.halves(polytopes.block(end.zone))
        for one in self.rounds:
            if one.reaches(there):
                raise NoClosedForm(
                    f"{self.member.name}: no closed form where {one.label} reaches into {end.label}"
                )


__all__ = [
    "Bevel",
    "Leaning",
    "NoClosedForm",
    "clipped",
    "parts_of",
    "peg_volume",
    "reaches",
    "volume_outside",
]
