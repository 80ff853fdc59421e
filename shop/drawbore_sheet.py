"""The drawbore sheet: peg stock, both holes' places from the shoulder, offset, order, bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from treenail.checks.drawbore import usual_draw
from treenail.checks.gauge import INCH, PegHole, peg_holes
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon
from treenail.joints.tenon_variants.pegs import DENSE, SMALL_PEG
from treenail.shop.allowances import EXTRA_PEG
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.lengths import format_length

if TYPE_CHECKING:
    from treenail.checks.assembly.plan import AssemblyPlan
    from treenail.generators.bench import Bench
    from treenail.timber.species import Species

__all__ = ["DrawboreRow", "DrawboreSheet", "HolePair", "PegBend", "drawbore_sheet", "peg_bend"]

#: What a peg is cut longer for the hammer, and trimmed afterwards, mm (our own choice).
EXTRA_HEAD = INCH / 2
#: Spare pegs, as a share of those needed (our own choice): some split, some run out.
SPARE = 0.1
_SAME = 1e-6

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
        edge: from the tenon's edge on the face edge's side, mm.
        post, tenon: from the shoulder to each hole's centre, mm.
    """

    peg: int
    edge: float
    post: float
    tenon: float

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

    @property
    def pegs(self) -> int:
        """Pegs in all of these joints."""
        return len(self.joints) * len(self.holes)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawboreSheet:
    """All drawbored joints of a bench.

    Attributes:
        bench, units: its name, and ``in`` or ``mm``.
        rows: alike joints together.
        marking: how both holes are marked and bored, in order.
        order: joints in the order in which their pegs are driven, each with the step.
        driving: how a peg is driven, in order.
        source: of the wood's strength.
    """

    bench: str
    units: str
    rows: tuple[DrawboreRow, ...]
    marking: tuple[str, ...]
    order: tuple[str, ...]
    driving: tuple[str, ...]
    source: str

    @property
    def pegs(self) -> int:
        """Pegs in the bench."""
        return sum(r.pegs for r in self.rows)

    @property
    def to_make(self) -> int:
        """Pegs to make, spare ones included."""
        return math.ceil(self.pegs * (1.0 + SPARE) - _SAME)

    def as_dict(self) -> dict[str, Any]:
        """JSON data; lengths in mm."""
        return {
            "bench": self.bench,
            "units": self.units,
            "pegs": self.pegs,
            "pegs_to_make": self.to_make,
            "joints": [_row_data(r) for r in self.rows],
            "marking": list(self.marking),
            "drive_order": list(self.order),
            "driving": list(self.driving),
            "source": self.source,
        }

    def table_rows(self) -> list[dict[str, str | float | int]]:
        """One row a peg, for a table; lengths in mm."""
        return [
            {
                "joint": joint,
                "peg": h.peg,
                "drive face": face,
                "wood": r.species,
                "bit mm": round(r.diameter, 3),
                "post hole from shoulder mm": round(h.post, 3),
                "tenon hole from shoulder mm": round(h.tenon, 3),
                "draw mm": round(h.draw, 3),
                "from tenon edge mm": round(h.edge, 3),
                "post hole depth mm": round(r.depth, 3),
                "through": "yes" if r.through else "no",
                "peg length mm": round(r.length, 3),
                "cut to mm": round(r.cut_length, 3),
                "taper mm": round(r.taper, 3),
                "tip mm": round(r.tip, 3),
            }
            for r in self.rows
            for joint, face in zip(r.joints, r.drive_faces, strict=True)
            for h in r.holes
        ]


