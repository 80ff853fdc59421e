"""How a member's ends are drawn: silhouettes, shoulder lines and the end-grain views.

On a long face everything about an end is said by two numbers: ``d``, the distance from that
end along the grain, and ``c``, the place across the face (the member's y on the sides, its z on
the edges).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, TypeAlias

from treenail.joints.angled_cuts import AngledTenonEnd, EndBevel
from treenail.joints.cuts import FootChamfer, MitredTip, NotchedTip, TenonEnd
from treenail.templates.aslant_plan import aslant_kerfs, aslant_lines, aslant_profile
from treenail.templates.figures import (
    Figure,
    Line,
    Loop,
    Point,
    Reach,
    Ring,
    quadrilateral,
    rectangle,
)
from treenail.templates.shaped_plan import Mouth, end_shapes, profiles
from treenail.timber.frames import snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.cuts import Cut

__all__ = [
    "EndLine",
    "Profile",
    "end_figures",
    "end_lines",
    "end_profile",
    "outline_of",
    "seen_end_point",
]

#: Pieces (c from, c to, d at from, d at to) in order of c, from one arris to the other.
Profile: TypeAlias = tuple[tuple[float, float, float, float], ...]

_SIDES = (Face.FACE_SIDE, Face.BACK_SIDE)
_TINY = 1e-9


@dataclass(frozen=True, slots=True)
class EndLine:
    """A line across a face at distance ``d`` from the end, from ``c0`` to ``c1``; mm."""

    what: str
    d: float
    c0: float
    c1: float
    reach: Reach
    depth: float | None
    cut: Cut
    d1: float | None = None  # at ``c1``, where the line runs aslant


def _across(member: Member, face: Face) -> float:
    """Extent of c on a long face."""
    return member.width if face in _SIDES else member.thickness


def _z_range(cut: TenonEnd, member: Member) -> tuple[float, float]:
    """The tenon's cheeks in the member's z."""
    if cut.face is Face.NEAR_END:
        return cut.y0, cut.y1
    return member.thickness - cut.y1, member.thickness - cut.y0


def _haunch_range(cut: TenonEnd) -> tuple[float, float] | None:
    """The haunch in the member's y."""
    if cut.haunch is None:
        return None
    if cut.haunch.edge is Face.FACE_EDGE:
        return max(0.0, cut.x0 - cut.haunch.width), cut.x0
    return cut.x1, cut.x1 + cut.haunch.width


def _haunch_profile(cut: TenonEnd, low: float, high: float) -> Profile:
    """A haunch from ``low`` to ``high`` across the face, a notch in the same edge reckoned in."""
    haunch, tip, top = cut.haunch, cut.tip, cut.length
    assert haunch is not None
    out = top - haunch.length
    at_low = at_high = out
    if haunch.sloped:  # nothing at its outer edge
        at_low, at_high = (top, out) if haunch.edge is Face.FACE_EDGE else (out, top)
    profile: Profile = ((low, high, at_low, at_high),)
    if isinstance(tip, NotchedTip) and tip.edge is haunch.edge:
        profile = _deeper(profile, ((low, high, tip.length, tip.length),))
    return profile


def _side_profile(cut: TenonEnd, member: Member) -> Profile:
    top, tip, wide = cut.length, cut.tip, member.width
    pieces: list[tuple[float, float, float, float]] = []
    stub = _haunch_range(cut)
    for low, high in ((0.0, cut.x0), (cut.x1, wide)):
        if stub is None or not low <= stub[0] < high:
            pieces.append((low, high, top, top))
            continue
        end = min(stub[1], high)
        pieces += [(low, stub[0], top, top), (end, high, top, top)]
        pieces += _haunch_profile(cut, stub[0], end)
    if isinstance(tip, NotchedTip):
        at = cut.x0 + tip.width if tip.edge is Face.FACE_EDGE else cut.x1 - tip.width
        first, second = (tip.length, 0.0) if tip.edge is Face.FACE_EDGE else (0.0, tip.length)
        pieces += [(cut.x0, at, first, first), (at, cut.x1, second, second)]
    else:
        lead = min(tip.cut_back, tip.lead) if isinstance(tip, MitredTip) else 0.0
        pieces.append((cut.x0, cut.x1, lead, lead))
    return tuple(p for p in sorted(pieces) if p[1] - p[0] > _TINY)


def _edge_profile(cut: TenonEnd, member: Member) -> Profile:
    z0, z1 = _z_range(cut, member)
    at0 = at1 = 0.0
    if isinstance(cut.tip, MitredTip):
        back_first = cut.tip.short_cheek is Face.FACE_SIDE
        ends = (cut.tip.cut_back, cut.tip.lead)
        at0, at1 = ends if back_first else (ends[1], ends[0])
    pieces = (
        (0.0, z0, cut.length, cut.length),
        (z0, z1, at0, at1),
        (z1, member.thickness, cut.length, cut.length),
    )
    return tuple(p for p in pieces if p[1] - p[0] > _TINY)


