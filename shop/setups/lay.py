"""How a piece lies on a machine: which face up, which against the fence, which end to the left."""

from __future__ import annotations

from treenail.joints.cuts import Cut
from treenail.timber.frames import cross, dot
from treenail.timber.member import Face, Member

__all__ = [
    "across",
    "distance_from",
    "is_square",
    "lies",
    "lies_down",
    "near_end_left",
    "reference_beside",
]

#: Cosines beyond which a direction runs along an axis, and under which it runs across it.
_SQUARE = 1.0 - 1e-9
_ACROSS = 1e-6


def reference_beside(face: Face) -> Face:
    """The reference face beside a long face: face side and face edge are measured from."""
    return Face.FACE_EDGE if face in (Face.FACE_SIDE, Face.BACK_SIDE) else Face.FACE_SIDE


def distance_from(member: Member, cut: Cut, face: Face) -> float:
    """Distance of a cut's middle from one of the member's faces, mm."""
    origin = cut.frame.origin
    at = {
        Face.NEAR_END: origin[0],
        Face.FACE_EDGE: origin[1],
        Face.FACE_SIDE: origin[2],
        Face.FAR_END: member.length - origin[0],
        Face.BACK_EDGE: member.width - origin[1],
        Face.BACK_SIDE: member.thickness - origin[2],
    }
    return at[face]


def near_end_left(up: Face, fence: Face) -> bool:
    """Whether the near end lies to the left of someone who faces the fence."""
    to_the_right = cross(fence.outward, up.outward)
    return to_the_right[0] > 0.0


def lies(up: Face, fence: Face) -> str:
    """``back edge up, face side to the fence, near end left``."""
    side = "left" if near_end_left(up, fence) else "right"
    return f"{up} up, {fence} to the fence, near end {side}"


def lies_down(down: Face, end: Face) -> str:
    """``face side down, near end to the fence``."""
    return f"{down} down, {end} to the fence"


def is_square(cut: Cut) -> bool:
    """Whether a tool goes in square to the face."""
    return dot(cut.frame.z, cut.face.inward) > _SQUARE


def across(cut: Cut) -> bool:
    """Whether a cut's own x runs across the grain."""
    return abs(cut.frame.x[0]) < _ACROSS
