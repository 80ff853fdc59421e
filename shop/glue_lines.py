"""Glue lines: where glue goes, how much area it has, what presses on it. Closed forms, in mm.

A glue line's area counts once, not for both of its faces. End grain (shoulders, a tenon's end)
holds next to nothing and is not counted; a shoulder is only what a clamp presses on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.blocks import hull
from treenail.joints.corner_fit import corners_of
from treenail.joints.cuts import MitredTip, NotchedTip
from treenail.joints.edges import PanelGroove, TongueGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.features import EdgeGlue
from treenail.joints.housed import Housed
from treenail.joints.laps import Lap
from treenail.joints.mortise_tenon import MortiseTenon, Section
from treenail.joints.outlines import circle_rectangle_area
from treenail.joints.shaped_cuts import Flanks, ShapedEnd
from treenail.joints.skew import SkewLetIn
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.trenches import in_face
from treenail.shop.glue_aslant import angled_line, skew_line
from treenail.shop.glue_ends import end_board_line
from treenail.shop.glue_line import (
    CLAMPS,
    DRIVEN,
    DRY,
    PEGS,
    WEDGES,
    GlueLine,
    gravity_of,
    line_of,
)
from treenail.timber.member import Face

__all__ = [
    "CLAMPS",
    "DRIVEN",
    "DRY",
    "PEGS",
    "WEDGES",
    "GlueLine",
    "contact",
    "joint_line",
    "lamination_lines",
    "ripped_lines",
    "tenon_parts",
]

if TYPE_CHECKING:
    from treenail.joints.base import Joint
    from treenail.joints.outlines import Rect
    from treenail.shop.glue import Glue
    from treenail.shop.rough_parts import RoughPart
    from treenail.timber.member import Member


def lamination_lines(part: RoughPart, member: Member, name: str) -> tuple[GlueLine, ...]:
    """The lines in one laminated piece, at the plies' rough sizes: that is when they are glued."""
    kind = "strip face" if part.plies > 2 else "ply face"
    area = part.length * part.board_width
    return tuple(
        GlueLine(
            name=f"{name}_{i}",
            kind=kind,
            members=(name,),
            gravity=member.species.g_12,
            area=area,
            parts={"face": area},
            pressed=area,
            closed_by=CLAMPS,
            length=part.length,
            width=part.board_width,
            cover=part.thickness,
        )
        for i in range(1, part.plies)
    )


def ripped_lines(part: RoughPart, member: Member, name: str) -> tuple[GlueLine, ...]:
    """The lines between the parts of a board that was ripped for the jointer, at rough length.

    All boards of one piece; the wood is still a little over its planed thickness.
    """
    area = part.length * part.thickness
    return tuple(
        GlueLine(
            name=f"{name}_{ply}_{i}",
            kind="board edge",
            members=(name,),
            gravity=member.species.g_12,
            area=area,
            parts={"edge": area},
            pressed=area,
            closed_by=CLAMPS,
            length=part.length,
            width=part.thickness,
            cover=part.width,
        )
        for ply in range(1, part.plies + 1)
        for i in range(1, part.across)
    )


def joint_line(joint: Joint, glue: Glue) -> GlueLine | None:
    """A joint's glue; None where glue has no business (bolts, bearings, features)."""
    if isinstance(joint, EdgeGlue):
        return _edge(joint)
    if isinstance(joint, MortiseTenon):
        return _tenon(joint, glue)
    if isinstance(joint, TaperedRound):
        return _round(joint)
    if isinstance(joint, AngledTenon):
        return angled_line(joint)
    if isinstance(joint, SkewLetIn):
        return skew_line(joint)
    if isinstance(joint, Lap):
        return _lap(joint)
    if isinstance(joint, Housed):
        return _housed(joint)
    return end_board_line(joint, glue) if isinstance(joint, EndBoard) else None


# --- edges


def contact(first: Member, second: Member) -> tuple[int, float, float]:
    """(first's axis across which two squarely placed pieces touch, the two sides there), mm.

    The longer side comes first.
    """
    low, high = hull([first.placement.local_point(p) for p in second.world_corners()])
    spans = [
        max(0.0, min(b, s) - max(a, 0.0)) for a, b, s in zip(low, high, first.size, strict=True)
    ]
    away = [max(a - s, -b) for a, b, s in zip(low, high, first.size, strict=True)]
    axis = max(range(3), key=lambda i: away[i])
    long, short = sorted((spans[i] for i in range(3) if i != axis), reverse=True)
    return axis, long, short


def _edge(joint: EdgeGlue) -> GlueLine:
    axis, long, short = contact(joint.first, joint.second)
    back, _, _ = contact(joint.second, joint.first)
    return GlueLine(
        name=joint.name,
        kind="section edge",
        members=(joint.first.name, joint.second.name),
        gravity=gravity_of(joint),
        area=long * short,
        parts={"edge": long * short},
        pressed=long * short,
        closed_by=CLAMPS,
        length=long,
        width=short,
        cover=min(joint.first.size[axis], joint.second.size[back]),
    )


