"""Half laps, cross laps and notches: members let into each other where they cross.

A joint is given two placed members whose stock fills the same space; from which face the second
comes, how deep, and where each is cut follow from that.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.meetings import SIZES, LetIn, Meeting, inside, middle
from treenail.joints.trenches import (
    FLUSH,
    Span,
    Trench,
    face_axis,
    in_face,
    trench,
    with_corners,
)
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Gap, Number
    from treenail.joints.cuts import Cut
    from treenail.joints.fits import Fit
    from treenail.timber.member import Face


@dataclass(frozen=True)
class _Half:
    """One member's part of a lap: where the other lies in it and how deep."""

    meeting: Meeting
    face: Face
    depth: float
    fit: Fit

    def plan(self) -> tuple[dict[int, Span], list[tuple[int, Span, list[tuple[bool, float]]]]]:
        """Spans of the trench in its face, and (axis, the other's span, closed ends) of each."""
        m = self.meeting
        spans, walls = {}, []
        for axis in in_face(self.face):
            between, single = self.fit.cheek.mid / 2, 0.0
            if axis == m.grain:
                # An end inside the trench; of two that lie end to end, both ends seat.
                between = single = 0.0 if m.grain == 0 else self.fit.bottom.mid
            span = m.span(axis)
            spans[axis], shut = m.widened(axis, span, between=between, single=single)
            walls.append((axis, span, shut))
        return spans, walls

    def cut(self, joint: LetIn, purpose: str) -> Trench:
        run = next(i for i in in_face(self.face) if i != 0)
        m, spans = self.meeting.member, self.plan()[0]
        own = trench(joint, m, self.face, spans, self.depth, run=run, purpose=purpose)
        return with_corners(own, m, joint.corners, joint.cutter)

    def gaps(self) -> list[Gap]:
        m = self.meeting
        at = {i: middle(m.span(i)) for i in in_face(self.face)}
        at[face_axis(self.face)] = inside(m.member, self.face, self.depth / 2)
        _, walls = self.plan()
        return [
            gap
            for axis, span, shut in walls
            for gap in m.wall_gaps("end" if axis == m.grain else "wall", axis, span, shut, at)
        ]


@dataclass(frozen=True, kw_only=True)
class Lap(LetIn):
    """What half laps and notches have in common.

    Of the fit the cheek limits hold where walls stand on both sides; a single wall seats. Where
    the two are flush on both faces, the cut face is the face side (or face edge).

    Attributes:
        dry: no glue goes in: pegs or bolts hold it, and the pieces move across each other.
    """

    dry: bool = False

    def __post_init__(self) -> None:
        """Refuse members that don't meet, and cuts that leave nothing (GeometryError)."""
        if not 0.0 < self.portion <= 1.0:
            raise GeometryError(
                f"{self.name}: the receiver's share of the depth must be over 0 and at most 1"
            )
        if self.corners == "round":
            raise GeometryError(
                f"{self.name}: round corners would stand in the way of {self.entering.name}, which "
                "stays square; take square or relieved ones"
            )
        self.cuts()

    @property
    def portion(self) -> float:
        """The share of the depth that is cut from the receiver."""
        raise NotImplementedError

    @cached_property
    def entry(self) -> tuple[Face, float]:
        """Square to both grains; of two that lie end to end, the face side or the one given."""
        grain = self.meeting.grain
        if grain == 0:
            axis = 2 if self.face is None else face_axis(self.face)
            if axis == 0:
                raise GeometryError(f"{self.name}: a lap is not cut from an end")
        else:
            axis = 3 - grain
        return self.meeting.entry((axis,), self.face)

    @property
    def overlap(self) -> float:
        """How deep the two stand in each other, mm."""
        return self.entry[1]

    @property
    def depth(self) -> float:
        """Depth of the receiver's cut, mm."""
        return self.overlap * self.portion

    @cached_property
    def _halves(self) -> tuple[_Half, ...]:
        mine = _Half(self.meeting, self.cut_face, self.depth, self.fit)
        rest = self.overlap - self.depth
        if rest <= FLUSH:
            return (mine,)
        back = Meeting(self.name, self.entering, self.receiver)
        return mine, _Half(back, self.entering_face, rest, self.fit)

    @cached_property
    def crosses(self) -> bool:
        """Whether both members run on beyond the joint, on both sides."""
        ends = [m.widened(0, m.span(0), between=0.0, single=0.0)[1] for m in self._both_ways()]
        return all(len(shut) == 2 for shut in ends)

    def _both_ways(self) -> tuple[Meeting, Meeting]:
        return self.meeting, Meeting(self.name, self.entering, self.receiver)

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A trench in each member that is cut."""
        return {h.meeting.member.name: (h.cut(self, self.purpose),) for h in self._halves}

    def numbers(self) -> Mapping[str, Number]:
        """How deep the two stand in each other, and each one's cut."""
        found: dict[str, Number] = {"overlap_mm": snap(self.overlap)}
        for who, half in zip(("receiver", "entering"), self._halves, strict=False):
            own = half.cut(self, self.purpose)
            found |= {
                f"{who}_cut_depth_mm": own.depth,
                f"{who}_cut_width_mm": own.width,
                f"{who}_cut_length_mm": own.length,
            }
        return found

    @property
    def let_in_size(self) -> str:
        """Which of the entering member's sizes lies across the receiver's cut."""
        return SIZES[next(i for i in in_face(self.entering_face) if i != 0)]

    def mouth(self, *, ends: bool = False) -> tuple[float, int]:
        """(size of the receiver's cut, number of its walls) across the entering member, mm.

        With ``ends``, along the entering member's grain instead.
        """
        m = self.meeting
        spans, walls = self._halves[0].plan()
        axis, _, shut = next(w for w in walls if (w[0] == m.grain) is ends)
        return snap(spans[axis][1] - spans[axis][0]), len(shut)

    @property
    def purpose(self) -> str:
        """What the cuts are called."""
        return self.kind

    def gaps(self) -> tuple[Gap, ...]:
        """The floor, where the two touch, and the walls."""
        m = self.meeting
        at = {i: middle(m.span(i)) for i in in_face(self.cut_face)}
        at[face_axis(self.cut_face)] = inside(self.receiver, self.cut_face, self.depth)
        floor = m.gap("floor", at, self.cut_face.inward, 0.0)
        return (floor, *(g for h in self._halves for g in h.gaps()))


@dataclass(frozen=True, kw_only=True)
class HalfLap(Lap):
    """Two members that each give up part of their thickness where they cross or end.

    A cross lap where both run on, a corner or tee lap where one or both end, a lengthened piece
    where both lie end to end.

    Attributes:
        share: of the depth, cut from the receiver: half by default.
    """

    share: float = 0.5

    @property
    def kind(self) -> str:
        """``cross lap`` or ``half lap``."""
        return "cross lap" if self.crosses else "half lap"

    @property
    def portion(self) -> float:
        """The receiver's share."""
        return self.share


@dataclass(frozen=True, kw_only=True)
class Notch(Lap):
    """One member notched for another that stays whole: a post over a rail, an apron in a post."""

    @property
    def kind(self) -> str:
        """``notch``."""
        return "notch"

    @property
    def portion(self) -> float:
        """All of it is cut from the receiver."""
        return 1.0
