"""The drawbore sheet: peg stock, both holes' places from the shoulder, offset, order, bend.

Pegs that draw nothing, and pins, stand on it too: all are made at one time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from treenail.checks.gauge import INCH, PegHole, peg_holes
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.cuts import Bore, Slot
from treenail.joints.drawbored import Drawbored
from treenail.joints.end_board import EndBoard
from treenail.joints.held_down import HeldDown
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.tenon_variants.pegs import DENSE, SMALL_PEG, usual_draw
from treenail.joints.treenails import Treenails
from treenail.shop.allowances import EXTRA_PEG
from treenail.shop.peg_rows import (
    DrawboreRow,
    HolePair,
    PegBend,
    StraightRow,
    peg_bend,
    row_data,
)
from treenail.timber.frames import dot, snap, sub
from treenail.timber.lengths import format_length
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.checks.assembly.plan import AssemblyPlan
    from treenail.generators.bench import Bench
    from treenail.timber.species import Species

__all__ = [
    "DrawboreRow",
    "DrawboreSheet",
    "HolePair",
    "PegBend",
    "StraightRow",
    "drawbore_sheet",
    "peg_bend",
]

#: What a peg is cut longer for the hammer, and trimmed afterwards, mm (our own choice).
EXTRA_HEAD = INCH / 2
#: Spare pegs, as a share of those needed (our own choice): some split, some run out.
SPARE = 0.1
_SAME = 1e-6
AnyRow = TypeVar("AnyRow", DrawboreRow, StraightRow)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawboreSheet:
    """All pegs of a bench: those that draw their joint, and those that only hold.

    Attributes:
        bench, units: its name, and ``in`` or ``mm``.
        rows: drawbored joints, alike ones together.
        straight: the other pegs, and pins.
        marking: how both holes are marked and bored, in order.
        order: joints in the order in which their pegs are driven, each with the step.
        driving: how a peg is driven, in order.
        source: of the wood's strength.
    """

    bench: str
    units: str
    rows: tuple[DrawboreRow, ...]
    straight: tuple[StraightRow, ...]
    marking: tuple[str, ...]
    order: tuple[str, ...]
    driving: tuple[str, ...]
    source: str

    @property
    def pegs(self) -> int:
        """Pegs in the bench."""
        return sum(r.pegs for r in self.rows) + sum(r.pegs for r in self.straight)

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
            "joints": [row_data(r) for r in self.rows],
            "straight": [r.as_dict() for r in self.straight],
            "marking": list(self.marking),
            "drive_order": list(self.order),
            "driving": list(self.driving),
            "source": self.source,
        }

    def table_rows(self) -> list[dict[str, str | float | int]]:
        """One row a peg, for a table; lengths in mm, empty where there is no such thing."""

        def ends(r: DrawboreRow | StraightRow) -> dict[str, str | float | int]:
            return {
                "peg length mm": round(r.length, 3),
                "cut to mm": round(r.cut_length, 3),
                "taper mm": round(r.taper, 3),
                "tip mm": round(r.tip, 3),
            }

        drawn: list[dict[str, str | float | int]] = [
            {
                "joint": joint,
                "peg": h.peg,
                "drive face": face,
                "wood": r.species,
                "bit mm": round(r.diameter, 3),
                "post hole from shoulder mm": round(h.post, 3),
                "tenon hole from shoulder mm": round(h.tenon, 3),
                "draw mm": round(h.draw, 3),
                "slot mm": round(h.slot, 3),
                "from tenon edge mm": round(h.edge, 3),
                "post hole depth mm": round(r.depth, 3),
                "through": "yes" if r.through else "no",
                **ends(r),
            }
            for r in self.rows
            for joint, face in zip(r.joints, r.drive_faces, strict=True)
            for h in r.holes
        ]
        blank = ("post hole from shoulder mm", "tenon hole from shoulder mm", "draw mm", "slot mm")
        return drawn + [
            {
                "joint": joint,
                "peg": number,
                "drive face": face,
                "wood": r.species,
                "bit mm": round(r.diameter, 3),
                **dict.fromkeys((*blank, "from tenon edge mm"), ""),
                "post hole depth mm": round(r.depth, 3),
                "through": "no",
                **ends(r),
            }
            for r in self.straight
            for joint, face in zip(r.joints, r.drive_faces, strict=True)
            for number in range(1, r.count + 1)
        ]


def drawbore_sheet(bench: Bench, plan: AssemblyPlan | None = None) -> DrawboreSheet:
    """The sheet of a bench; ``plan`` is its plan of assembly if that is at hand already."""
    drawn: dict[tuple[Any, ...], list[DrawboreRow]] = {}
    straight: dict[tuple[Any, ...], list[StraightRow]] = {}
    sources: dict[str, None] = {}
    for joint in bench.joints:
        if not joint.pegs():
            continue
        if isinstance(joint, Treenails | HeldDown):
            plain = _straight(joint)
            straight.setdefault(_alike(plain), []).append(plain)
            continue
        row = _tenon_row(bench, joint) if isinstance(joint, MortiseTenon | AngledTenon) else None
        row = _end_row(bench, joint) if isinstance(joint, EndBoard) else row
        if row is not None:
            assert isinstance(joint, Drawbored | EndBoard)
            assert joint.draw is not None
            sources[joint.draw.species.source_mechanical] = None
            drawn.setdefault(_alike(row), []).append(row)
    rows = tuple(_together(found) for found in drawn.values())
    plain_rows = tuple(_together(found) for found in straight.values())
    return DrawboreSheet(
        bench=bench.name,
        units=bench.units,
        rows=rows,
        straight=plain_rows,
        marking=_marking(bench, rows),
        order=_order(bench, plan) if rows or plain_rows else (),
        driving=(
            *(_DRIVING if rows else ()),
            *(
                words
                for what, words in _STRAIGHT.items()
                if any(r.what == what for r in plain_rows)
            ),
        ),
        source="; ".join(sources),
    )


def _alike(row: DrawboreRow | StraightRow) -> tuple[Any, ...]:
    """What makes two joints' rows one."""
    lone = replace(row, joints=(), drive_faces=())
    return (type(row), *(getattr(lone, name) for name in lone.__slots__))