# --- tenons


@dataclass(frozen=True, slots=True)
class _Cheek:
    """One cheek in (x across the width, z from the shoulder): rectangles that don't overlap."""

    rects: tuple[Rect, ...]

    @property
    def area(self) -> float:
        return math.fsum((c - a) * (d - b) for a, b, c, d in self.rects)

    def holes(self, places: list[tuple[float, float]], diameter: float) -> float:
        return math.fsum(
            circle_rectangle_area(diameter, at, rect) for at in places for rect in self.rects
        )


def tenon_parts(joint: MortiseTenon) -> dict[str, float]:
    """Areas of a tenon's glue faces, mm²: cheeks, edges, haunch, less the peg holes.

    A tip that is cut for another tenon, saw kerfs, and what stands out at the far face have no
    mortise wall to hold to.
    """
    d = joint.draw
    places = [(x, back - d.offset) for x, back in joint.peg_points] if d else []
    cheeks = edges = holes = 0.0
    inset, radius = _corners(joint)
    rounded = 0.0
    for x0, x1, y0, y1 in _tongues(joint):
        for cheek in _cheeks(joint, (x0 + inset, x1 - inset, y0, y1)):
            cheeks += cheek.area
            holes += cheek.holes(places, d.diameter) if d else 0.0
        whole = _edges(joint, (x0, x1, y0, y1))
        flat = 1.0 - 2.0 * inset / (y1 - y0)
        edges += whole * flat
        # Two quarter circles along each edge.
        rounded += math.pi * radius * whole / (y1 - y0)
    found = {"cheeks": cheeks, "edges": edges}
    if rounded:
        found["rounded corners"] = rounded
    if (stub := joint.haunch) is not None:
        width = min(stub.width, _shoulder(joint, stub.edge))
        side = width * stub.length
        found["haunch"] = side if stub.sloped else 2.0 * side
        if stub.sloped:
            # The stub covers the tenon's edge there, and its own slope stands off the floor.
            found["edges"] -= joint.thickness * stub.length
    if holes:
        found["peg holes"] = -holes
    return found


def _tongues(joint: MortiseTenon) -> list[Section]:
    """Every single tenon's section, one with a socket of its own kind included."""
    return [(t.x0, t.x1, t.y0, t.y1) for t in joint.tenon.tongues()]


def _corners(joint: MortiseTenon) -> tuple[float, float]:
    """(what a corner takes of each wall it joins, radius of a corner that is glued too), mm."""
    if (rounding := joint.tenon.rounding) is not None:
        return rounding.radius, rounding.radius
    relief = corners_of(joint)
    return (relief.of_wall, 0.0) if relief is not None and relief.kind == "relieved" else (0.0, 0.0)


def _shoulder(joint: MortiseTenon, edge: Face) -> float:
    s = joint.shoulders
    return s.face_edge if edge is Face.FACE_EDGE else s.back_edge


def _inside(joint: MortiseTenon) -> float:
    """How much of the tenon's length lies in the mortise, mm."""
    return min(joint.length, joint.receiver.extent(joint.receiver_face))


def _flanks(joint: MortiseTenon, tongue: Section) -> Flanks | None:
    """The flanks of a dovetailed tongue."""
    flanks = joint.tenon.flanks if isinstance(joint.tenon, ShapedEnd) else None
    if flanks is None:
        return None
    low, high = sorted((flanks.narrow, flanks.wide))
    return flanks if tongue[2] >= low - 1e-6 and tongue[3] <= high + 1e-6 else None


def _cheeks(joint: MortiseTenon, tongue: Section) -> list[_Cheek]:
    x0, x1, _, _ = tongue
    deep, tip = _inside(joint), joint.tip
    if isinstance(tip, MitredTip):
        return [_Cheek(((x0, 0.0, x1, max(0.0, deep - cut)),)) for cut in (tip.cut_back, tip.lead)]
    if isinstance(tip, NotchedTip):
        start = max(0.0, joint.length - tip.length)
        low, high = (x0 + tip.width, x1) if tip.edge is Face.FACE_EDGE else (x0, x1 - tip.width)
        rects: list[Rect] = [(x0, 0.0, x1, min(start, deep))]
        if high > low and deep > start:
            rects.append((low, start, high, deep))
        return [_Cheek(tuple(rects))] * 2
    # Kerfs, and the wedges in them, part each cheek near its end.
    kerfs = joint.tenon.kerfs if isinstance(joint.tenon, ShapedEnd) else ()
    start = min([deep, *(joint.length - k.length for k in kerfs)])
    parts: list[Rect] = [(x0, 0.0, x1, start)]
    at = x0
    for k in sorted(kerfs, key=lambda k: k.at):
        parts.append((at, start, k.at - k.width / 2, deep))
        at = k.at + k.width / 2
    parts.append((at, start, x1, deep))
    whole = _Cheek(tuple(r for r in parts if r[2] > r[0] and r[3] > r[1]))
    # A dovetail's outer cheek lies in the open.
    return [whole] if _flanks(joint, tongue) else [whole] * 2


