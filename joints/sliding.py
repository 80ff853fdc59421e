"""A member that slides through a mortise of another: a planing stop, a vise's guide."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Joint
from treenail.joints.cuts import Mortise
from treenail.joints.meetings import Meeting, middle
from treenail.joints.trenches import AXES, FLUSH, Span, face_axis, face_level, in_face, signed
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, dot, neg, snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Gap, Number
    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec
    from treenail.timber.member import Face, Member


@dataclass(frozen=True, kw_only=True)
class Sliding(Joint):
    """A square member right through a mortise in which it slides along its grain.

    It lies on two of the mortise's walls, one of each pair; all play is at the other two.

    Attributes:
        receiver: the mortised member.
        entering: the member that slides.
        home: unit vector along which it goes in, in the bench.
        rests: unit vectors toward the two walls on which it lies, in the bench.
        play: in each of the two directions across, mm.
        what: the mortise's name in shop words.
    """

    receiver: Member
    entering: Member
    home: Vec
    rests: tuple[Vec, Vec]
    play: float
    what: str = "sliding mortise"

    def __post_init__(self) -> None:
        """Refuse what does not go through, lies aslant or breaks out (GeometryError)."""
        if self.play < 0.0:
            raise GeometryError(f"{self.name}: the play must not be negative")
        axis = self.axis
        if abs(dot(self.entering.placement.x, self.home)) < 1.0 - 1e-9:
            raise GeometryError(f"{self.name}: {self.entering.name} slides along its grain")
        low, high = (side[axis] for side in self.meeting.stock)
        size = self.receiver.size
        if low > FLUSH or high < size[axis] - FLUSH:
            raise GeometryError(
                f"{self.name}: {self.entering.name} does not reach through {self.receiver.name}"
            )
        for i, (start, stop) in self.spans.items():
            if start <= FLUSH or stop >= size[i] - FLUSH:
                raise GeometryError(
                    f"{self.name}: the {self.what} breaks out of {self.receiver.name}, by "
                    f"{max(-start, stop - size[i]):g} mm"
                )

    @property
    def kind(self) -> str:
        """``sliding mortise``."""
        return "sliding mortise"

    @property
    def members(self) -> tuple[Member, ...]:
        """(receiver, entering)."""
        return (self.receiver, self.entering)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @property
    def slides(self) -> bool:
        """Yes."""
        return True

    def insertion(self) -> Vec:
        """The way home."""
        return self.home

    @cached_property
    def meeting(self) -> Meeting:
        """The entering member before the receiver."""
        return Meeting(self.name, self.receiver, self.entering)

    @property
    def axis(self) -> int:
        """The receiver's axis along which the other slides."""
        return self.meeting.grain

    @cached_property
    def face(self) -> Face:
        """The receiver's face at which the other goes in."""
        return self.receiver.face_towards(neg(self.home))

    @cached_property
    def _toward(self) -> dict[int, bool]:
        """For both axes across: whether the member lies on the high wall."""
        found = {}
        for rest in self.rests:
            own = self.receiver.placement.local_direction(rest)
            axis = max(range(3), key=lambda i: abs(own[i]))
            found[axis] = own[axis] > 0.0
        if set(found) != set(in_face(self.face)):
            raise GeometryError(f"{self.name}: it must lie on one wall of each pair")
        return found

    @cached_property
    def spans(self) -> dict[int, Span]:
        """The mortise's, on both axes across, in the receiver, mm."""
        found = {}
        for axis, up in self._toward.items():
            low, high = (side[axis] for side in self.meeting.stock)
            found[axis] = (snap(low - self.play), high) if up else (low, snap(high + self.play))
        return found

    def numbers(self) -> Mapping[str, Number]:
        """The mortise, and the play in it."""
        first, second = (snap(b - a) for a, b in (self.spans[i] for i in in_face(self.face)))
        return {"length_mm": first, "width_mm": second, "play_mm": self.play}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One through mortise."""
        first, second = in_face(self.face)
        centre = [0.0, 0.0, 0.0]
        centre[face_axis(self.face)] = face_level(self.receiver, self.face)
        for i in (first, second):
            centre[i] = middle(self.spans[i])
        frame = Frame.from_zx((centre[0], centre[1], centre[2]), self.face.inward, AXES[first])
        length, width = (self.spans[i][1] - self.spans[i][0] for i in (first, second))
        return {
            self.receiver.name: (
                Mortise(
                    joint=self.name,
                    purpose=self.what,
                    face=self.face,
                    frame=frame.snapped(),
                    length=snap(length),
                    width=snap(width),
                    depth=self.receiver.extent(self.face),
                    through=True,
                ),
            )
        }

    def gaps(self) -> tuple[Gap, ...]:
        """The two walls that it lies on, and the play at the other two."""
        low, high = self.meeting.stock
        at = {i: middle((low[i], high[i])) for i in in_face(self.face)}
        at[self.axis] = self.receiver.size[self.axis] / 2
        found = []
        for axis, up in self._toward.items():
            for side in (False, True):
                point = {**at, axis: (low, high)[side][axis]}
                room = 0.0 if side is up else self.play
                found.append(self.meeting.gap("wall", point, signed(axis, up=side), room))
        return tuple(found)


__all__ = ["Sliding"]