def _together(rows: Sequence[AnyRow]) -> AnyRow:
    return replace(
        rows[0],
        joints=tuple(j for r in rows for j in r.joints),
        drive_faces=tuple(f for r in rows for f in r.drive_faces),
    )


def _tenon_row(bench: Bench, joint: MortiseTenon | AngledTenon) -> DrawboreRow | None:
    holes = peg_holes(bench, joint)
    pairs = tuple(_pair(joint, i, h) for i, h in enumerate(holes, start=1))
    if not pairs:
        return None
    return _row(
        bench,
        joint,
        pairs,
        depth=holes[0].post.depth,
        cheek=joint.mortise.width,
        where=(joint.receiver.name, joint.entering.species),
    )


def _end_row(bench: Bench, joint: EndBoard) -> DrawboreRow | None:
    """A breadboard end's, measured on its cuts like a tenon's."""
    home, across = joint.insertion(), joint.across
    mouth = joint.point(0.0, 0.0)

    def found(names: Sequence[str]) -> list[tuple[float, float, Bore | Slot]]:
        own = [
            (dot(p, across), dot(p, home), cut)
            for name in names
            for cut in bench.cuts[name]
            if cut.joint == joint.name and isinstance(cut, Bore | Slot)
            for p in (sub(bench.by_name[name].placement.point(cut.frame.origin), mouth),)
        ]
        return sorted(own, key=lambda hole: hole[0])

    posts, tenons = found([joint.board.name]), found([m.name for m in joint.sections])
    pairs = tuple(
        HolePair(
            peg=i,
            edge=snap(at),
            post=snap(post),
            tenon=snap(tenon),
            slot=snap(cut.centres) if isinstance(cut, Slot) else 0.0,
        )
        for i, ((at, post, _), (_, tenon, cut)) in enumerate(
            zip(posts, tenons, strict=False), start=1
        )
    )
    if not pairs:
        return None
    return _row(
        bench,
        joint,
        pairs,
        depth=posts[0][2].depth,
        cheek=joint.mortises[0].width,
        where=(joint.board.name, joint.first.species),
    )


def _row(
    bench: Bench,
    joint: Drawbored | EndBoard,
    pairs: tuple[HolePair, ...],
    *,
    depth: float,
    cheek: float,
    where: tuple[str, Species],
) -> DrawboreRow:
    """A row; ``where``: the member at which the pegs go in, and the tenon's wood."""
    d = joint.draw
    assert d is not None
    length = joint.pegs()[0].length
    draw = max(p.draw for p in pairs)
    bends = (
        peg_bend(d.species, d.diameter, max(draw, 0.0), depth, "free"),
        peg_bend(d.species, d.diameter, max(draw, 0.0), cheek, "built in"),
    )
    usual = usual_draw(where[1], d.diameter)
    return DrawboreRow(
        joints=(joint.name,),
        drive_faces=(f"{where[0]}, {joint.drive_face}{_aslant(joint)}",),
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
        reason=_reason(bench, where[1], d.diameter, usual, draw),
        bends=bends,
        on="end board" if isinstance(joint, EndBoard) else "tenon",
    )


