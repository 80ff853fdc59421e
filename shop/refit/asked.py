"""What can be measured on each kind of joint and member once it is cut, and what was asked for.

The names say what a person measures: a mortise's width, how far from the shoulder a peg's hole
was bored. Refitting a bench to a size makes the same question give that size as its answer.
"""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.base import Joint
from treenail.joints.board_groove import BoardGroove
from treenail.joints.end_board import EndBoard
from treenail.joints.housed import Housed
from treenail.joints.laps import Lap
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.seats import SeatRebate
from treenail.joints.skew import SkewLetIn
from treenail.joints.sliding import Sliding
from treenail.joints.tenon_variants.multiple import MultipleTenon
from treenail.joints.tenon_variants.slab import SlabTenons
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.joints.trenches import FLUSH, Trench, in_face
from treenail.shop.allowances import Allowances
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.timber.member import Member

#: By name, mm.
Sizes: TypeAlias = dict[str, float]

#: Pieces that are let in or laid by their thickness alone; of all others the section counts.
BOARDS = (
    "top section",
    "shelf board",
    "panel",
    "panel board",
    "well bottom",
    "well end",
    "well rail",
    "top ledge",
    "gap strip",
    "breadboard end",
    "end cap",
    "board jack",
    "chop",
    "vise jaw",
    "vise block",
)

#: What the names in a form mean, where they don't say it themselves.
MEANING = {
    "far_length": "of the flared mortise, where the tenon comes out",
    "between_mortises": "the wood between two mortises (or a mortise and a socket)",
    "haunch_depth": "of the haunch's socket, beside the mortise",
    "haunch_length": "of the haunch's socket, from the mortise's end",
    "socket_depth": "of a dovetail's socket, in from the slab's edge",
    "socket_mouth": "of a dovetail's socket, at the slab's edge; of a round one, its diameter",
    "wedge_hole_at": "from the tenon's shoulder to its wedge's hole",
    "wedge_hole_length": "along the tenon, at the face where the wedge goes in",
    "wedge_hole_width": "across the tenon",
    "notch_length": "how far a notch runs in from the piece's side",
    "nut_setback": "from the rail's shoulder to the middle of the barrel nut's hole",
    "peg_N_setback": "from the mortised face, along the tenon, to the middle of the peg's hole",
    "peg_N_from_end": "from the mortise's end, at the rail's face edge, to that middle",
    "ply_thickness": "of one board of a lamination, planed, before the glue-up",
    "ply_width": "of that board",
}


def stacked(member: Member) -> float:
    """A lamination's size along the stack of its plies, mm."""
    return member.thickness if member.ply_axis == "thickness" else member.width


def member_sizes(member: Member, allowances: Allowances) -> Sizes:
    """What can be measured on a piece before it is joined, as asked for, mm."""
    sizes = {"thickness": member.thickness}
    if member.role not in BOARDS:
        sizes = {"width": member.width, **sizes}
    if member.plies > 1:
        across = member.width if member.ply_axis == "thickness" else member.thickness
        sizes["ply_thickness"] = stacked(member) / member.plies + allowances.ply
        sizes["ply_width"] = across + allowances.width / 2
    return sizes


def cut_first(joint: Joint) -> Member:
    """The member whose cut is measured, and which the other one follows."""
    return joint.post if isinstance(joint, BarrelBolt) else joint.members[0]


@singledispatch
def joint_sizes(joint: Joint) -> Sizes:  # noqa: ARG001  # other kinds of joint look at it
    """What can be measured on a joint's first cut, as asked for, mm; empty for other kinds."""
    return {}


def pegs_asked(joint: MortiseTenon | AngledTenon) -> Sizes:
    """Where each peg's hole is bored in the receiver, along the tenon from its mouth, mm."""
    start = joint.section[0] - joint.fit.edge.mid / 2
    found = {}
    for i, (x, setback) in enumerate(joint.peg_points, start=1):
        found[f"peg_{i}_setback"] = setback
        found[f"peg_{i}_from_end"] = snap(x - start)
    return found


@joint_sizes.register(MortiseTenon)
def _(joint: MortiseTenon) -> Sizes:
    found = {"mortise_width": joint.mortise.width, "mortise_length": joint.mortise.length}
    if not joint.through:
        found["mortise_depth"] = joint.mortise.depth
    if joint.haunch is not None:
        found["haunch_depth"] = snap(joint.haunch.length + joint.fit.bottom.mid)
        if not joint.haunch.sloped:
            found["haunch_length"] = joint.haunch.width
    return found | pegs_asked(joint)


def play_between(joint: MultipleTenon) -> float:
    """Clearance in each mortise in the direction in which the tenons are divided, mm."""
    return joint.fit.cheek.mid if joint.across == "thickness" else joint.fit.edge.mid


@joint_sizes.register(MultipleTenon)
def _(joint: MultipleTenon) -> Sizes:
    plain = joint_sizes.dispatch(MortiseTenon)(joint)
    return plain | {"between_mortises": snap(joint.gap - play_between(joint))}


@joint_sizes.register(WedgedTenon)
def _(joint: WedgedTenon) -> Sizes:
    plain = joint_sizes.dispatch(MortiseTenon)(joint)
    if joint.flare:
        plain["far_length"] = snap(joint.mortise.length + 2 * joint.flare)
    return plain


