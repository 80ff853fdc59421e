"""Surfaces that cuts leave, as boxes in which their faces lie; those of cuts that lie aslant."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_cuts import AngledMortise, AngledTenonEnd, EndBevel, EndPlane, SkewNotch
from treenail.timber.frames import Frame, Vec

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.timber.member import Member

#: How far a face may lie off the wall that it is, mm.
TOLERANCE = 1e-6
#: Beyond all of a piece, mm.
_FAR = 1e5

Aslant: TypeAlias = AngledMortise | AngledTenonEnd | EndBevel | SkewNotch


@dataclass(frozen=True, slots=True)
class Wall:
    """A surface of a cut, and the box in which its faces lie.

    Attributes:
        name: see the module.
        frame: in the member's coordinates.
        low, high: corners of the box in ``frame``, mm. A plane's box is flat along ``axis``.
        axis: the plane's normal is the frame's x, y or z (0, 1, 2); None for a cylinder.
        radius: of a cylinder about the line along the frame's z through ``centre``, mm.
        centre: (x, y) of that line in the frame, mm.
    """

    name: str
    frame: Frame
    low: Vec
    high: Vec
    axis: int | None = None
    radius: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)

    def holds(self, points: Iterable[Vec]) -> bool:
        """Whether all points (member's coordinates) lie in the box."""
        for p in points:
            q = self.frame.local_point(p)
            for low, value, high in zip(self.low, q, self.high, strict=True):
                if not low - TOLERANCE <= value <= high + TOLERANCE:
                    return False
        return True


def plane(name: str, frame: Frame, low: Vec, high: Vec, axis: int, at: float) -> Wall:
    """The part of the box [low, high] that lies at ``at`` along ``axis``."""
    flat_low, flat_high = list(low), list(high)
    flat_low[axis] = flat_high[axis] = at
    return Wall(
        name,
        frame,
        (flat_low[0], flat_low[1], flat_low[2]),
        (flat_high[0], flat_high[1], flat_high[2]),
        axis,
    )


def pair(name: str, frame: Frame, low: Vec, high: Vec, axis: int) -> list[Wall]:
    """The box's two walls across an axis: A first, the nearer to the reference faces."""
    across = (frame.x, frame.y, frame.z)[axis]
    # Of a direction's components the largest says whether it leads away from them.
    leads_away = max(across, key=abs) > 0.0
    a, b = (low[axis], high[axis]) if leads_away else (high[axis], low[axis])
    return [
        plane(f"{name}_A", frame, low, high, axis, a),
        plane(f"{name}_B", frame, low, high, axis, b),
    ]


def aslant_walls(name: str, member: Member, cut: Aslant) -> list[Wall]:
    """The walls of a cut that lies aslant to its member."""
    if isinstance(cut, EndBevel):
        return [_across_end(name, cut.frame, cut.plane)]
    if isinstance(cut, AngledTenonEnd):
        deep = cut.shoulder.reach(member)
        low, high = (cut.x0, cut.y0, 0.0), (cut.x1, cut.y1, deep)
        found = [
            *pair(f"{name}_CHEEK", cut.frame, low, high, 1),
            *pair(f"{name}_EDGE", cut.frame, low, high, 0),
        ]
        if cut.tip is None:
            found.append(plane(f"{name}_END", cut.frame, low, high, 2, 0.0))
        else:
            found.append(_across_end(f"{name}_END", cut.frame, cut.tip))
        return [*found, _across_end(f"{name}_SHOULDER", cut.frame, cut.shoulder)]
    f, b = cut.frame, cut.width / 2.0
    if isinstance(cut, SkewNotch):
        low, high = (-_FAR, -b, 0.0), (_FAR, b, cut.depth)
        found = pair(f"{name}_EDGE", f, low, high, 1)
        return [*found, plane(f"{name}_BOTTOM", f, low, high, 2, cut.depth)]
    spots = (*cut.mouth(), *cut.exit())
    a = max(abs(p[0]) for p in spots)
    low = (-a, -b, min(p[2] for p in spots))
    high = (a, b, max(p[2] for p in spots))
    found = pair(f"{name}_CHEEK", f, low, high, 1)
    straight = (-cut.length / 2.0, -b, low[2]), (cut.length / 2.0, b, high[2])
    found += pair(f"{name}_EDGE", f, *straight, 0)
    if not cut.through:
        found.append(plane(f"{name}_BOTTOM", f, low, high, 2, cut.depth))
    return found


def _across_end(name: str, end: Frame, cut: EndPlane) -> Wall:
    """The plane that ends a piece, as far as the piece goes."""
    nx, _, nz = cut.normal
    frame = end.place(Frame.from_zx((0.0, 0.0, cut.depth(0.0, 0.0)), cut.normal, (nz, 0.0, -nx)))
    return plane(name, frame, (-_FAR, -_FAR, 0.0), (_FAR, _FAR, 0.0), 2, 0.0)


__all__ = ["TOLERANCE", "Wall", "aslant_walls", "pair", "plane"]
