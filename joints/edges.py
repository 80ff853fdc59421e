"""Joints along edges: tongue and groove, rebate, loose spline.

Pieces glued edge to edge without cuts are :class:`treenail.joints.features.EdgeGlue`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.blocks import hull
from treenail.joints.fits import FITS, Fit, tool_size_for
from treenail.joints.housed import Housed
from treenail.joints.trenches import AXES, FLUSH, Span
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, neg, snap
from treenail.timber.member import Member

if TYPE_CHECKING:
    from treenail.joints.base import Gap
    from treenail.timber.species import Species


def third(thickness: float) -> float:
    """A tongue or groove for a board: about a third, as wide as a tool, at most half; mm."""
    return min(tool_size_for(thickness / 3, largest=thickness / 2), thickness / 2)


@dataclass(frozen=True, kw_only=True)
class TongueGroove(Housed):
    """A tongue along one member's edge (or end) in a groove of the other.

    The members are placed with the entering one's edge in the other by the tongue's reach.

    Attributes:
        tongue: its thickness, in the middle of the entering member's, mm; None takes about a
            third, as wide as a tool.
        open_by: how far the shoulders stand off the other's face, mm: for boards that must move.
    """

    fit: Fit = FITS["easy"]
    tongue: float | None = None
    open_by: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what other housed joints refuse, and a negative opening."""
        if self.open_by < 0.0:
            raise GeometryError(f"{self.name}: shoulders can't stand in the wood")
        super().__post_init__()

    @property
    def kind(self) -> str:
        """``tongue and groove``."""
        return "tongue and groove"

    @property
    def trench_name(self) -> str:
        """``groove``."""
        return "groove"

    @cached_property
    def shoulders(self) -> tuple[float, float]:
        """Alike on both sides of the tongue."""
        wide = third(self.thickness) if self.tongue is None else self.tongue
        side = (self.thickness - wide) / 2
        return (side, side)

    @property
    def shoulder_room(self) -> float:
        """As given."""
        return self.open_by

    @property
    def bottom(self) -> float:
        """More than the opening, so that boards that swell meet at their shoulders first."""
        return self.fit.bottom.mid + self.open_by


@dataclass(frozen=True, kw_only=True)
class PanelGroove(Housed):
    """A board's edge (or end), whole, in a groove that is deeper than it reaches: free to move.

    Attributes:
        fit: easier than a glued joint's, since it has to slide.
        room: between the edge and the groove's floor, mm.
        runs_into: the groove's end runs into another one: there is no wall there.
        runs_out: the groove runs from end to end of the receiver, however short the panel is.
    """

    fit: Fit = FITS["easy"]
    room: float = 0.0
    runs_into: bool = False
    runs_out: bool = False

    def __post_init__(self) -> None:
        """Refuse what other housed joints refuse, and a negative room."""
        if self.room < 0.0:
            raise GeometryError(f"{self.name}: the panel's edge must not reach into the floor")
        super().__post_init__()

    @property
    def kind(self) -> str:
        """``panel in a groove``."""
        return "panel in a groove"

    @property
    def trench_name(self) -> str:
        """``groove``."""
        return "groove"

    @property
    def bottom(self) -> float:
        """As given."""
        return self.room

    @cached_property
    def _room(self) -> tuple[dict[int, Span], dict[int, list[tuple[bool, float]]]]:
        spans, ends = super()._room
        if self.runs_out:
            spans = {**spans, self.run: (0.0, self.receiver.size[self.run])}
            ends = {**ends, self.run: []}
        return spans, ends

    def gaps(self) -> tuple[Gap, ...]:
        """As for every housed joint; none at an end without a wall."""
        found = super().gaps()
        return tuple(g for g in found if g.what != "end") if self.runs_into else found


@dataclass(frozen=True, kw_only=True)
class Rebate(Housed):
    """A member's end or edge in a step along the other's edge; it stays whole."""

    def __post_init__(self) -> None:
        """Refuse what other housed joints refuse, and a step with walls on both sides."""
        super().__post_init__()
        if len(self._room[1][self.across]) == 2:
            raise GeometryError(
                f"{self.name}: {self.entering.name} does not lie at an edge of "
                f"{self.receiver.name}; between two walls it is a housing"
            )

    @property
    def kind(self) -> str:
        """``rebate``."""
        return "rebate"


@dataclass(frozen=True, kw_only=True)
class LooseSpline(Housed):
    """A groove for a loose strip that stands in another member's groove as well.

    Two of these, with the same strip as the entering member, join two edges
    (:func:`spline_between` makes the strip). The groove is worked from one face: the strip lies
    on its wall there, and has all its play behind.
    """

    @property
    def kind(self) -> str:
        """``loose spline``."""
        return "loose spline"

    @property
    def trench_name(self) -> str:
        """``groove``."""
        return "groove"

    @property
    def bottom(self) -> float:
        """Half of what the fit leaves under a tenon, for the strip has two ends."""
        return self.fit.bottom.mid / 2

    @property
    def one_sided(self) -> bool:
        """Yes."""
        return True


def spline_between(
    name: str,
    first: Member,
    second: Member,
    *,
    species: Species | None = None,
    thickness: float | None = None,
    reach: float | None = None,
    inset: float = 0.0,
) -> Member:
    """A strip for a loose spline, in the middle of the edges where two members touch.

    Args:
        name: the strip's.
        first: a member.
        second: the other, square to it and touching it.
        species: the first's if None.
        thickness: mm; None takes about a third of the thinner edge, as thick as a tool.
        reach: into each member, mm; None takes the strip's thickness and a half.
        inset: how far it stops short of each end of the edge, mm.

    Raises:
        GeometryError: the two lie apart or in each other, or touch along a line only.
    """
    low, high = hull([first.placement.local_point(p) for p in second.world_corners()])
    spans = [(max(a, 0.0), min(b, s)) for a, b, s in zip(low, high, first.size, strict=True)]
    away = [max(a - s, -b) for a, b, s in zip(low, high, first.size, strict=True)]
    axis = max(range(3), key=lambda i: away[i])
    if abs(away[axis]) > FLUSH:
        state = f"lie {away[axis]:g} mm apart" if away[axis] > 0.0 else "stand in each other"
        raise GeometryError(f"{name}: {first.name} and {second.name} {state}; they must touch")
    others = [i for i in range(3) if i != axis]
    along, across = sorted(others, key=lambda i: spans[i][0] - spans[i][1])
    long, wide = (spans[i][1] - spans[i][0] for i in (along, across))
    thick = third(wide) if thickness is None else thickness
    deep = 1.5 * thick if reach is None else reach
    if wide - thick <= FLUSH or long - 2 * inset <= FLUSH or min(thick, deep) <= 0.0:
        raise GeometryError(f"{name}: no room for a spline between {first.name} and {second.name}")
    corner = [0.0, 0.0, 0.0]
    corner[along] = spans[along][0] + inset
    corner[axis] = spans[axis][0] - deep
    corner[across] = sum(spans[across]) / 2 - thick / 2
    x, y = AXES[along], AXES[axis]
    frame = Frame.from_zx((corner[0], corner[1], corner[2]), AXES[across], x)
    if frame.y != y:  # left-handed: the strip's grain runs the other way
        corner[along] += long - 2 * inset
        frame = Frame.from_zx((corner[0], corner[1], corner[2]), AXES[across], neg(x))
    return Member(
        name=name,
        role="spline",
        length=snap(long - 2 * inset),
        width=snap(2 * deep),
        thickness=snap(thick),
        species=species or first.species,
        placement=first.placement.place(frame).snapped(),
        assembly=first.assembly,
    )
