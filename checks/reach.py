"""From which faces a three-axis cutter gets at each feature of a piece, and how deep.

A feature is a cut, or one side of a tenon. The piece lies with a face up; the cutter comes
straight down on it. A cutter of a form (round-over, dovetail, chamfer) makes shapes that a
straight one can't; that is said, too. Numbers only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import AngledTenonEnd, EndBevel, SkewNotch
from treenail.joints.cuts import (
    Bore,
    Cut,
    FootChamfer,
    MitredTip,
    Mortise,
    NotchedTip,
    Slot,
    TenonEnd,
)
from treenail.joints.shaped_cuts import (
    ConeEnd,
    ConeSocket,
    DovetailSocket,
    ShapedEnd,
    TaperedMortise,
)
from treenail.joints.trenches import Trench
from treenail.timber.frames import dot, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Access", "Feature", "face_towards", "features_of"]

_SQUARE = 1.0 - 1e-9
_SIDES = (Face.FACE_SIDE, Face.BACK_SIDE)
_EDGES = (Face.FACE_EDGE, Face.BACK_EDGE)


@dataclass(frozen=True, slots=True)
class Access:
    """One way to a feature.

    Attributes:
        face: up.
        depth: how far below that face the cutter goes, mm.
        form: the cutter's form where a straight one won't do; empty for a straight one.
    """

    face: Face
    depth: float
    form: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """Something that is cut in one go.

    Attributes:
        cut: what it is, or belongs to.
        what: in shop words.
        ways: how it is reached; empty if a three-axis cutter gets at it from no face.
        widest: diameter of the largest cutter that fits, mm; None where any does.
    """

    cut: Cut
    what: str
    ways: tuple[Access, ...]
    widest: float | None = None


def face_towards(cut: Cut) -> Face | None:
    """The face that the tool's axis stands square to, on the side from which it comes."""
    return next((f for f in Face if dot(f.inward, cut.frame.z) > _SQUARE), None)


def _below(member: Member, face: Face, cut: Cut, depth: float) -> float:
    """How far below a face a cut's bottom lies, mm."""
    end = cut.frame.point((0.0, 0.0, depth))
    return snap(dot(sub(end, member.face_frame(face).origin), face.inward))


def features_of(member: Member, cuts: tuple[Cut, ...]) -> tuple[Feature, ...]:
    """Every feature of a squared piece, in the order of its cuts; a round peg has none."""
    if member.round_section:
        return ()
    return tuple(feature for cut in cuts for feature in _features(member, cut))


def _features(member: Member, cut: Cut) -> Iterator[Feature]:
    if isinstance(cut, AngledTenonEnd | EndBevel | SkewNotch):
        yield Feature(cut=cut, what=cut.purpose, ways=tuple(_aslant(member, cut)))
    elif isinstance(cut, ConeEnd):
        yield Feature(cut=cut, what=cut.purpose, ways=(Access(cut.face, cut.length),))
    elif isinstance(cut, TenonEnd):
        yield from _tenon(member, cut)
    elif isinstance(cut, FootChamfer):
        for face in (*_SIDES, *_EDGES):
            ways = (Access(face, cut.leg, "chamfer"), Access(cut.face, cut.leg, "chamfer"))
            yield Feature(cut=cut, what=f"{cut.purpose} at the {face}", ways=ways)
    elif isinstance(cut, Trench):
        yield _trench(member, cut)
    elif isinstance(cut, Mortise | Bore | Slot | ConeSocket | DovetailSocket):
        yield _pocket(member, cut)
    else:  # such as a wedge's taper: sawn, then planed; seen from the sides it is an outline
        from_sides = tuple(Access(f, member.extent(f)) for f in _SIDES)
        yield Feature(cut=cut, what=cut.purpose, ways=from_sides)


def _aslant(member: Member, cut: AngledTenonEnd | EndBevel | SkewNotch) -> Iterator[Access]:
    """A notch from its face; an end from the sides to which its planes stand square."""
    if isinstance(cut, SkewNotch):
        yield Access(cut.face, cut.depth)
        return
    plane = cut.plane if isinstance(cut, EndBevel) else cut.shoulder
    normal = cut.frame.direction(plane.normal)
    for face in (*_SIDES, *_EDGES):
        if abs(dot(normal, face.inward)) < 1e-9:
            yield Access(face, member.extent(face))


# --- pockets and holes


def _widest(cut: Mortise | Bore | Slot | ConeSocket | DovetailSocket) -> float:
    if isinstance(cut, Bore):
        return cut.diameter
    if isinstance(cut, Slot):
        return cut.width
    if isinstance(cut, ConeSocket):
        return min(cut.mouth, cut.bottom)
    if isinstance(cut, DovetailSocket):
        return cut.mouth
    narrow = min(cut.width, cut.length)
    return narrow if cut.corners is None else min(narrow, 2.0 * cut.corners.radius)


