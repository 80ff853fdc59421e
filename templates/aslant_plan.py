"""How cuts that lie aslant look on a member's faces and ends. Numbers only.

A plane through an end is drawn on each face as the line in which it meets that face, so that the
development, folded around the piece, shows one line around it. A mortise that leans is drawn by
its true mouth on the face and where it comes out, both parallelograms.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.angled_cuts import (
    AngledMortise,
    AngledTenonEnd,
    EndBevel,
    EndPlane,
    SkewNotch,
)
from treenail.joints.cuts import Bore
from treenail.joints.shaped_cuts import ConeSocket
from treenail.templates.figures import Figure, Line, quadrilateral
from treenail.timber.frames import Vec
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from treenail.joints.cuts import Cut
    from treenail.templates.end_plan import Profile
    from treenail.templates.figures import Point, Reach

__all__ = [
    "ASLANT",
    "LEVEL",
    "POCKETS",
    "aslant_figures",
    "aslant_kerfs",
    "aslant_lines",
    "aslant_mouths",
    "aslant_notes",
    "aslant_profile",
    "aslant_words",
    "sight_lines",
]

AslantEnd: TypeAlias = AngledTenonEnd | EndBevel
AslantPocket: TypeAlias = AngledMortise | SkewNotch
POCKETS = (AngledMortise, SkewNotch)
ASLANT = (AngledMortise, AngledTenonEnd, EndBevel, SkewNotch)
#: Holes that lean less are square, radians.
LEVEL = 1e-6
_SIDES = (Face.FACE_SIDE, Face.BACK_SIDE)


def _degrees(angle: float) -> str:
    return f"{math.degrees(abs(angle)) + 0.0:.2f} deg"


def aslant_words(cut: Cut, member: Member) -> str:
    """Its angles in words, for labels."""
    if isinstance(cut, SkewNotch):
        return f"turned {_degrees(cut.turn)} from square across"
    along, across = cut.leans(member)
    return (
        f"leans {_degrees(cut.tilt)} in all, {_degrees(along)} along the grain and "
        f"{_degrees(across)} across; sight angle {_degrees(cut.sight(member))} from the grain"
    )


def aslant_notes(member: Member, cuts: Sequence[Cut]) -> list[str]:
    """Lines for a sheet's notes: the bevel gauges and saw settings of each such cut, once."""
    found: dict[str, None] = {}
    for cut in cuts:
        leans = isinstance(cut, Bore | ConeSocket) and cut.tilt > LEVEL
        if leans or isinstance(cut, AngledMortise | SkewNotch):
            found[f"{cut.purpose}: {aslant_words(cut, member)}."] = None
        elif isinstance(cut, AngledTenonEnd | EndBevel):
            plane = cut.plane if isinstance(cut, EndBevel) else cut.shoulder
            what = cut.purpose if isinstance(cut, EndBevel) else "shoulders"
            found[
                f"{what} at the {cut.face}: from square {_degrees(plane.on_sides)} on the sides, "
                f"{_degrees(plane.on_edges)} on the edges."
            ] = None
    return list(found)


# -- pockets


def aslant_mouths(cut: AslantPocket) -> list[tuple[Face, Reach, tuple[Vec, ...]]]:
    """(face, reach, corners in the member's coordinates) of each mouth that is drawn."""
    near = tuple(cut.frame.point(p) for p in cut.mouth())
    if isinstance(cut, SkewNotch) or not cut.through:
        return [(cut.face, "deep", near)]
    far = tuple(cut.frame.point(p) for p in cut.exit())
    return [(cut.face, "through", near), (cut.face.opposite, "exit", far)]


def aslant_figures(
    member: Member, cut: AslantPocket, seen: Callable[[Member, Face, Vec], Point]
) -> list[tuple[Face, Figure]]:
    """A pocket's mouths, its centre lines, and where a notch opens the arrises."""
    found = []
    for face, reach, corners in aslant_mouths(cut):
        shape = quadrilateral([seen(member, face, p) for p in corners])
        figure = Figure(what=cut.purpose, shape=shape, reach=reach, depth=cut.depth, cut=cut)
        found.append((face, figure))
        for i in (0, 1):  # from the middle of one side to that of the opposite one
            ends = [_middle(corners[i], corners[i + 1]), _middle(corners[i + 2], corners[i - 1])]
            start, stop = (seen(member, face, p) for p in ends)
            found.append((face, Figure(what="centre line", shape=Line(start, stop), cut=cut)))
    if isinstance(cut, SkewNotch):
        for face, corners in cut.openings(member):
            shape = quadrilateral([seen(member, face, p) for p in corners])
            found.append((face, Figure(what=f"{cut.purpose} opening", shape=shape, cut=cut)))
    return found


