"""What is to be drawn on each face of a member, and how the faces unfold. No kernel.

Every face is drawn as it is seen from outside, never mirrored: x runs along the grain to the
right, y up from the face's lower left corner. The four long faces adjoin in the order in which
they stand around the piece, so that the development, cut out of paper or card, folds around it:

    back side
    face edge
    face side
    back edge     (its lower arris is the back side's upper one)

Only what the faces can show is drawn: each operation where its tool enters, the far mouth of a
through one, silhouettes and shoulder lines of tenoned ends.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.corners import pocket_outline
from treenail.joints.cuts import Bore, FootChamfer, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import ConeEnd, ShapedEnd, WedgeTaper
from treenail.joints.trenches import Trench
from treenail.templates.aslant_plan import ASLANT, POCKETS, aslant_figures, sight_lines
from treenail.templates.end_plan import (
    EndLine,
    Profile,
    end_figures,
    end_lines,
    end_profile,
    outline_of,
    seen_end_point,
)
from treenail.templates.figures import (
    Box,
    Figure,
    Line,
    Loop,
    Point,
    Reach,
    Ring,
    Shape,
    placed,
    quadrilateral,
    rectangle,
    stadium,
    tidy,
)
from treenail.templates.marks import reference_marks
from treenail.templates.shaped_plan import SHAPED, Shaped, mouths, wedge_figures
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.bench import Bench
    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec

__all__ = ["END_GAP", "STRIPS", "FacePlan", "MemberPlan", "member_faces"]

#: The long faces from bottom to top of the development.
STRIPS = (Face.BACK_EDGE, Face.FACE_SIDE, Face.FACE_EDGE, Face.BACK_SIDE)
#: Room between the development and the end views, mm.
END_GAP = 20.0
#: How far a centre line runs past its figure, mm.
_OVERRUN = 3.0
_SQUARE = 1.0 - 1e-9
_ENDS = (TenonEnd, ShapedEnd, ConeEnd, FootChamfer, WedgeTaper)
_DRAWN = (Mortise, Bore, Slot, Trench, *_ENDS, *SHAPED, *ASLANT)
_TINY = 1e-9


@dataclass(frozen=True, kw_only=True)
class FacePlan:
    """One face, seen from outside.

    Attributes:
        face: which one; its ``value`` is its name.
        size: (along the grain, across) of the stock, mm; for an end view (across to the right,
            up) as drawn.
        at: the face's lower left corner on the member's sheet, mm.
        outline: the piece's silhouette as seen on this face, tenons included.
        figures: what is drawn, in this face's seen coordinates.
    """

    face: Face
    size: tuple[float, float]
    at: Point
    outline: Loop
    figures: tuple[Figure, ...]

    @property
    def operations(self) -> tuple[Figure, ...]:
        """Mortises, holes and slots that are cut from this face."""
        return tuple(f for f in self.figures if f.reach in ("deep", "through") and not _is_line(f))


def _is_line(figure: Figure) -> bool:
    return isinstance(figure.shape, Line)


@dataclass(frozen=True, kw_only=True)
class MemberPlan:
    """All faces of a member, laid out on one sheet at full size.

    Sheet coordinates: x is the member's own x on the four long faces; y = 0 is the lower arris
    of the back edge. End views stand to the left and right of the face side.

    Attributes:
        member: the piece.
        faces: the four long ones from bottom to top, then the ends that have something to show.
        outline: the development's contour: the four silhouettes joined.
        arrises: the three arrises inside it, where it folds.
    """

    member: Member
    faces: tuple[FacePlan, ...]
    outline: Loop
    arrises: tuple[Line, ...]

    @cached_property
    def by_face(self) -> dict[Face, FacePlan]:
        """The plans by face."""
        return {plan.face: plan for plan in self.faces}

    @cached_property
    def height(self) -> float:
        """Height of the four strips together, mm."""
        return snap(2.0 * (self.member.width + self.member.thickness))


# -- cuts to figures ---------------------------------------------------------------------------


def _seen(member: Member, face: Face, point: Vec) -> Point:
    """A point on a face, in member coordinates, as seen from outside."""
    x, y, _ = member.face_frame(face).local_point(point)
    if face.is_end:
        a, b = seen_end_point(member, (x, y))
        return (snap(a), snap(b))
    return (snap(x), snap(member.face_size(face)[1] - y))


def _mouth(member: Member, cut: Cut, face: Face, a: float, b: float) -> Point:
    """Where the line through (a, b) of a cut's frame, along its z, meets a face's plane."""
    start = cut.frame.point((a, b, 0.0))
    plane = member.face_frame(face)
    run = dot(cut.frame.z, plane.z)
    if abs(run) < 1e-6:
        raise GeometryError(f"{cut.joint}: the {cut.purpose} never meets {member.name}'s {face}")
    off = sum((p - q) * n for p, q, n in zip(plane.origin, start, plane.z, strict=True)) / run
    return _seen(member, face, cut.frame.point((a, b, off)))


def _cut_shape(member: Member, cut: Mortise | Bore | Slot, face: Face) -> Shape:
    if isinstance(cut, Mortise) and cut.corners is None:
        i, j = cut.length / 2.0, cut.width / 2.0
        corners = ((-i, -j), (i, -j), (i, j), (-i, j))
        return quadrilateral([_mouth(member, cut, face, a, b) for a, b in corners])
    leans = abs(dot(cut.frame.z, member.face_frame(face).z)) < _SQUARE
    if leans and not isinstance(cut, Bore):
        raise GeometryError(
            f"{cut.joint}: the {cut.purpose} does not stand square to {member.name}'s {face}; "
            "a template shows square holes only"
        )
    if isinstance(cut, Mortise):
        return _pocket(member, cut, face)
    centre = _mouth(member, cut, face, 0.0, 0.0)
    if isinstance(cut, Bore):
        # Where it leans, still the bit's circle around the point at which it goes in.
        return Ring(centre, snap(cut.diameter))
    ahead = _mouth(member, cut, face, 1.0, 0.0)
    along = (ahead[0] - centre[0], ahead[1] - centre[1])
    return stadium(centre, along, cut.centres, cut.width)


def _pocket(member: Member, cut: Mortise | Trench, face: Face) -> Loop:
    centre, ahead = (_mouth(member, cut, face, x, 0.0) for x in (0.0, 1.0))
    along = (ahead[0] - centre[0], ahead[1] - centre[1])
    return placed(centre, along, pocket_outline(cut.length, cut.width, cut.corners))


def _centre_lines(member: Member, cut: Mortise | Bore | Slot, face: Face) -> list[Line]:
    match cut:
        case Mortise():
            a, b = cut.length / 2.0, cut.width / 2.0
        case Bore():
            a = b = cut.diameter / 2.0
        case Slot():
            a, b = (cut.centres + cut.width) / 2.0, cut.width / 2.0
    a, b = a + _OVERRUN, b + _OVERRUN
    return [
        Line(_mouth(member, cut, face, -a, 0.0), _mouth(member, cut, face, a, 0.0)),
        Line(_mouth(member, cut, face, 0.0, -b), _mouth(member, cut, face, 0.0, b)),
    ]


def _cut_figures(member: Member, cut: Mortise | Bore | Slot) -> list[tuple[Face, Figure]]:
    """The figure where the tool enters, and the one where a through cut comes out."""
    reach: Reach = "through" if cut.through else "deep"
    faces: list[tuple[Face, Reach]] = [(cut.face, reach)]
    if cut.through:
        faces.append((cut.face.opposite, "exit"))
    found = [
        (
            face,
            Figure(
                what=cut.purpose,
                shape=_cut_shape(member, cut, face),
                reach=how,
                depth=cut.depth,
                cut=cut,
            ),
        )
        for face, how in faces
    ]
    sight = sight_lines(member, cut, _seen)
    found += sight
    for face, _ in faces:
        if sight and face is cut.face:
            continue
        found += [
            (face, Figure(what="centre line", shape=line, cut=cut))
            for line in _centre_lines(member, cut, face)
        ]
    if isinstance(cut, Mortise):
        found += _open_ends(member, cut)
    return found


def _trench_figures(member: Member, cut: Trench) -> list[tuple[Face, Figure]]:
    """The mouth of a trench, to its depth, and its profile on each face that it opens."""
    shape = _pocket(member, cut, cut.face)
    found = [
        (
            cut.face,
            Figure(what=cut.purpose, shape=shape, reach="deep", depth=cut.depth, cut=cut),
        )
    ]
    for face, corners in cut.openings(member):
        profile = quadrilateral([_seen(member, face, p) for p in corners])
        found.append((face, Figure(what=f"{cut.purpose} opening", shape=profile, cut=cut)))
    return found


def _shaped_figures(member: Member, cut: Shaped) -> list[tuple[Face, Figure]]:
    """Both mouths of a sloped or conical pocket, as they differ."""
    found = []
    for face, reach, mouth in mouths(cut):
        shape: Shape
        if isinstance(mouth, float):
            shape = Ring(_mouth(member, cut, face, 0.0, 0.0), snap(mouth))
        elif isinstance(cut, Mortise) and cut.corners is not None and face is cut.face:
            shape = _cut_shape(member, cut, face)
        else:
            shape = quadrilateral([_mouth(member, cut, face, a, b) for a, b in mouth])
        figure = Figure(what=cut.purpose, shape=shape, reach=reach, depth=cut.depth, cut=cut)
        found.append((face, figure))
    return found + sight_lines(member, cut, _seen)


def _figures_of(member: Member, cut: Cut) -> list[tuple[Face, Figure]]:
    """What a cut shows on the faces, apart from the ends' silhouettes."""
    if isinstance(cut, POCKETS):
        return aslant_figures(member, cut, _seen)
    if isinstance(cut, SHAPED):
        return _shaped_figures(member, cut)
    if isinstance(cut, Mortise | Bore | Slot):
        return _cut_figures(member, cut)
    if isinstance(cut, WedgeTaper):
        return wedge_figures(member, cut, _seen)
    return _trench_figures(member, cut) if isinstance(cut, Trench) else []


