"""Rows of the drawbore sheet: pegs that draw, with both their holes, and straight ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from treenail.timber.errors import SpecError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.timber.species import Species

__all__ = ["DrawboreRow", "HolePair", "PegBend", "StraightRow", "peg_bend", "row_data"]

Support = Literal["free", "built in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PegBend:
    """A peg bent over the offset, as a beam loaded in its middle.

    Attributes:
        support: ``free``: carried at its ends only, the wood beside it giving way; ``built in``:
            held fast in both cheeks. The peg in the wood lies between the two.
        span: between supports, mm.
        stress: in the outer fibre at this draw if the peg stayed elastic, MPa.
        of_mor: that as a share of the wood's modulus of rupture; over 1 the peg and the holes
            give way for the rest, as they are meant to.
        draw_closed: draw that such a peg closes before it reaches the modulus of rupture, mm.
        pull: with which it then draws the shoulder, N.
    """

    support: Support
    span: float
    stress: float
    of_mor: float
    draw_closed: float
    pull: float


def peg_bend(
    species: Species, diameter: float, draw: float, span: float, support: Support
) -> PegBend:
    """Closed form of a round peg pushed aside by ``draw`` in the middle of its ``span``, mm.

    Free: draw = P L^3 / 48 E I and M = P L / 4; built in: P L^3 / 192 E I and P L / 8; shear is
    left out (FPL-GTR-190 Eq. 9-2 and Table 9-1 for the free one; textbook statics for the other).
    """
    if min(diameter, span) <= 0.0 or draw < 0.0:
        raise SpecError(f"no beam: diameter {diameter:g}, span {span:g}, draw {draw:g} mm")
    # stress = bend E d draw / L^2, P = force MOR W / L
    bend, force = (6.0, 4.0) if support == "free" else (12.0, 8.0)
    stress = bend * species.moe * diameter * draw / span**2
    section = math.pi * diameter**3 / 32.0
    return PegBend(
        support=support,
        span=span,
        stress=stress,
        of_mor=stress / species.mor,
        draw_closed=species.mor * span**2 / (bend * species.moe * diameter),
        pull=force * species.mor * section / span,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePair:
    """One peg's two holes, measured as they are cut.

    Attributes:
        peg: the peg's number in its joint, from 1.
        edge: from the tenon's edge on the face edge's side, mm; of an end board, from the slab's.
        post, tenon: from the shoulder to each hole's centre, mm.
        slot: how far apart the middles of the tenon's slot's round ends lie, mm; 0 for a hole.
    """

    peg: int
    edge: float
    post: float
    tenon: float
    slot: float = 0.0

    @property
    def draw(self) -> float:
        """How much nearer its shoulder the tenon's hole lies, mm."""
        return snap(self.post - self.tenon)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawboreRow:
    """Joints whose pegs are alike.

    Attributes:
        joints: their names.
        drive_faces: the post's face at which each joint's pegs go in.
        species: the pegs' wood.
        diameter: of peg and bit, mm.
        length: of the peg as driven and trimmed, mm.
        cut_length: as made: with a head to hit, and through pegs with their taper, mm.
        taper, tip: length of the taper and diameter at its end, mm.
        stock: side of the square it is made from, mm.
        holes: each peg's holes.
        depth: of the post's hole from the drive face, mm.
        through: it runs out at the far face.
        usual: the draw that is usual for this wood and peg, mm.
        reason: why.
        bends: the peg bent over the draw, free and built in.
        on: what they hold: ``tenon``, or ``end board``: a board across a slab's end.
    """

    joints: tuple[str, ...]
    drive_faces: tuple[str, ...]
    species: str
    diameter: float
    length: float
    cut_length: float
    taper: float
    tip: float
    stock: float
    holes: tuple[HolePair, ...]
    depth: float
    through: bool
    usual: float
    reason: str
    bends: tuple[PegBend, ...]
    on: Literal["tenon", "end board"] = "tenon"

    @property
    def pegs(self) -> int:
        """Pegs in all of these joints."""
        return len(self.joints) * len(self.holes)


@dataclass(frozen=True, slots=True, kw_only=True)
class StraightRow:
    """Joints with pegs or pins alike that draw nothing.

    Attributes:
        joints, drive_faces: as of a drawbore row.
        what: ``peg`` through one member into another, ``pin`` that stands out of one.
        count: in each joint.
        species, diameter, length, cut_length, taper, tip, stock: as of a drawbore row.
        depth: of the hole in the member in which it ends, mm.
        through: thickness of the member that it goes through, mm; 0 for a pin.
    """

    joints: tuple[str, ...]
    drive_faces: tuple[str, ...]
    what: Literal["peg", "pin"]
    count: int
    species: str
    diameter: float
    length: float
    cut_length: float
    taper: float
    tip: float
    stock: float
    depth: float
    through: float

    @property
    def pegs(self) -> int:
        """Pegs in all of these joints."""
        return len(self.joints) * self.count

    def as_dict(self) -> dict[str, Any]:
        """JSON data; lengths in mm."""
        return {
            "joints": list(self.joints),
            "drive_faces": list(self.drive_faces),
            "what": self.what,
            "in_each": self.count,
            "species": self.species,
            "diameter_mm": snap(self.diameter),
            "length_mm": snap(self.length),
            "cut_length_mm": snap(self.cut_length),
            "taper_mm": snap(self.taper),
            "tip_mm": snap(self.tip),
            "square_stock_mm": snap(self.stock),
            "hole_depth_mm": snap(self.depth),
            "through_mm": snap(self.through),
        }


def row_data(r: DrawboreRow) -> dict[str, Any]:
    """JSON data of a drawbore row; lengths in mm."""
    return {
        "joints": list(r.joints),
        "on": r.on,
        "drive_faces": list(r.drive_faces),
        "species": r.species,
        "diameter_mm": snap(r.diameter),
        "length_mm": snap(r.length),
        "cut_length_mm": snap(r.cut_length),
        "taper_mm": snap(r.taper),
        "tip_mm": snap(r.tip),
        "square_stock_mm": snap(r.stock),
        "holes": [
            {
                "peg": h.peg,
                "from_tenon_edge_mm": snap(h.edge),
                "post_from_shoulder_mm": snap(h.post),
                "tenon_from_shoulder_mm": snap(h.tenon),
                "draw_mm": h.draw,
                "slot_mm": snap(h.slot),
            }
            for h in r.holes
        ],
        "hole_depth_mm": snap(r.depth),
        "through": r.through,
        "usual_draw_mm": snap(r.usual),
        "reason": r.reason,
        "bend": [
            {
                "support": b.support,
                "span_mm": snap(b.span),
                "stress_mpa": round(b.stress, 3),
                "of_modulus_of_rupture": round(b.of_mor, 4),
                "draw_closed_mm": round(b.draw_closed, 4),
                "pull_n": round(b.pull, 1),
            }
            for b in r.bends
        ],
    }