def _edges(joint: MortiseTenon, tongue: Section) -> float:
    x0, x1, y0, y1 = tongue
    thick, deep, tip = y1 - y0, _inside(joint), joint.tip
    if isinstance(tip, MitredTip):
        return 2.0 * thick * max(0.0, deep - (tip.cut_back + tip.lead) / 2.0)
    if isinstance(tip, NotchedTip):
        # The notch's own wall looks at the other tenon, not at the mortise.
        other = deep if tip.width < x1 - x0 else max(0.0, joint.length - tip.length)
        return thick * (max(0.0, joint.length - tip.length) + other)
    if (flanks := _flanks(joint, tongue)) is not None:
        return 2.0 * deep * math.hypot(thick, flanks.inset)
    return 2.0 * thick * deep


def _tenon(joint: MortiseTenon, glue: Glue) -> GlueLine:
    rail = joint.entering
    tenons = math.fsum((x1 - x0) * (y1 - y0) for x0, x1, y0, y1 in _tongues(joint))
    shoulder = rail.width * rail.thickness - tenons
    if joint.haunch is not None and not joint.haunch.sloped:
        width = min(joint.haunch.width, _shoulder(joint, joint.haunch.edge))
        shoulder -= width * joint.thickness
    parts = tenon_parts(joint)
    drawn = joint.draw is not None and joint.draw.count > 0
    closed_by, note = (
        CLAMPS,
        (
            "the fit holds the cheeks; the clamp only draws the shoulder home, so its force is an "
            "upper figure"
        ),
    )
    if "tusk" in joint.kind:
        closed_by, note = DRY, "stays dry: the wedge draws it shut, and knocked out it comes apart"
    elif joint.bolted:
        closed_by, note = DRY, "stays dry: the bolt draws it shut, and drawn it comes apart"
    elif drawn and glue.drawbored == "dry":
        closed_by, note = DRY, "no glue and no clamps: the pegs pull it shut and hold it"
    elif drawn:
        closed_by, note = PEGS, "no clamps: the pegs pull the shoulder shut"
    elif joint.wedges():
        closed_by, note = WEDGES, "one clamp until the wedges are driven, then none"
    return line_of(
        joint,
        parts=parts,
        pressed=max(0.0, shoulder),
        closed_by=closed_by,
        length=rail.width,
        width=rail.thickness,
        cover=joint.receiver.extent(joint.receiver_face),
        note=note,
    )


def _round(joint: TaperedRound) -> GlueLine:
    deep = min(joint.length, joint.receiver.extent(joint.receiver_face))
    small = joint.diameter - joint.taper * deep
    slant = math.hypot(deep, (joint.diameter - small) / 2.0)
    area = math.pi * (joint.diameter + small) / 2.0 * slant
    return line_of(
        joint,
        parts={"cone": area},
        pressed=0.0,
        closed_by=DRIVEN,
        length=joint.diameter,
        width=joint.diameter,
        cover=joint.receiver.extent(joint.receiver_face),
        note="no clamps: driven home, the taper holds",
    )


# --- laps and housings


def _lap(joint: Lap) -> GlueLine:
    sides = [b - a for a, b in (joint.meeting.span(i) for i in in_face(joint.cut_face))]
    long, short = max(sides), min(sides)
    note = "the two grains cross: both move, so keep it small or dry"
    if joint.dry:
        note = "no glue: its pegs or bolts hold it, and both pieces move"
    elif joint.meeting.grain == 0:
        note = ""
    return line_of(
        joint,
        parts={"floor": long * short},
        pressed=long * short,
        closed_by=DRY if joint.dry else CLAMPS,
        length=long,
        width=short,
        cover=min(joint.depth, joint.overlap - joint.depth) or joint.depth,
        note=note,
    )


def _housed(joint: Housed) -> GlueLine:
    low, high = joint.tongue_run
    moves = isinstance(joint, PanelGroove) or (
        isinstance(joint, TongueGroove) and joint.open_by > 0.0
    )
    wall = (high - low) * joint.height * math.hypot(1.0, joint.slope)
    return line_of(
        joint,
        parts={"walls": 2.0 * wall},
        pressed=(high - low) * joint.thickness,
        closed_by=DRY if moves else CLAMPS,
        length=high - low,
        width=joint.thickness,
        cover=joint.receiver.extent(joint.cut_face),
        note="no glue: the boards move"
        if moves
        else "across the grain glue a hand's width only, or none, so that the wide piece can move",
    )