def _open_ends(member: Member, cut: Mortise) -> list[tuple[Face, Figure]]:
    """The opening in the end grain of a socket that runs out at an end."""
    if cut.face.is_end or abs(cut.frame.x[0]) < _SQUARE:
        return []
    found = []
    middle, half, wide = cut.frame.origin[0], cut.length / 2.0, cut.width / 2.0
    for end, out in (
        (Face.NEAR_END, middle - half < -_TINY),
        (Face.FAR_END, middle + half > member.length + _TINY),
    ):
        if out:
            p = _seen(member, end, cut.frame.point((0.0, -wide, 0.0)))
            q = _seen(member, end, cut.frame.point((0.0, wide, cut.depth)))
            box = (min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]))
            figure = Figure(what=f"{cut.purpose} at end", shape=rectangle(box), cut=cut)
            found.append((end, figure))
    return found


# -- ends and silhouettes ----------------------------------------------------------------------


def _flips(face: Face) -> bool:
    """Whether the seen y runs against the member's y (on a side) or z (on an edge)."""
    return face in (Face.FACE_SIDE, Face.BACK_EDGE)


def _seen_profile(profile: Profile, face: Face, wide: float) -> Profile:
    """The profile from the bottom to the top of the strip."""
    if not _flips(face):
        return profile
    return tuple((wide - b, wide - a, db, da) for a, b, da, db in reversed(profile))


