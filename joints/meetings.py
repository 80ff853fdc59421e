"""Where two squarely placed members meet: what they share, from which face, with which room."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Gap, Joint
from treenail.joints.blocks import Box, hull
from treenail.joints.fits import FITS, Fit
from treenail.joints.trenches import (
    AXES,
    FLUSH,
    Span,
    axis_of,
    face_axis,
    is_low,
    signed,
)
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap_vec
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.corners import CornerKind
    from treenail.timber.frames import Vec

#: A member's sizes, by its axes.
SIZES = ("length", "width", "thickness")
_BY_AXIS = {(face_axis(f), is_low(f)): f for f in Face}


@dataclass(frozen=True)
class Meeting:
    """Another member's stock as one member has it before itself.

    Attributes:
        joint: name, for messages.
        member: whose coordinates everything here is in.
        other: the other member; its stock stands square to the first.
    """

    joint: str
    member: Member
    other: Member

    def __post_init__(self) -> None:
        """Refuse members that lie aslant, or share no space (GeometryError)."""
        if any(self.axis(i) is None for i in range(3)):
            raise GeometryError(
                f"{self.joint}: {self.other.name} does not stand square to {self.member.name}"
            )
        gaps = [max(low - size, -high) for low, high, size in self._rows()]
        apart = math.hypot(*(max(g, 0.0) for g in gaps))
        if apart > FLUSH:
            raise GeometryError(
                f"{self.joint}: {self.member.name} and {self.other.name} don't meet: they lie "
                f"{apart:g} mm apart"
            )
        if max(gaps) > -FLUSH:
            raise GeometryError(
                f"{self.joint}: {self.other.name} only touches {self.member.name}; it must reach "
                "into it"
            )

    def _rows(self) -> list[tuple[float, float, float]]:
        return list(zip(*self.stock, self.member.size, strict=True))

    def axis(self, of_other: int) -> int | None:
        """The member's axis along which one of the other's lies."""
        bench = self.other.placement.direction(AXES[of_other])
        return axis_of(self.member.placement.local_direction(bench))

    @cached_property
    def grain(self) -> int:
        """The member's axis along which the other's grain runs."""
        found = self.axis(0)
        assert found is not None
        return found

    @cached_property
    def stock(self) -> Box:
        """The other's stock."""
        place = self.member.placement
        low, high = hull([place.local_point(p) for p in self.other.world_corners()])
        return snap_vec(low), snap_vec(high)

    def span(self, axis: int) -> Span:
        """What both fill along an axis."""
        low, high = self.stock[0][axis], self.stock[1][axis]
        return max(low, 0.0), min(high, self.member.size[axis])

    def entries(self, axis: int) -> list[tuple[Face, float]]:
        """(face, depth) at which the other may have come in along an axis, one or both.

        It must reach the face's plane or stand out there, and end inside the member.
        """
        low, high, size = self._rows()[axis]
        found = []
        if low <= FLUSH and high <= size + FLUSH:
            found.append((_BY_AXIS[axis, True], min(high, size)))
        if high >= size - FLUSH and low >= -FLUSH:
            found.append((_BY_AXIS[axis, False], size - max(low, 0.0)))
        return found

    def entry(self, axes: tuple[int, ...], wanted: Face | None) -> tuple[Face, float]:
        """The face at which the other comes in, and how deep it reaches, mm.

        The one asked for, else the one with the least depth.

        Raises:
            GeometryError: there is none, or not the one that is asked for.
        """
        found = [e for axis in axes for e in self.entries(axis)]
        if wanted is not None:
            for face, depth in found:
                if face is wanted:
                    return face, depth
            raise GeometryError(
                f"{self.joint}: {self.other.name} does not come in at {self.member.name}'s "
                f"{wanted}" + (f"; it does at the {found[0][0]}" if found else "")
            )
        if not found:
            raise GeometryError(
                f"{self.joint}: {self.other.name} goes right through {self.member.name}, or lies "
                "inside it: there is no face at which it comes in and ends"
            )
        return min(found, key=lambda e: e[1])

    def widened(
        self, axis: int, span: Span, *, between: float, single: float
    ) -> tuple[Span, list[tuple[bool, float]]]:
        """A span with room at its closed ends, and (up, room) of each of these.

        Args:
            axis: of the member.
            span: where the other's wood is, mm.
            between: room at each end where both are closed, mm.
            single: room at the one closed end where the other is open, mm.
        """
        low, high, size = *span, self.member.size[axis]
        shut = [low > FLUSH, high < size - FLUSH]
        room = between if all(shut) else single
        wide = (
            max(low - room, 0.0) if shut[0] else 0.0,
            min(high + room, size) if shut[1] else size,
        )
        return wide, [(up, room) for up in (False, True) if shut[up]]

    def gap(self, what: str, at: Mapping[int, float], toward: Vec, room: float) -> Gap:
        """A gap between a surface of the other and one of the member."""
        place = self.member.placement
        return Gap(
            what=what,
            of=self.other.name,
            against=self.member.name,
            at=place.point((at[0], at[1], at[2])),
            toward=place.direction(toward),
            room=room,
        )

    def wall_gaps(
        self,
        what: str,
        axis: int,
        span: Span,
        shut: list[tuple[bool, float]],
        at: Mapping[int, float],
    ) -> list[Gap]:
        """Gaps at the closed ends of a span; ``at`` is a point of the walls' middle."""
        return [
            self.gap(what, {**at, axis: span[up]}, signed(axis, up=up), room) for up, room in shut
        ]


