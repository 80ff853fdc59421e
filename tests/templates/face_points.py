"""Helpers for the tests of templates: points in cutters, paper folded around a member."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from hypothesis import strategies as st

from treenail.generators.bench import Bench
from treenail.generators.frame_bench import build_frame_bench
from treenail.generators.frame_spec import (
    MEETINGS,
    DogHoles,
    FrameBenchSpec,
    Pegs,
    Posts,
    Stretchers,
    Top,
)
from treenail.joints.cuts import Bore, Cut, Mortise, Slot
from treenail.joints.cutters import (
    BevelCutter,
    BoreCutter,
    BoxCutter,
    Cutter,
    PrismCutter,
    SlotCutter,
)
from treenail.templates.face_plan import STRIPS, MemberPlan, member_faces
from treenail.templates.figures import Loop, Point, Ring, Shape
from treenail.timber.errors import TreenailError
from treenail.timber.frames import Vec
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

INCH = 25.4
LONG = tuple(STRIPS)


@cache
def bench_of(meeting: str, **changes: Any) -> Bench:
    return build_frame_bench(FrameBenchSpec(meeting=meeting, **changes))


def bench_or_none(spec: FrameBenchSpec) -> Bench | None:
    """The bench, or None where the sizes drawn can't be met."""
    try:
        return build_frame_bench(spec)
    except TreenailError:
        return None


def _inches(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(round(low * 16), round(high * 16)).map(lambda n: n * INCH / 16)


_rails = st.builds(
    Stretchers,
    width=_inches(3.5, 7),
    thickness=_inches(1.25, 2.5),
    tenon_length=_inches(1, 2.5),
    haunch=st.booleans(),
    through=st.booleans(),
    proud=st.sampled_from([0.0, 3.0]),
)
#: Specs, not benches: a failing example is then short enough to be shown.
specs = st.builds(
    FrameBenchSpec,
    meeting=st.sampled_from(MEETINGS),
    length=_inches(48, 96),
    depth=_inches(20, 36),
    upper_long=_rails,
    lower_end=_rails,
    posts=st.builds(
        Posts,
        width=_inches(2.75, 4),
        thickness=_inches(2.75, 4),
        foot_chamfer=st.sampled_from([0.0, 6.35]),
    ),
    pegs=st.builds(
        Pegs,
        per_joint=st.integers(0, 3),
        rows=st.integers(1, 2),
        from_face=st.sampled_from(["outside", "inside"]),
        through=st.booleans(),
    ),
    top=st.builds(Top, dog_holes=st.builds(DogHoles, rows=st.integers(0, 2))),
)


def piece(size: Vec) -> Member:
    return Member(
        name="rail",
        role="stretcher",
        length=size[0],
        width=size[1],
        thickness=size[2],
        species=get_species("white ash"),
    )


def plan_alone(member: Member, cuts: tuple[Cut, ...]) -> MemberPlan:
    """The plan of a piece that stands in no bench."""

    class Alone:
        def __init__(self) -> None:
            self.cuts = {member.name: cuts}
            self.by_name = {member.name: member}

    return member_faces(Alone(), member)  # type: ignore[arg-type]


# -- points in the wood ------------------------------------------------------------------------


def in_cutter(cutter: Cutter, p: Vec) -> bool:
    """Whether a point lies in a cutter, from its definition."""
    x, y, z = cutter.frame.local_point(p)
    match cutter:
        case BoxCutter(size=(a, b, c)):
            return 0 < x < a and 0 < y < b and 0 < z < c
        case BoreCutter(diameter=d, depth=c):
            return math.hypot(x, y) < d / 2 and 0 < z < c
        case SlotCutter(centres=run, width=w, depth=c):
            return math.hypot(max(abs(x) - run / 2, 0.0), y) < w / 2 and 0 < z < c
        case PrismCutter(points=points, depth=c):
            n = len(points)
            return 0 < z < c and all(
                (points[(i + 1) % n][0] - points[i][0]) * (y - points[i][1])
                > (points[(i + 1) % n][1] - points[i][1]) * (x - points[i][0])
                for i in range(n)
            )
        case BevelCutter(width=w, thickness=t, leg=g):
            return min(x, w - x, y, t - y) + z < g
    raise AssertionError(cutter)


def is_wood(member: Member, cuts: tuple[Cut, ...], p: Vec) -> bool:
    inside = all(0.0 < c < size for c, size in zip(p, member.size, strict=True))
    return inside and not any(in_cutter(c, p) for cut in cuts for c in cut.cutters(member))


def in_loop(loop: Loop, p: Point) -> bool:
    """Even-odd test for a loop of straight pieces."""
    inside = False
    for (x0, y0, _), (x1, y1, _) in loop.pieces():
        if (y0 > p[1]) != (y1 > p[1]) and p[0] < x0 + (p[1] - y0) * (x1 - x0) / (y1 - y0):
            inside = not inside
    return inside


# -- paper folding -----------------------------------------------------------------------------


def _turn(p: Vec, y: float, z: float, quarter: int) -> Vec:
    """Turn a point by a quarter about the line through (y, z) along x; +1 carries y to z."""
    dy, dz = p[1] - y, p[2] - z
    return (p[0], y - quarter * dz, z + quarter * dy)


def folded(plan: MemberPlan, face: Face, at: Point) -> Vec:
    """A point of the sheet after the sheet was folded around the member, printed side out.

    The sheet lies on the face side: seen from outside, x runs to the right and the face edge is
    at the top. What lies above its upper arris is turned back by a quarter there, and what lies
    above the next arris by another; what lies below, about the lower arris.
    """
    member = plan.member
    strip = plan.by_face[Face.FACE_SIDE]
    top = strip.at[1] + strip.size[1]
    flat: Vec = (at[0], top - at[1], 0.0)
    if face is Face.FACE_SIDE:
        return flat
    if face is Face.BACK_EDGE:
        return _turn(flat, member.width, 0.0, 1)
    once = _turn(flat, 0.0, 0.0, -1)
    if face is Face.FACE_EDGE:
        return once
    assert face is Face.BACK_SIDE
    return _turn(once, 0.0, member.thickness, -1)


def key_points(shape: Shape) -> list[Point]:
    """Corners of a loop; a circle's centre."""
    if isinstance(shape, Ring):
        return [shape.centre]
    assert isinstance(shape, Loop)
    return [(x, y) for x, y, _ in shape.vertices]


def cut_points(cut: Mortise | Bore | Slot, depth: float) -> list[Vec]:
    """The same points from the cut itself, in the member's coordinates."""
    if isinstance(cut, Bore):
        return [cut.frame.point((0.0, 0.0, depth))]
    a, b = (cut.length if isinstance(cut, Mortise) else cut.centres) / 2, cut.width / 2
    return [cut.frame.point((i * a, j * b, depth)) for i in (-1, 1) for j in (-1, 1)]
