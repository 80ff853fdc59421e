"""What joints have in common in which one member's end or edge stands in a trench of the other.

Housings, sliding dovetails, tongues in grooves and rebates: the entering member reaches into
the receiver at one face; what of it is thinned to a tongue, and how much room the trench gives,
is all in which they differ.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.cuts import TenonEnd
from treenail.joints.meetings import SIZES, LetIn, inside, middle
from treenail.joints.trenches import (
    AXES,
    FLUSH,
    Span,
    Trench,
    face_axis,
    in_face,
    is_low,
    trench,
    with_corners,
)
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Gap, Number
    from treenail.joints.cuts import Cut


@dataclass(frozen=True, kw_only=True)
class Housed(LetIn):
    """One member's end or edge in a trench of another.

    Of the fit the cheek limits hold across the trench, the edge limits at its ends. Where no
    face is given, it is the one into which the entering member reaches least.

    Attributes:
        stop: how far the trench stops short of ``stop_at``, mm; 0 runs it out.
        stop_at: the receiver's face at which it stops.
    """

    stop: float = 0.0
    stop_at: Face | None = None

    def __post_init__(self) -> None:
        """Refuse members that don't meet, and sizes that leave no wood (GeometryError)."""
        low, high = self.shoulders
        if min(low, high) < 0.0 or low + high >= self.thickness - FLUSH:
            raise GeometryError(
                f"{self.name}: shoulders of {low:g} and {high:g} mm leave nothing of "
                f"{self.entering.name}'s {self.thickness:g} mm"
            )
        if self.lean and min(low, high) <= self.lean:
            raise GeometryError(
                f"{self.name}: a dovetail that widens by {self.lean:g} mm needs wider shoulders "
                f"than {min(low, high):g} mm"
            )
        if self.slope and self.corners != "square":
            raise GeometryError(f"{self.name}: a dovetail's socket has square corners")
        if self.stop and (self.stop_at is None or face_axis(self.stop_at) != self.run):
            raise GeometryError(
                f"{self.name}: the trench does not run to {self.receiver.name}'s {self.stop_at}"
            )
        self.cuts()

    # -- what the joints of this kind say -----------------------------------------------------

    @property
    def shoulders(self) -> tuple[float, float]:
        """Shoulders beside the tongue, on the entering member's face side (or edge) and back."""
        return (0.0, 0.0)

    @property
    def slope(self) -> float:
        """How far the tongue widens for each mm of its height; 0 for a square one."""
        return 0.0

    @property
    def bottom(self) -> float:
        """Room between the tongue's end and the floor, mm; without shoulders they touch."""
        return self.fit.bottom.mid if any(self.shoulders) else 0.0

    @property
    def shoulder_room(self) -> float:
        """Room between the shoulders and the receiver's face, mm."""
        return 0.0

    @property
    def one_sided(self) -> bool:
        """Whether all of the room across the trench lies on its high side."""
        return False

    @property
    def trench_run(self) -> Span | None:
        """From where to where the trench runs, in the receiver, where not along the tongue; mm."""
        return None

    @property
    def trench_name(self) -> str:
        """What the receiver's cut is called."""
        return self.kind

    # -- where it is --------------------------------------------------------------------------

    @property
    def reach(self) -> float:
        """How deep the entering member stands in the receiver, mm."""
        return self.entry[1]

    @property
    def height(self) -> float:
        """The tongue's height over its shoulders, mm."""
        return snap(self.reach + self.shoulder_room)

    @property
    def lean(self) -> float:
        """How much wider on each side the tongue is at its end than at its shoulders, mm."""
        return self.slope * self.height

    @property
    def depth(self) -> float:
        """The trench's depth, mm."""
        return snap(self.reach + self.bottom)

    @cached_property
    def _axes(self) -> tuple[int, int]:
        """The entering member's own axes: along the trench, and across it."""
        first, second = in_face(self.entering_face)
        size = self.entering.size
        return (first, second) if size[first] >= size[second] else (second, first)

    @property
    def let_in_size(self) -> str:
        """Which of the entering member's sizes lies across the trench."""
        return SIZES[self._axes[1]]

    @property
    def walls(self) -> int:
        """How many walls the trench has beside the entering member."""
        return len(self._room[1][self.across])

    @property
    def thickness(self) -> float:
        """The entering member's size across the trench, mm."""
        return self.entering.size[self._axes[1]]

    @property
    def tongue_thickness(self) -> float:
        """What stands between the shoulders, at their height, mm."""
        low, high = self.shoulders
        return snap(self.thickness - low - high)

    def _receivers(self, axis: int) -> int:
        found = self.meeting.axis(axis)
        assert found is not None
        return found

    @cached_property
    def run(self) -> int:
        """The receiver's axis along which the trench runs."""
        return self._receivers(self._axes[0])

    @cached_property
    def across(self) -> int:
        """The receiver's axis across the trench."""
        return self._receivers(self._axes[1])

    @cached_property
    def _turned(self) -> bool:
        """Whether the entering member's axis across the trench runs against the receiver's."""
        own = self.receiver.placement.local_direction(
            self.entering.placement.direction(AXES[self._axes[1]])
        )
        return own[self.across] < 0.0

    @cached_property
    def tongue_run(self) -> Span:
        """From where to where the tongue stands in the trench, in the receiver, mm."""
        low, high = self.meeting.span(self.run)
        if self.stop and self.stop_at is not None:
            at = inside(self.receiver, self.stop_at, self.stop)
            room = self.fit.edge.mid / 2 + self.end_room
            if is_low(self.stop_at):
                low = max(low, at + room)
            else:
                high = min(high, at - room)
        if high - low <= FLUSH:
            raise GeometryError(
                f"{self.name}: stopped {self.stop:g} mm short, the trench has no length"
            )
        return (low, high)

    @cached_property
    def tongue_span(self) -> Span:
        """The tongue's place across the trench, at its shoulders, in the receiver, mm."""
        low, high = (side[self.across] for side in self.meeting.stock)
        first, second = reversed(self.shoulders) if self._turned else self.shoulders
        low, high = low + first, high - second
        return (max(low, 0.0), min(high, self.receiver.size[self.across]))

    @cached_property
    def _room(self) -> tuple[dict[int, Span], dict[int, list[tuple[bool, float]]]]:
        """The trench's spans, and its closed ends with their room, by axis."""
        m, fit = self.meeting, self.fit
        end = fit.edge.mid / 2 + self.end_room
        along, ends = m.widened(self.run, self.tongue_run, between=end, single=end)
        if self.trench_run is not None:  # it slides: nothing to measure at its ends
            along, ends = self.trench_run, []
        side = 0.0 if self.one_sided else fit.cheek.mid / 2
        over, walls = m.widened(self.across, self.tongue_span, between=side, single=0.0)
        if self.one_sided and len(walls) == 2:
            over = (over[0], over[1] + fit.cheek.mid)
            walls = [(False, 0.0), (True, fit.cheek.mid)]
        return {self.run: along, self.across: over}, {self.run: ends, self.across: walls}

    # -- cuts ---------------------------------------------------------------------------------

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """The trench, and what leaves the entering member so that its tongue stands."""
        out = self.slope * self.depth
        own = trench(
            self,
            self.receiver,
            self.cut_face,
            self._room[0],
            self.depth,
            run=self.run,
            purpose=self.trench_name,
            lean=(out, out),
        )
        own = with_corners(own, self.receiver, self.corners, self.cutter)
        return {self.receiver.name: (own,), self.entering.name: self._tongue()}

    @property
    def _stop_cut(self) -> Span | None:
        """What a stopped trench leaves no place for, on the entering member's axis, mm."""
        if not self.stop or self.stop_at is None:
            return None
        axis, size = self._axes[0], self.entering.size[self._axes[0]]
        low, high = self.tongue_run
        at = [0.0, 0.0, 0.0]
        at[self.run] = low if is_low(self.stop_at) else high
        place = self.receiver.placement.point((at[0], at[1], at[2]))
        level = self.entering.placement.local_point(place)[axis]
        toward = self.entering.placement.local_direction(
            self.receiver.placement.direction(self.stop_at.outward)
        )
        gone = (level, size) if toward[axis] > 0.0 else (0.0, level)
        return gone if gone[1] - gone[0] > FLUSH else None

    def _tongue(self) -> tuple[Cut, ...]:
        gone = self._stop_cut
        if not any(self.shoulders) and gone is None:
            return ()
        along, over = self._axes
        long, thick = self.entering.size[along], self.thickness
        first, second = self.shoulders
        if self.entering_face.is_end and not self.slope:
            keep = [0.0, long]
            if gone is not None:
                keep[0 if gone[0] == 0.0 else 1] = gone[1] if gone[0] == 0.0 else gone[0]
            return (self._tenon({along: (keep[0], keep[1]), over: (first, thick - second)}),)
        waste: list[tuple[Span, Span, tuple[float, float]]] = []
        lean = self.lean
        if first:
            waste.append(((0.0, long), (0.0, first - lean), (0.0, lean)))
        if second:
            waste.append(((0.0, long), (thick - second + lean, thick), (lean, 0.0)))
        if gone is not None:
            waste.append((gone, (0.0, thick), (0.0, 0.0)))
        return tuple(
            trench(
                self,
                self.entering,
                self.entering_face,
                {along: runs, over: spans},
                self.height,
                run=along,
                purpose=f"{self.trench_name} shoulder",
                lean=leans,
            )
            for runs, spans, leans in waste
        )

    def _tenon(self, spans: Mapping[int, Span]) -> TenonEnd:
        """A square tongue on an end is a tenon."""
        (x0, x1), (z0, z1) = spans[1], spans[2]
        if self.entering_face is Face.FAR_END:  # its frame measures from the back side
            z0, z1 = self.entering.thickness - z1, self.entering.thickness - z0
        return TenonEnd(
            joint=self.name,
            purpose="tongue",
            face=self.entering_face,
            frame=self.entering.face_frame(self.entering_face),
            x0=snap(x0),
            x1=snap(x1),
            y0=snap(z0),
            y1=snap(z1),
            length=self.height,
        )

    def numbers(self) -> Mapping[str, Number]:
        """The trench's sizes and the tongue's."""
        own = self.cuts()[self.receiver.name][0]
        assert isinstance(own, Trench)
        found: dict[str, Number] = {
            "reach_mm": snap(self.reach),
            "trench_depth_mm": self.depth,
            "trench_width_mm": own.width,
            "trench_length_mm": own.length,
        }
        if any(self.shoulders):
            found |= {"tongue_mm": self.tongue_thickness, "tongue_height_mm": self.height}
        if self.slope:
            found["rise"] = snap(self.slope)
        if self.shoulder_room:
            found["open_by_mm"] = self.shoulder_room
        if self.stop:
            found["stop_mm"] = self.stop
        return found

    # -- rooms --------------------------------------------------------------------------------

    def gaps(self) -> tuple[Gap, ...]:
        """Floor, shoulders, cheeks and ends."""
        return (*self._seats(), *self._cheeks(), *self._ends())

    def _point(self, over: float, depth: float) -> dict[int, float]:
        """Half-way along the tongue, at a place across it and a depth below the face."""
        return {
            self.run: middle(self.tongue_run),
            self.across: over,
            face_axis(self.cut_face): inside(self.receiver, self.cut_face, depth),
        }

    def _seats(self) -> list[Gap]:
        m, home = self.meeting, self.cut_face.inward
        low, high = self.tongue_span
        found = [m.gap("floor", self._point(middle((low, high)), self.reach), home, self.bottom)]
        size = self.receiver.size[self.across]
        stock = self.meeting.stock
        for edge, outer in ((low, stock[0][self.across]), (high, stock[1][self.across])):
            at = middle((edge, outer))
            if abs(edge - outer) > FLUSH and FLUSH < at < size - FLUSH:
                point = self._point(at, -self.shoulder_room)
                found.append(m.gap("shoulder", point, home, self.shoulder_room))
        return found

    def _cheeks(self) -> list[Gap]:
        m, slope, home = self.meeting, self.slope, self.cut_face.inward
        tilt = math.hypot(1.0, slope)
        found = []
        for up, room in self._room[1][self.across]:
            sign = 1.0 if up else -1.0
            at = self.tongue_span[up] + sign * slope * self.reach / 2
            # A dovetail's flank looks a little back, away from the floor.
            outward = [-slope * h for h in home]
            outward[self.across] = sign
            toward = (outward[0] / tilt, outward[1] / tilt, outward[2] / tilt)
            found.append(m.gap("cheek", self._point(at, self.reach / 2), toward, room / tilt))
        return found

    def _ends(self) -> list[Gap]:
        at = self._point(middle(self.tongue_span), self.reach / 2)
        return self.meeting.wall_gaps("end", self.run, self.tongue_run, self._room[1][self.run], at)
