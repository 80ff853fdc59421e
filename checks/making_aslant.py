"""How a shop makes what lies aslant: angled mortises and tenons, bevelled ends, skew notches.

Mortises are bored with the piece on a ramp, then pared; bevels are sawn with the mitre gauge and
the blade turned; shoulders are sawn by hand, to lines struck by bevel gauges. Common practice.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.checks.verdicts import (
    SAME,
    Answer,
    Made,
    Refusal,
    Say,
    Verdict,
    ask,
    off_table,
    too_deep,
)
from treenail.joints.angled_cuts import FLUSH, AngledMortise, AngledTenonEnd, EndBevel, SkewNotch
from treenail.timber.angles import saw_cut
from treenail.timber.frames import Vec, cross
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.joints.angled_cuts import EndPlane
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

__all__ = ["ASLANT", "aslant_size", "degrees", "end_settings", "make_aslant"]

ASLANT = (AngledMortise, AngledTenonEnd, EndBevel, SkewNotch)


def degrees(angle: float) -> str:
    """An angle in words, to the hundredth of a degree."""
    return f"{math.degrees(abs(angle)) + 0.0:.2f}°"


def aslant_size(cut: Cut, say: Say) -> str:
    """The sizes of such a cut in words."""
    if isinstance(cut, AngledMortise):
        deep = f"{say(cut.depth)} along a lean of {degrees(cut.tilt)}"
        return f"{say(cut.width)} x {say(cut.length)}, {deep}"
    if isinstance(cut, AngledTenonEnd):
        return f"{say(cut.y1 - cut.y0)} x {say(cut.x1 - cut.x0)}, {say(cut.length)} long"
    if isinstance(cut, SkewNotch):
        return f"{say(cut.width)} wide, {say(cut.depth)} deep, turned {degrees(cut.turn)}"
    return f"{degrees(cut.plane.tilt)} off square" if isinstance(cut, EndBevel) else ""


def end_settings(
    cut: EndBevel | AngledTenonEnd, plane: EndPlane, face: Face
) -> tuple[float, float]:
    """(mitre, blade tilt) for a plane through an end, with one of the long faces on the table.

    Both in radians, by the cut's end frame.
    """
    normal = cut.frame.direction(plane.normal)
    down = face.outward
    across: Vec = cross(down, (1.0, 0.0, 0.0))
    found = saw_cut(normal, down, across)
    return found.mitre, found.tilt


def make_aslant(cut: Cut, member: Member, shop: Machines, say: Say) -> Verdict:
    """How a shop makes one such cut of a member."""
    if isinstance(cut, AngledMortise):
        return ask(("drill_press", "hand"), shop, lambda m: _mortise(m, cut, shop, say))
    if isinstance(cut, AngledTenonEnd):
        return ask(("hand",), shop, lambda m: _tenon(m, cut, shop, say))
    if isinstance(cut, EndBevel) and cut.purpose == FLUSH:
        tool = "sawn and planed off flush with the face, once the joint is home"
        return Verdict(made=Made(machine="hand", tool=tool), refusals=())
    if isinstance(cut, EndBevel):
        return ask(("saw", "hand"), shop, lambda m: _bevel(m, cut, member, shop, say))
    if isinstance(cut, SkewNotch):
        return ask(("dado", "router", "hand"), shop, lambda m: _notch(m, cut, member, shop, say))
    raise TypeError(f"a {type(cut).__name__} does not lie aslant")


def _mortise(key: str, cut: AngledMortise, shop: Machines, say: Say) -> Answer:
    narrow = min(cut.width, cut.length)
    # The tool goes down along the axis, past the corners of a mouth that leans.
    deep = cut.depth + 2.0 * cut.slant(cut.length / 2.0)
    lean = degrees(cut.tilt)
    if key == "drill_press":
        drill = shop.drill_press
        bits = [
            *((d, drill.reach) for d in drill.bits),
            *((d, drill.long_reach) for d in drill.long_bits),
        ]
        bits += [(d, drill.flat_reach) for d in drill.flat_bits]
        fitting = [d for d, reach in bits if d <= narrow + SAME and deep <= reach + SAME]
        if not fitting:
            return Refusal(
                machine=key,
                kind="reach",
                why=f"no bit of up to {say(narrow)} reaches {say(deep)} along the lean",
                change=f"get a bit that reaches {say(deep)}, or take a thinner piece",
            )
        if not shop.hand.have:
            return Refusal(
                machine=key, kind="tool", why="leaves round corners", change="pare them by hand"
            )
        return Made(
            machine=key,
            tool=f"{say(max(fitting))} bit, hole beside hole, the piece on a ramp of {lean}",
            by_hand="pare the walls along a bevel gauge",
        )
    chisels = [c for c in shop.hand.chisels if c <= narrow + SAME]
    most = shop.hand.reach * (2.0 if cut.through else 1.0)
    if not chisels or deep > most + SAME:
        return Refusal(
            machine=key,
            kind="reach" if chisels else "tool",
            why=f"no chisel for a mortise {say(narrow)} wide and {say(deep)} deep",
            change="a chisel to suit, or a thinner piece",
        )
    return Made(
        machine=key, tool=f"chopped with a {say(max(chisels))} chisel along a bevel gauge at {lean}"
    )


def _tenon(key: str, cut: AngledTenonEnd, shop: Machines, say: Say) -> Answer:
    if cut.length > shop.hand.saw_depth + SAME:
        return Refusal(
            machine=key,
            kind="reach",
            why=f"saws {say(shop.hand.saw_depth)} deep, and the {cut.purpose} is "
            f"{say(cut.length)} long",
            change=f"make it no longer than {say(shop.hand.saw_depth)}",
        )
    return Made(
        machine=key, tool=f"sawn to shoulder lines that lean {degrees(cut.shoulder.tilt)} in all"
    )


def _bevel(key: str, cut: EndBevel, member: Member, shop: Machines, say: Say) -> Answer:
    mitre, tilt = end_settings(cut, cut.plane, Face.FACE_EDGE)
    face = Face.FACE_EDGE
    if member.width > member.thickness:  # a rail lies on its side
        face = Face.FACE_SIDE
        mitre, tilt = end_settings(cut, cut.plane, face)
    if key == "hand":
        return Made(machine=key, tool="sawn to lines struck by bevel gauges")
    high = member.extent(face) / math.cos(tilt)
    for have, want, what in (
        (shop.saw.height, high, "deep"),
        (shop.saw.longest, member.length, "long pieces"),
    ):
        if want > have + SAME:
            return Refusal(
                machine=key,
                kind="piece",
                why=f"cuts {say(have)} {what}, and {member.name} takes {say(want)}",
                change="saw it by hand to the lines",
            )
    return Made(
        machine=key,
        tool=f"{face} down, mitre gauge {degrees(mitre)}, blade tilted {degrees(tilt)}",
    )


def _notch(key: str, cut: SkewNotch, member: Member, shop: Machines, say: Say) -> Answer:
    refused = off_table(key, cut, member, shop, say) or too_deep(key, cut, shop, say)
    if refused:
        return refused
    turn = degrees(cut.turn)
    if key == "dado":
        if cut.width < shop.dado.narrowest - SAME or member.length > shop.dado.longest + SAME:
            return Refusal(
                machine=key,
                kind="piece",
                why=f"does not take a notch {say(cut.width)} wide in a piece of this length",
                change="use a router, or saw and pare it",
            )
        passes = math.ceil(cut.width / shop.dado.widest - SAME)
        tool = f"{passes} pass{'es' if passes > 1 else ''}, mitre gauge turned {turn}"
        return Made(machine=key, tool=tool, passes=passes)
    if key == "router":
        fitting = [c for c in shop.router.cutters if c <= cut.width + SAME]
        if fitting:
            tool = f"{say(max(fitting))} cutter along a fence turned {turn}"
            return Made(machine=key, tool=tool)
        return Refusal(machine=key, kind="tool", why="no cutter as small", change="saw and pare it")
    return Made(machine=key, tool=f"sawn and pared to lines turned {turn}")