def end_profile(member: Member, cuts: Sequence[Cut], end: Face, face: Face) -> Profile:
    """How far back the piece's silhouette begins at ``end``, as seen on a long face."""
    wide = _across(member, face)
    profile: Profile = ((0.0, wide, 0.0, 0.0),)
    for cut in cuts:
        if cut.face is not end:
            continue
        if isinstance(cut, TenonEnd):
            make = _side_profile if face in _SIDES else _edge_profile
            profile = _deeper(profile, make(cut, member))
            for shaped in profiles(cut, member, side=face in _SIDES):
                profile = _deeper(profile, shaped)
        elif isinstance(cut, EndBevel | AngledTenonEnd):
            profile = _deeper(profile, aslant_profile(cut, member, face))
        elif isinstance(cut, FootChamfer):
            leg = cut.leg
            profile = _deeper(
                profile,
                ((0.0, leg, leg, 0.0), (leg, wide - leg, 0.0, 0.0), (wide - leg, wide, 0.0, leg)),
            )
    return profile


def _value(profile: Profile, low: float, high: float) -> tuple[float, float]:
    """Give d at both ends of a strip that crosses no break of the profile."""
    mid = (low + high) / 2.0
    a, b, da, db = next(p for p in profile if p[0] - _TINY <= mid <= p[1] + _TINY)
    slope = (db - da) / (b - a)
    return da + slope * (low - a), da + slope * (high - a)


def _deeper(one: Profile, other: Profile) -> Profile:
    """The larger d of two profiles everywhere."""
    breaks = sorted({c for p in (*one, *other) for c in p[:2]})
    found: list[tuple[float, float, float, float]] = []
    for low, high in itertools.pairwise(breaks):
        if high - low <= _TINY:
            continue
        (a0, a1), (b0, b1) = _value(one, low, high), _value(other, low, high)
        stops = [low, high]
        if (a0 - b0) * (a1 - b1) < -_TINY * _TINY:
            stops.insert(1, low + (high - low) * (a0 - b0) / ((a0 - b0) - (a1 - b1)))
        for c0, c1 in itertools.pairwise(stops):
            t0, t1 = (c0 - low) / (high - low), (c1 - low) / (high - low)
            pair = [
                (a0 + (a1 - a0) * t0, a0 + (a1 - a0) * t1),
                (b0 + (b1 - b0) * t0, b0 + (b1 - b0) * t1),
            ]
            d0, d1 = max(pair, key=lambda p: p[0] + p[1])
            found.append((c0, c1, d0, d1))
    return tuple(found)


def _where_wood(profile: Profile, d: float, c0: float, c1: float) -> list[tuple[float, float]]:
    """The parts of c0..c1 where the silhouette reaches out beyond ``d`` towards the end."""
    found: list[tuple[float, float]] = []
    for a, b, da, db in profile:
        low, high = max(a, c0), min(b, c1)
        if high - low <= _TINY or (da + db) / 2.0 >= d - _TINY:
            continue
        if found and abs(found[-1][1] - low) <= _TINY:
            found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    return found


def end_lines(member: Member, cuts: Sequence[Cut], end: Face, face: Face) -> list[EndLine]:
    """Lines that an end's cuts leave on a long face.

    Where such a line would lie on the outline (beside a tenon), it is left out: outline and line
    together run right across the face.
    """
    profile = end_profile(member, cuts, end, face)
    wide = _across(member, face)
    found: list[EndLine] = []

    def add(
        what: str, d: float, depth: float | None, cut: Cut, c0: float = 0.0, c1: float = wide
    ) -> None:
        reach: Reach = "mark" if depth is None else "deep"
        found.extend(
            EndLine(what, d, a, b, reach, depth, cut) for a, b in _where_wood(profile, d, c0, c1)
        )

    for cut in cuts:
        if cut.face is not end:
            continue
        if isinstance(cut, FootChamfer):
            found.append(EndLine(cut.purpose, cut.leg, 0.0, wide, "deep", cut.leg, cut))
        elif isinstance(cut, TenonEnd):
            _tenon_lines(member, cut, face, add)
        elif isinstance(cut, AngledTenonEnd):
            found += [
                EndLine(what, d0, c0, c1, "deep", snap(depth), cut, d1)
                for what, d0, d1, c0, c1, depth in aslant_lines(cut, member, face)
            ]
    return found


