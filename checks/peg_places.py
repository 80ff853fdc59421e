"""Where a peg stands in its tenon and its post: to edges, faces and ends, square or leaning."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

from treenail.checks.gauge import PegHole, cuts_of, tenon_of, tongue_at
from treenail.joints.angled_cuts import AngledTenonEnd
from treenail.joints.cuts import MitredTip, NotchedTip, TenonEnd
from treenail.timber.frames import along, dot, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.drawbored import Drawbored
    from treenail.timber.member import Member

EndCut: TypeAlias = TenonEnd | AngledTenonEnd


def end_cut_of(bench: Bench, joint: Drawbored) -> EndCut | None:
    """The tenon that a joint cut, square or leaning."""
    for cut in cuts_of(bench, joint.entering, joint, "angled tenon"):
        if isinstance(cut, AngledTenonEnd):
            return cut
    return tenon_of(bench, joint)


def edges_of(tenon: EndCut, x: float) -> tuple[float, float]:
    """The edges of the single tenon in which a peg at ``x`` stands, in the end frame, mm."""
    one = tenon if isinstance(tenon, AngledTenonEnd) else tongue_at(tenon, x)
    return one.x0, one.x1


def face_rooms(joint: Drawbored, hole: PegHole) -> tuple[float, float]:
    """The least distance of a peg's axis to the mortised face and to the far one, mm.

    Along the whole hole in the post, as it may lean to both.
    """
    if not joint.tilt:
        return hole.setback, joint.receiver.extent(joint.receiver_face) - hole.setback
    post = joint.receiver
    face = post.face_frame(joint.receiver_face)
    start = hole.post.frame.origin
    ends = (start, along(start, hole.post.frame.z, hole.post.depth))
    deep = [dot(sub(p, face.origin), face.z) for p in ends]
    return min(deep), post.extent(joint.receiver_face) - max(deep)


def end_room(post: Member, hole: PegHole) -> float:
    """The least distance of a peg's axis to the post's ends, along its grain, mm."""
    start = hole.post.frame.origin
    places = (start[0], along(start, hole.post.frame.z, hole.post.depth)[0])
    return min(*places, *(post.length - x for x in places))


def beyond(tenon: EndCut, hole: PegHole) -> tuple[float, float]:
    """From a peg's centre along the grain to the tenon's end: (at its middle, the least), mm.

    The least is on the shorter cheek, square to an end that lies aslant there.
    """
    if isinstance(tenon, AngledTenonEnd):
        at = tenon.shoulder.depth(hole.x, tenon.centre[1]) - hole.tenon_setback
        if tenon.tip is None:
            return at, at
        middle, low, high = (
            at - tenon.tip.depth(hole.x, y) for y in (tenon.centre[1], tenon.y0, tenon.y1)
        )
        return middle, min(low, high) * math.cos(tenon.tip.on_sides)
    middle, short = _kept_length(tenon, hole.x)
    return middle - hole.tenon_setback, short - hole.tenon_setback


def _kept_length(tenon: TenonEnd, x: float) -> tuple[float, float]:
    """Length of the tenon at a peg: (at its middle, on its shorter cheek), mm."""
    tip = tenon.tip
    if isinstance(tip, MitredTip):
        return (
            tenon.length - (tip.cut_back + tip.lead) / 2,
            tenon.length - max(tip.cut_back, tip.lead),
        )
    if isinstance(tip, NotchedTip):
        inside = (
            x < tenon.x0 + tip.width if tip.edge is Face.FACE_EDGE else x > tenon.x1 - tip.width
        )
        if inside:
            return (tenon.length - tip.length, tenon.length - tip.length)
    return (tenon.length, tenon.length)


__all__ = ["EndCut", "beyond", "edges_of", "end_cut_of", "end_room", "face_rooms"]