def _line_figure(member: Member, face: Face, end: Face, line: EndLine, wide: float) -> Figure:
    last = line.d if line.d1 is None else line.d1
    x0, x1 = (d if end is Face.NEAR_END else member.length - d for d in (line.d, last))
    c0, c1 = (wide - line.c0, wide - line.c1) if _flips(face) else (line.c0, line.c1)
    return Figure(
        what=line.what,
        shape=Line((snap(x0), snap(c0)), (snap(x1), snap(c1))),
        reach=line.reach,
        depth=line.depth,
        cut=line.cut,
    )


def _contour(member: Member, profiles: Sequence[tuple[float, Profile, Profile]]) -> Loop:
    """Closed contour of stacked silhouettes: (height of the strip's foot, near, far)."""
    right = [
        (member.length - d, foot + c)
        for foot, _, far in profiles
        for a, b, da, db in far
        for c, d in ((a, da), (b, db))
    ]
    left = [
        (d, foot + c)
        for foot, near, _ in profiles
        for a, b, da, db in near
        for c, d in ((a, da), (b, db))
    ]
    return quadrilateral(outline_of([*right, *reversed(left)]))


def _arrises(member: Member, profiles: Sequence[tuple[float, Profile, Profile]]) -> list[Line]:
    """Where neighbouring strips both have wood along their common arris."""
    found = []
    for (_, near, far), (foot, near_up, far_up) in itertools.pairwise(profiles):
        start = max(near[-1][3], near_up[0][2])
        stop = member.length - max(far[-1][3], far_up[0][2])
        if stop - start > _TINY:
            found.append(Line((snap(start), snap(foot)), (snap(stop), snap(foot))))
    return found