@dataclass(frozen=True, kw_only=True)
class LetIn(Joint):
    """Two members whose stock fills the same space, and at which face the second comes in.

    Attributes:
        receiver: the member that the other is let into.
        entering: the member that goes in.
        fit: the named fit between them.
        face: the receiver's face at which the other comes in; None finds it.
        corners: of trenches' ends between three walls: ``square``; ``relieved``, by holes; or
            ``round``, the trench then being so much longer that the square piece clears them.
        cutter: diameter of the cutter that leaves the corners, mm; of no account where square.
    """

    receiver: Member
    entering: Member
    fit: Fit = FITS["hand press"]
    face: Face | None = None
    corners: CornerKind = "square"
    cutter: float = 12.7

    @property
    def end_room(self) -> float:
        """How much longer a trench is at a closed end for its round corners, mm."""
        return self.cutter / 2.0 if self.corners == "round" else 0.0

    @property
    def members(self) -> tuple[Member, ...]:
        """(receiver, entering)."""
        return (self.receiver, self.entering)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @cached_property
    def meeting(self) -> Meeting:
        """The entering member before the receiver."""
        return Meeting(self.name, self.receiver, self.entering)

    @cached_property
    def entry(self) -> tuple[Face, float]:
        """(face, depth) at which the entering member comes in; GeometryError if nowhere."""
        return self.meeting.entry((0, 1, 2), self.face)

    @property
    def cut_face(self) -> Face:
        """The receiver's face that is cut."""
        return self.entry[0]

    @property
    def home(self) -> Vec:
        """Square into the receiver's cut face, in the bench."""
        return self.receiver.placement.direction(self.cut_face.inward)

    @cached_property
    def entering_face(self) -> Face:
        """The entering member's face that looks home, in the receiver."""
        return self.entering.face_towards(self.home)

    def insertion(self) -> Vec:
        """Square to the cut face, unless a joint says otherwise."""
        return self.home


def middle(span: Span) -> float:
    """Half-way, mm."""
    return (span[0] + span[1]) / 2


def inside(member: Member, face: Face, depth: float) -> float:
    """The place on its axis that lies ``depth`` below a face, mm."""
    return depth if is_low(face) else member.extent(face) - depth