@joint_sizes.register(TuskTenon)
def _(joint: TuskTenon) -> Sizes:
    hole = joint.wedge_hole
    return joint_sizes.dispatch(MortiseTenon)(joint) | {
        "wedge_hole_at": snap(joint.mortise_depth - joint.relief),
        "wedge_hole_length": hole.length,
        "wedge_hole_width": hole.width,
    }


@joint_sizes.register(SlabTenons)
def _(joint: SlabTenons) -> Sizes:
    return joint_sizes.dispatch(MortiseTenon)(joint) | {
        "between_mortises": snap(joint.gap - joint.fit.cheek.mid),
        "socket_depth": joint.socket.width,
        "socket_mouth": joint.socket.mouth,
    }


@joint_sizes.register(AngledTenon)
def _(joint: AngledTenon) -> Sizes:
    m = joint.mortise
    found = {"mortise_width": m.width, "mortise_length": m.length}
    if not joint.through:
        found["mortise_depth"] = m.depth
    if joint.wedged is not None and joint.wedged.flare:
        found["far_length"] = snap(m.length + 2 * joint.wedged.flare)
    return found | pegs_asked(joint)


@joint_sizes.register(TaperedRound)
def _(joint: TaperedRound) -> Sizes:
    return {"socket_mouth": joint.socket.mouth}


def word(joint: Housed) -> str:
    """``housing``, ``groove``, ``socket`` or ``rebate``: the trench in one word."""
    return joint.trench_name.split()[-1]


@joint_sizes.register(Housed)
def _(joint: Housed) -> Sizes:
    own = joint.cuts()[joint.receiver.name][0]
    assert isinstance(own, Trench)
    found = {f"{word(joint)}_depth": own.depth}
    if joint.walls and joint.let_in_size != "length":
        found = {f"{word(joint)}_width": own.width, **found}
    return found


@joint_sizes.register(BoardGroove)
def _(joint: BoardGroove) -> Sizes:
    wide = joint.boards[0].thickness + joint.fit.cheek.mid
    return {"groove_width": snap(wide), "groove_depth": joint.depth}


@joint_sizes.register(SeatRebate)
def _(joint: SeatRebate) -> Sizes:
    return {"rebate_width": snap(joint.seat + joint.end_room), "rebate_depth": joint.depth}


@joint_sizes.register(Lap)
def _(joint: Lap) -> Sizes:
    found = {}
    wide, walls = joint.mouth()
    if walls:
        found["notch_width"] = wide
    found["notch_depth"] = snap(joint.depth)
    long, ends = joint.mouth(ends=True)
    if ends == 1 and joint.meeting.grain != 0:
        found["notch_length"] = long
    return found


@joint_sizes.register(SkewLetIn)
def _(joint: SkewLetIn) -> Sizes:
    return {"notch_width": joint.notch.width, "notch_depth": joint.depth}


@joint_sizes.register(EndBoard)
def _(joint: EndBoard) -> Sizes:
    found = {
        "groove_width": snap(joint.tongue + joint.fit.cheek.mid),
        "groove_depth": snap(joint.stub + joint.fit.bottom.mid),
    }
    for i, pocket in enumerate(joint.mortises, start=1):
        found["mortise_depth"] = pocket.depth
        found[f"mortise_{i}_length"] = pocket.length
    if joint.draw is not None:
        for i, spot in enumerate(joint.spots, start=1):
            found[f"peg_{i}_setback"] = joint.draw.setback_of(i - 1)
            a, _ = tenon_at(joint, spot.at)
            found[f"peg_{i}_from_end"] = snap(spot.at - a + joint.room)
    return found


def tenon_at(joint: EndBoard, at: float) -> tuple[float, float]:
    """The tenon of a breadboard end in which a peg stands, mm."""
    return next((a, b) for a, b in joint.tenons if a < at < b)


def stub_of(bolt: BarrelBolt) -> float:
    """How far the rail's end stands in the post (its stub tenon or tongue), mm."""
    level = min(along_rail(bolt))
    return snap(max(-level, 0.0))


def along_rail(bolt: BarrelBolt) -> tuple[float, float]:
    """How far beyond the rail's end the post begins and ends, mm."""
    stop = snap(bolt.grip + bolt.sunk)
    return (snap(stop - bolt.post.extent(bolt.entry_face)), stop)


@joint_sizes.register(BarrelBolt)
def _(joint: BarrelBolt) -> Sizes:
    found = {"nut_setback": snap(joint.setback - stub_of(joint))}
    if joint.sunk > FLUSH:
        found["counterbore_depth"] = joint.sunk
    return found


def sliding_sizes(joint: Sliding) -> dict[str, str]:
    """Which of the sliding member's sizes goes with the mortise's length and its width."""
    found = {}
    for what, axis in zip(("mortise_length", "mortise_width"), in_face(joint.face), strict=True):
        own = next(i for i in (1, 2) if joint.meeting.axis(i) == axis)
        found[what] = ("length", "width", "thickness")[own]
    return found


@joint_sizes.register(Sliding)
def _(joint: Sliding) -> Sizes:
    first, second = in_face(joint.face)
    spans = joint.spans
    return {
        "mortise_length": snap(spans[first][1] - spans[first][0]),
        "mortise_width": snap(spans[second][1] - spans[second][0]),
    }


__all__ = ["BOARDS", "MEANING", "Sizes", "cut_first", "joint_sizes", "member_sizes", "stacked"]