# -- the whole member --------------------------------------------------------------------------


def member_faces(bench: Bench, member: Member | str) -> MemberPlan:
    """Everything that is drawn on a member's faces, from the bench's cuts.

    Raises:
        GeometryError: a round peg, which has no faces; or a cut that no template shows.
    """
    if isinstance(member, str):
        member = bench.by_name[member]
    if member.round_section:
        raise GeometryError(f"{member.name} is round: it has no faces to draw on")
    cuts = bench.cuts[member.name]
    drawn: dict[Face, list[Figure]] = {face: [] for face in Face}
    for cut in cuts:
        # Exactly these: a kind of mortise or tenon with slopes of its own would be drawn wrong.
        if type(cut) not in _DRAWN:
            raise GeometryError(
                f"{cut.joint}: no template can show the {cut.purpose} of {member.name}"
            )
        for face, figure in _figures_of(member, cut):
            drawn[face].append(figure)
    plans: list[FacePlan] = []
    stack: list[tuple[float, Profile, Profile]] = []
    foot = 0.0
    for face in STRIPS:
        wide = member.face_size(face)[1]
        near, far = (
            _seen_profile(end_profile(member, cuts, end, face), face, wide)
            for end in (Face.NEAR_END, Face.FAR_END)
        )
        drawn[face] += [
            _line_figure(member, face, end, line, wide)
            for end in (Face.NEAR_END, Face.FAR_END)
            for line in end_lines(member, cuts, end, face)
        ]
        plans.append(
            FacePlan(
                face=face,
                size=(member.length, wide),
                at=(0.0, snap(foot)),
                outline=_contour(member, [(0.0, near, far)]),
                figures=tidy(drawn[face]),
            )
        )
        stack.append((foot, near, far))
        foot += wide
    marks = reference_marks(member, [*plans[1].figures, *plans[2].figures])
    plans[1:3] = [_with(plan, mark) for plan, mark in zip(plans[1:3], marks, strict=True)]
    plans += _end_plans(member, cuts, drawn, plans[1].at[1])
    return MemberPlan(
        member=member,
        faces=tuple(plans),
        outline=_contour(member, stack),
        arrises=tuple(_arrises(member, stack)),
    )


def _end_plans(
    member: Member, cuts: Sequence[Cut], drawn: dict[Face, list[Figure]], foot: float
) -> list[FacePlan]:
    found = []
    size: Box = (0.0, 0.0, member.thickness, member.width)
    for end in (Face.NEAR_END, Face.FAR_END):
        figures = tidy([*end_figures(member, cuts, end), *drawn[end]])
        if figures:
            x = -END_GAP - member.thickness if end is Face.NEAR_END else member.length + END_GAP
            found.append(
                FacePlan(
                    face=end,
                    size=(member.thickness, member.width),
                    at=(snap(x), foot),
                    outline=rectangle(size),
                    figures=figures,
                )
            )
    return found


def _with(plan: FacePlan, figure: Figure) -> FacePlan:
    return FacePlan(
        face=plan.face,
        size=plan.size,
        at=plan.at,
        outline=plan.outline,
        figures=(*plan.figures, figure),
    )