def sight_lines(
    member: Member, cut: Cut, seen: Callable[[Member, Face, Vec], Point]
) -> list[tuple[Face, Figure]]:
    """Over the face of a hole that leans: the line along which it leans, and one across it.

    On the sight line stands the bevel gauge, set to the resultant angle.
    """
    if not isinstance(cut, Bore | ConeSocket) or cut.tilt < LEVEL:
        return []
    wide = cut.diameter if isinstance(cut, Bore) else cut.mouth
    x, y = seen(member, cut.face, cut.frame.origin)
    far = seen(member, cut.face, cut.frame.point((0.0, 0.0, 1.0)))
    size = math.hypot(far[0] - x, far[1] - y)
    ux, uy = (far[0] - x) / size, (far[1] - y) / size
    found = []
    for a, b, reach in ((ux, uy, 1.5 * wide), (-uy, ux, 0.75 * wide)):
        ends = [(x + s * a * reach, y + s * b * reach) for s in (-1.0, 1.0)]
        found.append((cut.face, Figure(what="centre line", shape=Line(ends[0], ends[1]), cut=cut)))
    return found


def _middle(p: Vec, q: Vec) -> Vec:
    return ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0, (p[2] + q[2]) / 2.0)


# -- ends


def _across(cut: AslantEnd, member: Member, face: Face) -> Callable[[float, float], Point]:
    """From (place across a face, depth under it) to the end frame's x and y."""
    wide, thick, near = member.width, member.thickness, cut.face is Face.NEAR_END

    def at(c: float, under: float) -> Point:
        if face in _SIDES:
            z = under if face is Face.FACE_SIDE else thick - under
            return c, z if near else thick - z
        x = under if face is Face.FACE_EDGE else wide - under
        return x, c if near else thick - c

    return at


def _spans(cut: AngledTenonEnd, member: Member, face: Face) -> tuple[float, float]:
    """From where to where the tenon stands across a face."""
    if face in _SIDES:
        return cut.x0, cut.x1
    if cut.face is Face.NEAR_END:
        return cut.y0, cut.y1
    return member.thickness - cut.y1, member.thickness - cut.y0


def aslant_profile(cut: AslantEnd, member: Member, face: Face) -> Profile:
    """How far back the wood begins on a long face: (c from, c to, d at from, d at to)."""
    wide = member.width if face in _SIDES else member.thickness
    at = _across(cut, member, face)

    def piece(plane: EndPlane | None, a: float, b: float, under: float) -> tuple[float, ...]:
        if plane is None:
            return (a, b, 0.0, 0.0)
        return (a, b, plane.depth(*at(a, under)), plane.depth(*at(b, under)))

    if isinstance(cut, EndBevel):
        pieces = [piece(cut.plane, 0.0, wide, 0.0)]
    else:
        low, high = _spans(cut, member, face)
        under = cut.shoulders(member)[face]
        pieces = [
            piece(cut.shoulder, 0.0, low, 0.0),
            piece(cut.tip, low, high, under),
            piece(cut.shoulder, high, wide, 0.0),
        ]
    return tuple((a, b, c, d) for a, b, c, d in pieces if b - a > 1e-9)


def aslant_lines(
    cut: AngledTenonEnd, member: Member, face: Face
) -> list[tuple[str, float, float, float, float, float]]:
    """Shoulder lines across the tenon: (what, d at the start and end, from c, to c, depth)."""
    under = cut.shoulders(member)[face]
    if under <= 1e-9:
        return []
    at = _across(cut, member, face)
    low, high = _spans(cut, member, face)
    ends = [cut.shoulder.depth(*at(c, 0.0)) for c in (low, high)]
    return [("shoulder", ends[0], ends[1], low, high, under)]


def aslant_kerfs(cut: AngledTenonEnd) -> list[tuple[float, float]]:
    """From where to where along the end frame's x each kerf runs."""
    return [(k.at - k.width / 2.0, k.at + k.width / 2.0) for k in cut.kerfs]
