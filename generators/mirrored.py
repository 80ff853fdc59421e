"""Members that are each other's mirror image, such as the left and right posts of a bench.

Told from the numbers alone: the cutters' corner points, reflected, are the other's. A mirrored
copy costs a hundredth of a boolean.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Literal

from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    Cutter,
    PrismCutter,
)
from treenail.timber.frames import Vec, snap_vec

if TYPE_CHECKING:
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Member

#: The reflections tried: at the middle plane of an axis, or across the plane y = z.
Reflection = Literal["x", "y", "z", "yz"]


def _points(cutter: Cutter) -> tuple[str, tuple[Vec, ...], tuple[Vec, ...]] | None:
    """(what, points in order, points in any order) that fix a cutter; None: not known here."""
    f = cutter.frame
    match cutter:
        case BoxCutter():
            a, b, c = cutter.size
            corners = [f.point((x, y, z)) for x in (0.0, a) for y in (0.0, b) for z in (0.0, c)]
            return ("box", (), tuple(corners))
        case BoreCutter():
            ends = (f.origin, f.point((0.0, 0.0, cutter.depth)))
            return (f"bore {cutter.diameter!r}", ends, ())
        case PrismCutter():
            corners = [f.point((x, y, z)) for x, y in cutter.points for z in (0.0, cutter.depth)]
            return ("prism", (), tuple(corners))
        case BevelCutter():
            w, t = cutter.width, cutter.thickness
            corners = [f.point(p) for p in ((0, 0, 0), (w, 0, 0), (0, t, 0), (w, t, 0))]
            return (f"bevel {cutter.leg!r}", (), tuple(corners))
        case _:
            return None


def _reflect(member: Member, how: Reflection | None) -> Callable[[Vec], Vec]:
    length, width, thickness = member.size
    match how:
        case "x":
            return lambda p: (length - p[0], p[1], p[2])
        case "y":
            return lambda p: (p[0], width - p[1], p[2])
        case "z":
            return lambda p: (p[0], p[1], thickness - p[2])
        case "yz":
            return lambda p: (p[0], p[2], p[1])
        case None:
            return lambda p: p


def outline_key(member: Member, cuts: Sequence[Cut], how: Reflection | None = None) -> str | None:
    """A text that two members share if one, reflected, is the other; None: can't be told."""
    if member.round_section:
        return None
    reflect = _reflect(member, how)
    found = []
    for cut in cuts:
        for cutter in cut.cutters(member):
            known = _points(cutter)
            if known is None:
                return None
            what, ordered, free = known
            here = [snap_vec(reflect(p)) for p in ordered]
            there = sorted(snap_vec(reflect(p)) for p in free)
            found.append(f"{what}{here}{there}")
    return repr(member.size) + "".join(sorted(found))


def reflections(member: Member) -> Iterable[Reflection]:
    """The reflections that carry the member's stock onto itself."""
    yield from ("x", "y", "z")
    if member.width == member.thickness:
        yield "yz"