def _tenon_lines(member: Member, cut: TenonEnd, face: Face, add: _Add) -> None:
    z0, z1 = _z_range(cut, member)
    shoulders = {
        Face.FACE_SIDE: z0,
        Face.BACK_SIDE: member.thickness - z1,
        Face.FACE_EDGE: cut.x0,
        Face.BACK_EDGE: member.width - cut.x1,
    }
    shoulder = snap(shoulders[face])
    stub = cut.haunch
    if stub is not None and stub.edge is face:
        add("haunch", cut.length - stub.length, shoulder, cut, z0, z1)
        if not stub.sloped:  # a sloped one begins at the shoulder line
            shoulder = snap(shoulder - stub.width)
    if shoulder > _TINY:
        add("shoulder", cut.length, shoulder, cut)
    tip = cut.tip
    if isinstance(tip, MitredTip) and tip.short_cheek is face:
        add("mitre", max(tip.cut_back, tip.lead), None, cut, cut.x0, cut.x1)
    elif isinstance(tip, NotchedTip) and tip.edge is face and tip.length < cut.length - _TINY:
        add("notch", tip.length, snap(shoulders[face] + tip.width), cut, z0, z1)


class _Add(Protocol):
    """Adds a line: what, d, depth (None for a mark), its cut, and from where to where."""

    def __call__(
        self, what: str, d: float, depth: float | None, cut: Cut, c0: float = ..., c1: float = ...
    ) -> None: ...


def seen_end_point(member: Member, p: Point) -> Point:
    """A point of an end's face frame as the end is drawn: turned to go on from the face side.

    Seen from outside and turned a quarter, so that the face edge is at the top, as it is on the
    face side; the same for both ends.
    """
    return (member.thickness - p[1], member.width - p[0])


def end_figures(member: Member, cuts: Sequence[Cut], end: Face) -> list[Figure]:
    """What is drawn on an end; empty where the end is sawn square and left so."""
    found: list[Figure] = []

    def box(what: str, x0: float, x1: float, y0: float, y1: float, cut: Cut) -> None:
        (a, b), (c, d) = seen_end_point(member, (x0, y0)), seen_end_point(member, (x1, y1))
        shape = rectangle((min(a, c), min(b, d), max(a, c), max(b, d)))
        found.append(Figure(what=what, shape=shape, cut=cut))

    def line(what: str, a: Point, b: Point, cut: Cut) -> None:
        shape = Line(seen_end_point(member, a), seen_end_point(member, b))
        found.append(Figure(what=what, shape=shape, cut=cut))

    wide, thick = member.width, member.thickness
    for cut in cuts:
        if cut.face is not end:
            continue
        if isinstance(cut, FootChamfer):
            g = cut.leg
            box(cut.purpose, g, wide - g, g, thick - g, cut)
            for sx, ex in ((0.0, g), (wide, wide - g)):
                for sy, ey in ((0.0, g), (thick, thick - g)):
                    line(f"{cut.purpose} corner", (sx, sy), (ex, ey), cut)
        elif isinstance(cut, AngledTenonEnd):
            box("tenon", cut.x0, cut.x1, cut.y0, cut.y1, cut)
            for low, high in aslant_kerfs(cut):
                box("kerf", low, high, cut.y0, cut.y1, cut)
        elif isinstance(cut, TenonEnd):
            shapes = end_shapes(cut)
            found += [
                Figure(what=what, shape=_end_shape(member, mouth, at), cut=cut)
                for what, mouth, at in shapes
            ]
            if not shapes:
                box("tenon", cut.x0, cut.x1, cut.y0, cut.y1, cut)
            stub = _haunch_range(cut)
            if stub:
                box("haunch", stub[0], min(stub[1], wide), cut.y0, cut.y1, cut)
            tip = cut.tip
            if isinstance(tip, NotchedTip):
                at = cut.x0 + tip.width if tip.edge is Face.FACE_EDGE else cut.x1 - tip.width
                line("notch", (at, cut.y0), (at, cut.y1), cut)
    return found


def _end_shape(member: Member, mouth: Mouth, centre: Point) -> Loop | Ring:
    if isinstance(mouth, float):
        x, y = seen_end_point(member, centre)
        return Ring((snap(x), snap(y)), snap(mouth))
    return quadrilateral([seen_end_point(member, p) for p in mouth])


def outline_of(points: Sequence[Point]) -> list[Point]:
    """Corner points without repeats and without points on a straight line."""
    kept: list[Point] = []
    for p in points:
        if not kept or abs(p[0] - kept[-1][0]) > _TINY or abs(p[1] - kept[-1][1]) > _TINY:
            kept.append(p)
    if len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    n = len(kept)

    def bends(i: int) -> bool:
        (ax, ay), (bx, by), (cx, cy) = kept[i - 1], kept[i], kept[(i + 1) % n]
        return abs((bx - ax) * (cy - by) - (by - ay) * (cx - bx)) > _TINY

    return [kept[i] for i in range(n) if bends(i)]
