"""A groove along a member's grain in which the ends or edges of boards stand, free to move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Gap, Joint
from treenail.joints.fits import FITS, Fit
from treenail.joints.meetings import Meeting
from treenail.joints.trenches import FLUSH, Span, face_axis, in_face, is_low, signed, trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec
    from treenail.timber.member import Face, Member


@dataclass(frozen=True, kw_only=True)
class BoardGroove(Joint):
    """Boards (of a panel, say) that stand loose in one groove along a rail's or post's grain.

    Attributes:
        receiver: what is grooved.
        boards: what stands in it; all reach equally far, with their whole thickness.
        face: the receiver's face that is grooved.
        room: between the boards and the groove's floor, mm.
        span: from where to where the groove runs on the receiver, mm; None ends it ``end_room``
            beyond the boards.
        end_room: mm.
        fit: its cheek limits hold across the groove.
    """

    receiver: Member
    boards: tuple[Member, ...]
    face: Face
    room: float
    span: Span | None = None
    end_room: float = 0.5
    fit: Fit = FITS["easy"]

    def __post_init__(self) -> None:
        """Refuse boards that don't stand in one groove (GeometryError)."""
        if not self.boards:
            raise GeometryError(f"{self.name}: no boards stand in the groove")
        if self.room < 0.0:
            raise GeometryError(f"{self.name}: boards can't stand in the groove's floor")
        rows = {(self._reach(m), *(snap(x) for x in m.span(self.across))) for m in self._meetings}
        if len(rows) > 1:
            raise GeometryError(f"{self.name}: the boards don't stand in one line, equally deep")
        self.cuts()

    @property
    def kind(self) -> str:
        """``panel groove``."""
        return "panel groove"

    @property
    def members(self) -> tuple[Member, ...]:
        """What is grooved, then the boards."""
        return (self.receiver, *self.boards)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @property
    def _meetings(self) -> tuple[Meeting, ...]:
        return tuple(Meeting(self.name, self.receiver, board) for board in self.boards)

    @property
    def across(self) -> int:
        """The receiver's axis across the groove."""
        return next(i for i in in_face(self.face) if i != 0)

    def _reach(self, m: Meeting) -> float:
        return snap(m.entry((face_axis(self.face),), self.face)[1])

    @property
    def reach(self) -> float:
        """How deep the boards stand in the receiver, mm."""
        return self._reach(self._meetings[0])

    @property
    def depth(self) -> float:
        """Of the groove, mm."""
        return snap(self.reach + self.room)

    @property
    def _held(self) -> Span:
        spans = [m.span(0) for m in self._meetings]
        return min(s[0] for s in spans), max(s[1] for s in spans)

    @property
    def run(self) -> Span:
        """From where to where the groove goes, mm."""
        if self.span is not None:
            return self.span
        low, high = self._held
        return low - self.end_room, high + self.end_room

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One groove."""
        low, high = self._meetings[0].span(self.across)
        side = self.fit.cheek.mid / 2
        spans = {0: self.run, self.across: (low - side, high + side)}
        cut = trench(self, self.receiver, self.face, spans, self.depth, run=0, purpose="groove")
        return {self.receiver.name: (cut,)}

    def insertion(self) -> Vec:
        """Square into the groove."""
        return self.receiver.placement.direction(self.face.inward)

    def gaps(self) -> tuple[Gap, ...]:
        """Under each board and at both of its faces; at the groove's ends where it has its own."""
        found = []
        deep = face_axis(self.face)
        home = self.face.inward
        run_low, run_high = self.run
        for m in self._meetings:
            low, high = (max(m.span(0)[0], run_low), min(m.span(0)[1], run_high))
            at = {0: (low + high) / 2, self.across: sum(m.span(self.across)) / 2}
            at[deep] = self._level(self.reach)
            found.append(m.gap("floor", at, home, self.room))
            at[deep] = self._level(self.reach / 2)
            for up in (False, True):
                wall = {**at, self.across: m.span(self.across)[up]}
                toward = signed(self.across, up=up)
                found.append(m.gap("cheek", wall, toward, self.fit.cheek.mid / 2))
            if self.span is None:
                for up in (False, True):
                    edge = m.span(0)[up]
                    if abs(edge - self._held[up]) <= FLUSH:
                        end = {**at, 0: edge}
                        found.append(m.gap("end", end, signed(0, up=up), self.end_room))
        return tuple(found)

    def _level(self, depth: float) -> float:
        return depth if is_low(self.face) else self.receiver.extent(self.face) - depth


__all__ = ["BoardGroove"]
