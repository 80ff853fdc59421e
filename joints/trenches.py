"""Trenches: straight cuts across or along a face, with square or leaning walls.

Housings, grooves, rebates, notches and the halves of laps are one operation, a trench; they
differ in which of its sides lie open. The socket of a dovetail is a trench that is wider at its
floor, and the waste beside a dovetail is one whose inner wall leans under.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.corners import (
    CornerKind,
    Corners,
    pocket_cutters,
    refuse_unless_they_fit,
)
from treenail.joints.cuts import Cut
from treenail.joints.cutters import RUN_OUT, BoxCutter, Cutter, PrismCutter
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot, neg, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Joint

#: From where to where along an axis of the member, mm.
Span: TypeAlias = tuple[float, float]

#: The member's axes as unit vectors.
AXES: tuple[Vec, Vec, Vec] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
#: Nearer than this to the stock's face, a side lies in it, mm.
FLUSH = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Trench(Cut):
    """A straight trench: ``length`` along x, ``width`` along y, centred on the frame.

    A side that lies in a face of the stock is open there.

    Attributes:
        length: along its run, mm.
        width: of its mouth, mm.
        depth: from the face to the floor, mm.
        lean: how much farther out than the mouth the floor goes on the low and the high y side,
            mm; 0 for a square wall.
        corners: of its closed ends (``low``, ``high``) where a round cutter leaves them; None
            where they are square, or there are none.
    """

    length: float
    width: float
    depth: float
    lean: tuple[float, float] = (0.0, 0.0)
    corners: Corners | None = None

    def __post_init__(self) -> None:
        """Refuse corners that run together (GeometryError)."""
        if self.corners is not None:
            refuse_unless_they_fit(self.joint, self.length, self.width, self.corners)

    def side(self, x: float, y: float) -> Vec:
        """Middle of a side's mouth in the member's coordinates: (-1, 0) is the low x side."""
        return self.frame.point((x * self.length / 2, y * self.width / 2, 0.0))

    def is_open(self, member: Member, x: float, y: float) -> bool:
        """Whether the side that looks to (x, y) lies in (or beyond) a face of the stock."""
        outward = self.frame.direction((x, y, 0.0))
        return _beyond(member, self.side(x, y), outward)

    def cutters(self, member: Member) -> tuple[Cutter, ...]:
        """A box, or a prism along the run; it runs out at the mouth and at each open side."""
        x0, x1 = (
            side * (self.length / 2 + (RUN_OUT if self.is_open(member, side, 0.0) else 0.0))
            for side in (-1.0, 1.0)
        )
        low, high = (
            side * (self.width / 2 + (RUN_OUT if self.is_open(member, 0.0, side) else 0.0))
            for side in (-1.0, 1.0)
        )
        top, deep = -RUN_OUT, self.depth
        if self.corners is not None:
            start = self.frame.shifted(((x0 + x1) / 2, 0.0, top))
            return pocket_cutters(start, x1 - x0, self.width, deep - top, self.corners)
        if not any(self.lean):
            corner = self.frame.shifted((x0, low, top))
            return (BoxCutter(corner, (x1 - x0, high - low, deep - top)),)
        # The walls go on as straight through the mouth: the profile stays convex.
        a, b = (out / deep for out in self.lean)
        profile = (
            (low - a * top, top),
            (high + b * top, top),
            (high + b * deep, deep),
            (low - a * deep, deep),
        )
        start = self.frame.shifted((x0, 0.0, 0.0))
        return (PrismCutter(Frame(start.origin, start.y, start.z, start.x), profile, x1 - x0),)

    def openings(self, member: Member) -> tuple[tuple[Face, tuple[Vec, ...]], ...]:
        """(face, corners of the opening in it) of each open side, in the member's coordinates."""
        half_x, half_y = self.length / 2, self.width / 2
        at = self.frame.point
        found = []
        for side in (-1.0, 1.0):
            if self.is_open(member, side, 0.0):
                x = side * half_x
                low, high = -half_y - self.lean[0], half_y + self.lean[1]
                profile = ((-half_y, 0.0), (half_y, 0.0), (high, self.depth), (low, self.depth))
                corners = tuple(at((x, y, z)) for y, z in profile)
                found.append((_face_of(self.frame.direction((side, 0.0, 0.0))), corners))
            if self.is_open(member, 0.0, side):
                y = side * half_y
                runs = ((-half_x, 0.0), (half_x, 0.0), (half_x, self.depth), (-half_x, self.depth))
                corners = tuple(at((x, y, z)) for x, z in runs)
                found.append((_face_of(self.frame.direction((0.0, side, 0.0))), corners))
        return tuple(found)


