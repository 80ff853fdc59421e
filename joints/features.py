"""Features of one member: dog holes, a chamfered foot, a hollow; and joints that only touch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Joint, Number
from treenail.joints.cuts import Bore, Cut, FootChamfer
from treenail.joints.trenches import Trench
from treenail.timber.frames import Frame, cross, snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.timber.member import Face, Member


@dataclass(frozen=True, kw_only=True)
class DogHoles(Joint):
    """Round holes right through a member, for bench dogs and holdfasts.

    Attributes:
        member: the piece that is bored.
        face: the face they are bored from.
        diameter: mm.
        points: (x, y) of each centre in that face's frame, mm.
    """

    member: Member
    face: Face
    diameter: float
    points: tuple[tuple[float, float], ...]

    @property
    def kind(self) -> str:
        """``dog holes``."""
        return "dog holes"

    @property
    def members(self) -> tuple[Member, ...]:
        """The bored member."""
        return (self.member,)

    def numbers(self) -> Mapping[str, Number]:
        """How many, and how wide."""
        return {"count": len(self.points), "diameter_mm": self.diameter}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One through bore a hole."""
        frame = self.member.face_frame(self.face)
        return {
            self.member.name: tuple(
                Bore(
                    joint=self.name,
                    purpose="dog hole",
                    face=self.face,
                    frame=frame.shifted((snap(x), snap(y), 0.0)).snapped(),
                    diameter=self.diameter,
                    depth=self.member.extent(self.face),
                    through=True,
                )
                for x, y in self.points
            )
        }


@dataclass(frozen=True, kw_only=True)
class ChamferedFoot(Joint):
    """The four arrises of a post's foot bevelled by ``leg`` mm."""

    member: Member
    end: Face
    leg: float

    @property
    def kind(self) -> str:
        """``chamfered foot``."""
        return "chamfered foot"

    @property
    def members(self) -> tuple[Member, ...]:
        """The chamfered member."""
        return (self.member,)

    def numbers(self) -> Mapping[str, Number]:
        """The bevel's leg."""
        return {"leg_mm": self.leg}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One ring bevel."""
        return {
            self.member.name: (
                FootChamfer(
                    joint=self.name,
                    purpose="foot chamfer",
                    face=self.end,
                    frame=self.member.face_frame(self.end),
                    leg=self.leg,
                ),
            )
        }


@dataclass(frozen=True, kw_only=True)
class Hollow(Joint):
    """A shallow trench across a face, which leaves the piece standing on its two ends.

    Attributes:
        member: the piece.
        face: the face that is hollowed; not an end.
        start, stop: where the hollow begins and ends along the grain, mm.
        depth: mm.
    """

    member: Member
    face: Face
    start: float
    stop: float
    depth: float

    @property
    def kind(self) -> str:
        """``hollow``."""
        return "hollow"

    @property
    def members(self) -> tuple[Member, ...]:
        """The hollowed member."""
        return (self.member,)

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One trench, open at both sides."""
        face = self.member.face_frame(self.face)
        _, wide = self.member.face_size(self.face)
        middle = face.point(((self.start + self.stop) / 2, wide / 2, 0.0))
        return {
            self.member.name: (
                Trench(
                    joint=self.name,
                    purpose="hollow",
                    face=self.face,
                    frame=Frame(middle, face.y, cross(face.z, face.y), face.z).snapped(),
                    length=wide,
                    width=snap(self.stop - self.start),
                    depth=self.depth,
                ),
            )
        }


@dataclass(frozen=True, kw_only=True)
class EdgeGlue(Joint):
    """Two pieces glued edge to edge, without cuts."""

    first: Member
    second: Member

    @property
    def kind(self) -> str:
        """``edge lamination``."""
        return "edge lamination"

    @property
    def members(self) -> tuple[Member, ...]:
        """The two pieces."""
        return (self.first, self.second)

    @property
    def beforehand(self) -> bool:
        """Yes."""
        return True


@dataclass(frozen=True, kw_only=True)
class Bearing(Joint):
    """One piece that rests on others, loose or held by other joints; without cuts."""

    below: Member
    above: Member

    @property
    def kind(self) -> str:
        """``bearing``."""
        return "bearing"

    @property
    def members(self) -> tuple[Member, ...]:
        """(what carries, what rests)."""
        return (self.below, self.above)
