"""A member that stands with its end in another's face: where they meet, and how deep."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from treenail.joints.base import Joint
from treenail.timber.angles import STEEPEST
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot, neg, snap, sub
from treenail.timber.member import Face, Member

#: How far from square a joint may stand and still be cut as a square one (cosine).
_SQUARE = 1.0 - 1e-9


@dataclass(frozen=True, kw_only=True)
class Standing(Joint):
    """What all tenons share: two placed members and an end; the rest follows from the places.

    Attributes:
        receiver: the member that is mortised or bored.
        entering: the member on whose end the tenon is.
        end: which of its ends.
    """

    receiver: Member
    entering: Member
    end: Face

    def refuse_unless_it_reaches(self) -> None:
        """Refuse an end that is none, or that stops short of the receiver (GeometryError)."""
        if not self.end.is_end:
            raise GeometryError(f"{self.name}: a tenon stands on an end, not on the {self.end}")
        if self.length <= 0.0:
            raise GeometryError(
                f"{self.name}: {self.entering.name} does not reach into {self.receiver.name} "
                f"({-self.length:g} mm short)"
            )

    @property
    def members(self) -> tuple[Member, ...]:
        """(receiver, entering)."""
        return (self.receiver, self.entering)

    def insertion(self) -> Vec:
        """Direction in which the entering member goes home, in the bench."""
        return self.entering.placement.direction(self.end.outward)

    @cached_property
    def receiver_face(self) -> Face:
        """The mortised face; GeometryError unless the tenon stands square to it."""
        home = self.insertion()
        face = self.receiver.face_towards(neg(home))
        normal = self.receiver.placement.direction(face.outward)
        if dot(normal, neg(home)) < _SQUARE:
            raise GeometryError(
                f"{self.name}: {self.entering.name} does not stand square to "
                f"{self.receiver.name}'s {face}; a member that leans takes an angled tenon"
            )
        return face

    @cached_property
    def length(self) -> float:
        """The tenon's length in mm, from the shoulder plane to the member's end."""
        tip = self.entering.placement.point(self.entering.face_frame(self.end).origin)
        mouth = self.receiver.placement.point(self.receiver.face_frame(self.receiver_face).origin)
        return snap(dot(sub(tip, mouth), self.insertion()))

    @property
    def tilt(self) -> float:
        """How far the tenon leans from square to the face, radians: these don't."""
        return 0.0

    @property
    def proud(self) -> float:
        """How far a through tenon stands out at the far face, mm (negative: below it)."""
        return snap(self.length - self.receiver.extent(self.receiver_face))

    @cached_property
    def end_frame(self) -> Frame:
        """The entering member's end-face frame in the bench."""
        return self.entering.placement.place(self.entering.face_frame(self.end))

    def mouth_point(self, x: float, y: float) -> Vec:
        """A point of the end-face frame, carried onto the shoulder plane, in the bench."""
        return self.end_frame.point((x, y, self.length))


def leant_face(joint: Standing) -> Face:
    """The face in which a leaning tenon stands; GeometryError from 45 degrees on."""
    back = neg(joint.insertion())
    face = joint.receiver.face_towards(back)
    normal = joint.receiver.placement.direction(face.outward)
    if math.acos(min(1.0, dot(normal, back))) > STEEPEST + 1e-9:
        raise GeometryError(
            f"{joint.name}: {joint.entering.name} leans more than 45 degrees to "
            f"{joint.receiver.name}'s {face}"
        )
    return face


__all__ = ["Standing", "leant_face"]