def _row_data(r: DrawboreRow) -> dict[str, Any]:
    return {
        "joints": list(r.joints),
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


def drawbore_sheet(bench: Bench, plan: AssemblyPlan | None = None) -> DrawboreSheet:
    """The sheet of a bench; ``plan`` is its plan of assembly if that is at hand already."""
    groups: dict[tuple[Any, ...], list[DrawboreRow]] = {}
    sources: dict[str, None] = {}
    tenons = [j for j in bench.joints if isinstance(j, MortiseTenon) and j.draw and j.draw.count]
    for joint in tenons:
        row = _row(bench, joint)
        if row is None:
            continue
        assert joint.draw is not None
        sources[joint.draw.species.source_mechanical] = None
        key = (
            *(row.species, row.diameter, row.length, row.taper, row.tip, row.depth, row.through),
            row.reason,
            tuple((h.edge, h.post, h.tenon) for h in row.holes),
        )
        groups.setdefault(key, []).append(row)
    rows = tuple(_together(found) for found in groups.values())
    return DrawboreSheet(
        bench=bench.name,
        units=bench.units,
        rows=rows,
        marking=_marking(bench, rows),
        order=_order(bench, plan) if rows else (),
        driving=_DRIVING if rows else (),
        source="; ".join(sources),
    )


def _together(rows: Sequence[DrawboreRow]) -> DrawboreRow:
    return replace(
        rows[0],
        joints=tuple(j for r in rows for j in r.joints),
        drive_faces=tuple(f for r in rows for f in r.drive_faces),
    )


def _row(bench: Bench, joint: MortiseTenon) -> DrawboreRow | None:
    d, holes, pegs = joint.draw, peg_holes(bench, joint), joint.pegs()
    if d is None or not holes or not pegs:
        return None
    pairs = tuple(_pair(joint, i, h) for i, h in enumerate(holes, start=1))
    depth = holes[0].post.depth
    length = pegs[0].length
    draw = max(p.draw for p in pairs)
    cheek = joint.mortise.width
    bends = tuple(
        peg_bend(d.species, d.diameter, max(draw, 0.0), span, support)
        for support, span in _spans(depth, cheek)
    )
    usual = usual_draw(joint)
    return DrawboreRow(
        joints=(joint.name,),
        drive_faces=(f"{joint.receiver.name}, {joint.drive_face}",),
        species=d.species.name,
        diameter=d.diameter,
        length=length,
        cut_length=snap(length + EXTRA_HEAD + (d.tip if d.through else 0.0)),
        taper=d.tip,
        tip=d.tip_diameter if d.tip > 0.0 else d.diameter,
        stock=snap(d.diameter + EXTRA_PEG),
        holes=pairs,
        depth=depth,
        through=d.through,
        usual=usual,
        reason=_reason(bench, joint, d, usual, draw),
        bends=bends,
    )


def _spans(depth: float, cheek: float) -> tuple[tuple[Support, float], ...]:
    return (("free", depth), ("built in", cheek))


def _pair(joint: MortiseTenon, number: int, hole: PegHole) -> HolePair:
    return HolePair(
        peg=number,
        edge=snap(hole.x - joint.section[0]),
        post=snap(hole.setback),
        tenon=snap(hole.tenon_setback),
    )


def _say(bench: Bench, mm: float) -> str:
    return format_length(mm, unit="in" if bench.units == "in" else "mm", denominator=64)


def _reason(bench: Bench, joint: MortiseTenon, d: DrawBore, usual: float, draw: float) -> str:
    wood = joint.entering.species
    if d.diameter < SMALL_PEG - _SAME:
        why = f"pegs of {_say(bench, d.diameter)} are small"
    elif wood.g_12 >= DENSE:
        why = f"{wood.name.lower()} is dense (specific gravity {wood.g_12:.2f})"
    elif wood.group == "softwood":
        why = f"{wood.name.lower()} is a softwood and gives way"
    else:
        why = f"a {_say(bench, d.diameter)} peg in {wood.name.lower()}"
    text = f"{_say(bench, usual)} is usual: {why} (common practice)"
    if abs(draw - usual) > _SAME:
        text += f"; this bench is drawn {_say(bench, draw)}"
    return text


def _marking(bench: Bench, rows: Sequence[DrawboreRow]) -> tuple[str, ...]:
    if not rows:
        return ()
    draws = sorted({h.draw for r in rows for h in r.holes})
    by = " or ".join(_say(bench, x) for x in draws)
    bits = ", ".join(_say(bench, x) for x in sorted({r.diameter for r in rows}))
    return (
        (
            f"Bore the post's holes ({bits} bit) from the drive face, at their distance from the "
            "mortised face; a scrap that fills the mortise keeps its walls whole."
        ),
        "Number post and tenon. Put the tenon home dry, the shoulder tight all round, clamped.",
        (
            "Through each of the post's holes press the point of the same bit against the tenon: "
            "it marks the hole's centre. Don't turn it under power."
        ),
        (
            f"Take the tenon out. Prick a new mark {by} nearer the shoulder, square to it: away "
            "from the tenon's end. Check both figures from the shoulder."
        ),
        "Bore the tenon's holes at the new marks, square through, on a scrap.",
        "Look through the closed joint: a crescent of tenon shows on the side of its end.",
    )


_DRIVING = (
    (
        "Pegs from straight-grained wood, split rather than sawn, drier than the joint; shave "
        "them to the hole of a scrap, taper the far end, break the edges of the head."
    ),
    "Glue in the joint or not, as you like: the pegs hold either way. Wax or soap on the peg.",
    (
        "Start every peg of the joint by hand, then drive them by turns, a few blows each, until "
        "the shoulder is tight; a peg that suddenly goes easily has broken: drive it out, look."
    ),
    (
        "Stop when the tip is where it belongs: short of a stopped hole's bottom, or through by "
        "its taper. Trim both ends the next day. Glasses on: pegs may split and fly."
    ),
)


def _order(bench: Bench, plan: AssemblyPlan | None) -> tuple[str, ...]:
    """Joints in the order of the plan of assembly."""
    from treenail.checks.assembly.plan import plan_assembly

    of = {peg.name: j.name for j in bench.joints for peg in j.pegs()}
    found: dict[str, str] = {}
    for step in (plan or plan_assembly(bench)).steps:
        for driven in step.driven:
            joint = of.get(driven.name)
            if joint is not None:
                found.setdefault(joint, f"{joint}: in step {step.number} of the assembly")
    rest = (j for j in dict.fromkeys(of.values()) if j not in found)
    return (*found.values(), *(f"{j}: when the joint is closed" for j in rest))
