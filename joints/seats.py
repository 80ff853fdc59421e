"""A rebate along a rail in which several boards lie: one cut, however many they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Gap, Joint
from treenail.joints.meetings import Meeting
from treenail.joints.trenches import FLUSH, Span, face_axis, is_low, signed, trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member


@dataclass(frozen=True, kw_only=True)
class SeatRebate(Joint):
    """Boards whose ends lie loose in a rebate along a rail's upper edge.

    Attributes:
        rail: what is rebated, along its grain.
        boards: what lies in it; each reaches as far into the rail.
        span: from where to where the rebate runs on the rail, mm.
        edge: the rail's edge on which the boards are laid from above.
        side: its side from which they reach in.
        end_room: between the boards' ends and the rebate's wall, mm.
    """

    rail: Member
    boards: tuple[Member, ...]
    span: Span
    edge: Face = Face.FACE_EDGE
    side: Face = Face.BACK_SIDE
    end_room: float = 0.0

    def __post_init__(self) -> None:
        """Refuse boards that don't lie in one rebate (GeometryError)."""
        if not self.boards:
            raise GeometryError(f"{self.name}: no boards lie in the rebate")
        if len(set(self._reaches)) > 1:
            raise GeometryError(f"{self.name}: the boards don't reach equally into the rail")
        low, high = self.span
        if any(m.span(0)[0] < low - FLUSH or m.span(0)[1] > high + FLUSH for m in self._meetings):
            raise GeometryError(f"{self.name}: a board stands beyond the rebate's ends")
        self.cuts()

    @property
    def kind(self) -> str:
        """``rebate``."""
        return "rebate"

    @property
    def members(self) -> tuple[Member, ...]:
        """The rail, then the boards."""
        return (self.rail, *self.boards)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @property
    def _meetings(self) -> tuple[Meeting, ...]:
        return tuple(Meeting(self.name, self.rail, board) for board in self.boards)

    @property
    def _reaches(self) -> tuple[tuple[float, float], ...]:
        """(depth below the edge, reach in from the side) of each board, mm."""
        found = []
        for m in self._meetings:
            home = m.entry((face_axis(self.side),), self.side)[1]
            # A board that came out thin lies on the floor all the same, below the rail's edge.
            low, high = m.span(face_axis(self.edge))
            down = high if is_low(self.edge) else self.rail.extent(self.edge) - low
            found.append((snap(down), snap(home)))
        return tuple(found)

    @property
    def depth(self) -> float:
        """Of the rebate, below the edge, mm."""
        return self._reaches[0][0]

    @property
    def seat(self) -> float:
        """How far the boards lie on the rebate's floor, mm."""
        return self._reaches[0][1]

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One rebate."""
        wide, whole = self.seat + self.end_room, self.rail.extent(self.side)
        across = (0.0, wide) if is_low(self.side) else (whole - wide, whole)
        spans = {0: self.span, face_axis(self.side): across}
        cut = trench(self, self.rail, self.edge, spans, self.depth, run=0, purpose="rebate")
        return {self.rail.name: (cut,)}

    def insertion(self) -> Vec:
        """Down onto the rebate's floor."""
        return self.rail.placement.direction(self.edge.inward)

    def gaps(self) -> tuple[Gap, ...]:
        """Each board on the floor, and its end before the wall."""
        found = []
        down, home = face_axis(self.edge), face_axis(self.side)
        for m in self._meetings:
            at = {i: sum(m.span(i)) / 2 for i in range(3)}
            low, high = m.span(down)
            floor = {**at, down: high if is_low(self.edge) else low}
            found.append(m.gap("floor", floor, signed(down, up=is_low(self.edge)), 0.0))
            low, high = m.span(home)
            end = {**at, home: high if is_low(self.side) else low}
            toward = signed(home, up=is_low(self.side))
            found.append(m.gap("end", end, toward, self.end_room))
        return tuple(found)


__all__ = ["SeatRebate"]