def _straight(joint: Treenails | HeldDown) -> StraightRow:
    pegs = joint.pegs()
    pin = isinstance(joint, HeldDown)
    member = joint.member if isinstance(joint, HeldDown) else joint.entering
    face = joint.under if isinstance(joint, HeldDown) else joint.drive_face
    return StraightRow(
        joints=(joint.name,),
        drive_faces=(f"{member.name}, {face}",),
        what="pin" if pin else "peg",
        count=len(pegs),
        species=pegs[0].species.name,
        diameter=pegs[0].width,
        length=pegs[0].length,
        cut_length=snap(pegs[0].length + (0.0 if pin else EXTRA_HEAD)),
        taper=pegs[0].tip_length,
        tip=pegs[0].tip_diameter or pegs[0].width,
        stock=snap(pegs[0].width + EXTRA_PEG),
        depth=joint.depth if isinstance(joint, HeldDown) else joint.hole_depth,
        through=0.0 if isinstance(joint, HeldDown) else joint.thickness,
    )


def _aslant(joint: Drawbored | EndBoard) -> str:
    """How far the hole leans to its drive face, where it does."""
    slope = 0.0 if isinstance(joint, EndBoard) else joint.peg_slope
    return f", {math.degrees(math.atan(slope)):.2f}° off square" if slope else ""


def _pair(joint: Drawbored, number: int, hole: PegHole) -> HolePair:
    """One peg's holes; a leaning tenon's from its shoulder line on the cheek that is marked."""
    rise = 0.0
    if isinstance(joint, AngledTenon) and joint.draw is not None:
        _, _, y0, y1 = joint.section
        at_low = (joint.draw.drive_side is Face.FACE_SIDE) == (joint.end is Face.NEAR_END)
        plane, middle = joint.tenon.shoulder, joint.peg_level
        rise = plane.depth(hole.x, y0 if at_low else y1) - plane.depth(hole.x, middle)
    return HolePair(
        peg=number,
        edge=snap(hole.x - joint.section[0]),
        post=snap(hole.setback + rise),
        tenon=snap(hole.tenon_setback + rise),
    )


def _say(bench: Bench, mm: float) -> str:
    return format_length(mm, unit="in" if bench.units == "in" else "mm", denominator=64)


def _reason(bench: Bench, wood: Species, diameter: float, usual: float, draw: float) -> str:
    if diameter < SMALL_PEG - _SAME:
        why = f"pegs of {_say(bench, diameter)} are small"
    elif wood.g_12 >= DENSE:
        why = f"{wood.name.lower()} is dense (specific gravity {wood.g_12:.2f})"
    elif wood.group == "softwood":
        why = f"{wood.name.lower()} is a softwood and gives way"
    else:
        why = f"a {_say(bench, diameter)} peg in {wood.name.lower()}"
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
            f"Take the tenon out. Prick a new mark {by} nearer the shoulder, along the grain: away "
            "from the tenon's end. Check both figures from the shoulder."
        ),
        "Bore the tenon's holes at the new marks, square through, on a scrap.",
        "Look through the closed joint: a crescent of tenon shows on the side of its end.",
        *(_LEANING if any("off square" in f for r in rows for f in r.drive_faces) else ()),
        *(_END_BOARDS if any(r.on == "end board" for r in rows) else ()),
    )


_LEANING = (
    (
        "Tenons that lean: their pegs stand square to the cheeks, not to the post's faces. Bore "
        "along a bevel gauge or on a ramp of the angle that is given; figures are measured on the "
        "cheek along the tenon, from its own shoulder line. The pegs are cut off flush afterwards."
    ),
)

_END_BOARDS = (
    (
        "Breadboard ends: the board stands for the post. One hole is round and holds the board in "
        "its place; the others are slots, long by what their column says, half to each side."
    ),
)

_STRAIGHT = {
    "peg": (
        "Pegs without draw: clamp both members where they belong and bore through one into the "
        "other at once, to the depth given. A little glue on the peg; trim it flush the next day."
    ),
    "pin": (
        "Pins: bore the foot square and to depth, glue the pin in and let it stand; its taper "
        "goes into the hole of the bench below."
    ),
}

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