def _beyond(member: Member, point: Vec, outward: Vec) -> bool:
    for i in range(3):
        if outward[i] > 0.5:
            return point[i] >= member.size[i] - FLUSH
        if outward[i] < -0.5:
            return point[i] <= FLUSH
    return False


def _face_of(outward: Vec) -> Face:
    return max(Face, key=lambda f: dot(f.outward, outward))


def axis_of(direction: Vec) -> int | None:
    """The axis along which a unit direction lies, either way; None if it lies aslant."""
    for i in range(3):
        if abs(direction[i]) > 1.0 - 1e-9:
            return i
    return None


def face_axis(face: Face) -> int:
    """The member's axis that stands on a face: 0, 1 or 2."""
    axis = axis_of(face.inward)
    assert axis is not None
    return axis


def in_face(face: Face) -> tuple[int, int]:
    """The two axes that lie in a face."""
    first, second = (i for i in range(3) if i != face_axis(face))
    return first, second


def is_low(face: Face) -> bool:
    """Whether a face lies at coordinate 0 of its axis."""
    return face.inward[face_axis(face)] > 0.0


def face_level(member: Member, face: Face) -> float:
    """Where a face lies on its axis, mm."""
    return 0.0 if is_low(face) else member.extent(face)


def trench(
    joint: Joint,
    member: Member,
    face: Face,
    spans: Mapping[int, Span],
    depth: float,
    *,
    run: int,
    purpose: str,
    lean: tuple[float, float] = (0.0, 0.0),
) -> Trench:
    """A trench from where it lies on a face.

    Args:
        joint: that asks for it.
        member: that is cut.
        face: where the tool enters.
        spans: for both axes in the face, from where to where, mm.
        depth: mm.
        run: the axis along which it runs.
        purpose: in shop words.
        lean: of its low and its high wall on the other axis.

    Raises:
        GeometryError: it has no size, or goes right through.
    """
    across = 3 - run - face_axis(face)
    length, width = (spans[i][1] - spans[i][0] for i in (run, across))
    if min(length, width, depth) <= FLUSH:
        raise GeometryError(
            f"{joint.name}: no room for a {purpose} in {member.name} ({length:g} x {width:g} mm, "
            f"{depth:g} mm deep)"
        )
    if depth >= member.extent(face) - FLUSH:
        raise GeometryError(
            f"{joint.name}: a {purpose} {depth:g} mm deep goes through {member.name}, which is "
            f"{member.extent(face):g} mm there"
        )
    middle = [0.0, 0.0, 0.0]
    middle[face_axis(face)] = face_level(member, face)
    for i in (run, across):
        middle[i] = sum(spans[i]) / 2
    frame = Frame.from_zx((middle[0], middle[1], middle[2]), face.inward, AXES[run]).snapped()
    if frame.y[across] < 0.0:
        lean = (lean[1], lean[0])
    return Trench(
        joint=joint.name,
        purpose=purpose,
        face=face,
        frame=frame,
        length=snap(length),
        width=snap(width),
        depth=snap(depth),
        lean=(snap(lean[0]), snap(lean[1])),
    )


def with_corners(cut: Trench, member: Member, kind: CornerKind, cutter: float) -> Trench:
    """The trench with round or relieved corners at its ends that are closed on three sides."""
    if kind == "square" or any(cut.lean) or any(cut.is_open(member, 0.0, y) for y in (-1.0, 1.0)):
        return cut
    low, high = (not cut.is_open(member, x, 0.0) for x in (-1.0, 1.0))
    if not (low or high):
        return cut
    return replace(cut, corners=Corners(kind, cutter / 2.0, low=low, high=high))


def signed(axis: int, *, up: bool) -> Vec:
    """The unit vector along an axis, up or down."""
    return AXES[axis] if up else neg(AXES[axis])