def _pocket(member: Member, cut: Mortise | Bore | Slot | ConeSocket | DovetailSocket) -> Feature:
    near = face_towards(cut)
    through = isinstance(cut, DovetailSocket) or cut.through
    ways: list[Access] = []
    if near is not None:
        into, out = _opens(cut)
        if into:
            ways.append(Access(near, _below(member, near, cut, cut.depth)))
        if through and out:
            far = near.opposite
            start = member.extent(far) - _below(member, near, cut, 0.0)
            ways.append(Access(far, snap(min(start, cut.depth))))
    return Feature(cut=cut, what=cut.purpose, ways=tuple(ways), widest=_widest(cut))


def _opens(cut: Cut) -> tuple[bool, bool]:
    """Whether nothing hangs over the pocket seen from its mouth; and seen from the far face."""
    if isinstance(cut, TaperedMortise):
        walls = (cut.low_out, cut.high_out)
        return max(walls) <= 0.0, min(walls) >= 0.0
    if isinstance(cut, ConeSocket):
        return cut.bottom <= cut.mouth, cut.bottom >= cut.mouth
    return True, True


def _trench(member: Member, cut: Trench) -> Feature:
    near = face_towards(cut)
    ways: list[Access] = []
    under = any(out > 0.0 for out in cut.lean)
    open_ends = any(cut.is_open(member, s, 0.0) for s in (-1.0, 1.0))
    open_sides = any(cut.is_open(member, 0.0, s) for s in (-1.0, 1.0))
    if near is not None and (not under or open_ends or open_sides):
        ways.append(Access(near, cut.depth, "dovetail" if under else ""))
    # Where it is open, it is also a step or an outline seen from there.
    for face, _ in cut.openings(member):
        along = abs(dot(face.inward, cut.frame.x)) > _SQUARE
        deep = cut.length if along else cut.width
        if not under or along:
            ways.append(Access(face, snap(deep)))
    widest = None if open_sides else cut.width
    if cut.corners is not None:
        widest = min(cut.width, 2.0 * cut.corners.radius)
    return Feature(cut=cut, what=cut.purpose, ways=tuple(ways), widest=widest)


# --- tenons


def _tenon(member: Member, cut: TenonEnd) -> Iterator[Feature]:
    thick, wide, end = member.thickness, member.width, Access(cut.face, cut.length)
    low_side = Face.FACE_SIDE if cut.face is Face.NEAR_END else Face.BACK_SIDE
    outline = tuple(Access(f, thick) for f in _SIDES)  # right through, seen from a side
    profile = tuple(Access(f, wide) for f in _EDGES)

    def one(what: str, *ways: Access, widest: float | None = None) -> Feature:
        return Feature(cut=cut, what=f"{cut.purpose}, {what}", ways=ways, widest=widest)

    for side, deep in ((low_side, cut.y0), (low_side.opposite, thick - cut.y1)):
        if deep > 0.0:
            yield one(f"cheek at the {side}", Access(side, snap(deep)), end, *profile)
    for edge, deep in ((Face.FACE_EDGE, cut.x0), (Face.BACK_EDGE, wide - cut.x1)):
        if deep > 0.0:
            stub = " and haunch" if cut.haunch and cut.haunch.edge is edge else ""
            own = Access(edge, snap(deep))
            yield one(f"shoulder{stub} at the {edge}", own, end, *outline)
    if isinstance(cut.tip, MitredTip):
        yield one("mitred end", *profile, Access(cut.face, max(cut.tip.cut_back, cut.tip.lead)))
    elif isinstance(cut.tip, NotchedTip):
        notch = Access(cut.face, cut.tip.length)
        yield one("notched end", *outline, notch, Access(cut.tip.edge, snap(cut.tip.width)))
    if cut.rounding is not None:
        for side in (low_side, low_side.opposite):
            form = Access(side, cut.rounding.radius, "round-over")
            yield one(f"rounded edges at the {side}", form, end)
    if isinstance(cut, ShapedEnd):
        for gap in cut.gaps:
            across = outline if gap.across == "width" else profile
            yield one("gap", *across, end, widest=gap.high - gap.low)
        for kerf in cut.kerfs:
            saw = tuple(Access(a.face, a.depth, "saw") for a in outline)
            yield one("kerf", *saw, widest=kerf.width)
        if cut.flanks is not None:
            narrow = low_side if cut.flanks.narrow < cut.flanks.wide else low_side.opposite
            yield one("dovetailed flanks", Access(narrow, thick), end)
