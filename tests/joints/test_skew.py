"""Rails let into leaning legs, and bevelled ends: closed forms, rooms, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.aslant import ASH, leg
from tests.joints.modeller import solid
from treenail.checks.measured import measures_of
from treenail.checks.rooms import measure_room
from treenail.checks.solids import solid_findings
from treenail.generators.bench import Bench, Seasons
from treenail.generators.solids import build_solids
from treenail.joints.aslant_ends import finished_bounds
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.joints.volumes import net_volume
from treenail.timber.angles import LegAngles
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, cross, scale, unit
from treenail.timber.member import Face, Member

leans = st.floats(0.0, 0.45)


def rail(post: Member, depth: float, *, long: float = 500.0, tip: float = 0.0) -> Member:
    """A level rail ``depth`` deep in the post's face edge; ``tip`` leans it in that plane."""
    out = post.placement.direction(Face.FACE_EDGE.outward)
    level: Vec = unit(cross((0.0, 0.0, 1.0), out))
    over = cross(level, out)
    x = add(scale(level, math.cos(tip)), scale(over, math.sin(tip)))
    z = scale(out, -1.0)
    middle = post.placement.point((250.0, 0.0, post.thickness / 2.0))
    corner = add(middle, scale(out, 20.0 - depth))  # 20 mm thick
    y = cross(z, x)
    corner = add(corner, add(scale(x, -long / 2.0), scale(y, -40.0)))
    return Member(
        name="rail", role="stretcher", length=long, width=80.0, thickness=20.0, species=ASH,
        placement=Frame(corner, x, y, z),
    )  # fmt: skip


def let_in(splay: float, rake: float, depth: float = 9.0, tip: float = 0.0) -> SkewLetIn:
    post = leg(splay, rake)
    return SkewLetIn(name="joint", receiver=post, entering=rail(post, depth, tip=tip))


@given(leans, leans, st.floats(2.0, 15.0), st.floats(-0.3, 0.3))
def test_a_notch_takes_its_parallelogram_times_its_depth(
    splay: float, rake: float, depth: float, tip: float
) -> None:
    joint = let_in(splay, rake, depth, tip)
    cut = joint.notch
    assert joint.depth == pytest.approx(depth, abs=1e-8)
    assert abs(cut.turn) <= LegAngles(splay, rake).end_face_angle + abs(tip) + 1e-9
    gone = joint.receiver.stock_volume - net_volume(joint.receiver, [cut])
    area = cut.width * joint.receiver.thickness / math.cos(cut.turn)
    assert gone == pytest.approx(area * joint.depth, rel=1e-8)
    other = solid(joint.receiver, [cut]).volume()
    assert joint.receiver.stock_volume - gone == pytest.approx(other, rel=1e-9)


@given(leans, leans)
def test_a_level_rail_is_turned_by_the_end_face_angle(splay: float, rake: float) -> None:
    turn = abs(let_in(splay, rake).notch.turn)
    assert turn == pytest.approx(LegAngles(splay, rake).end_face_angle, abs=1e-9)


def test_it_fits_and_its_rooms_are_on_the_solids() -> None:
    joint = let_in(0.2, 0.3)
    bench = Bench(
        name="two", family="test", units="mm", timbers=joint.members, joints=(joint,),
        asked=(1.0, 1.0, 1.0), seasons=Seasons(10.0, 8.0, 12.0),
    )  # fmt: skip
    solids = build_solids(bench)
    assert solids.problems() == []
    assert [f.message for f in solid_findings(solids)] == []
    rooms = {g.what: measure_room(measures_of(solids).site, g) for g in joint.gaps()}
    assert rooms == pytest.approx({"floor": 0.0, "wall": joint.fit.cheek.mid / 2.0}, abs=1e-6)
    assert joint.lets_in
    assert joint.insertion() == joint.receiver.placement.y


def test_mouth_and_openings_lie_on_the_legs_faces() -> None:
    joint = let_in(0.2, 0.3)
    cut, post = joint.notch, joint.receiver
    mouth = [cut.frame.point(p) for p in cut.mouth()]
    assert [p[1] for p in mouth] == pytest.approx([0.0] * 4, abs=1e-9)
    assert sorted(p[2] for p in mouth) == pytest.approx([0.0, 0.0, 50.0, 50.0], abs=1e-8)
    openings = dict(cut.openings(post))
    assert set(openings) == {Face.FACE_SIDE, Face.BACK_SIDE}
    for face, corners in openings.items():
        level = 0.0 if face is Face.FACE_SIDE else 50.0
        assert [p[2] for p in corners] == pytest.approx([level] * 4, abs=1e-8)


def test_what_does_not_lie_so_is_refused() -> None:
    post = leg(0.2, 0.3)
    lying = rail(post, 9.0)
    with pytest.raises(GeometryError, match="does not reach across leg"):
        SkewLetIn(name="j", receiver=post, entering=rail(post, 9.0, long=40.0))
    with pytest.raises(GeometryError, match="no face of rail lies in leg"):
        SkewLetIn(name="j", receiver=post, entering=rail(post, -1.0))
    turned = replace(lying, placement=leg(0.1, 0.4).placement)
    with pytest.raises(GeometryError, match="no face of rail lies in leg"):
        SkewLetIn(name="j", receiver=post, entering=turned)
    with pytest.raises(GeometryError, match="more than 45 degrees from square"):
        SkewLetIn(name="j", receiver=post, entering=rail(post, 9.0, tip=1.2))


def test_a_bevelled_end_needs_its_stock() -> None:
    post = leg(0.2, 0.3)
    down: Vec = (0.0, 0.0, -1.0)
    levels = [post.placement.point((0.0, y, z))[2] for y in (0, 60) for z in (0, 50)]

    def foot(level: float) -> BevelledEnd:
        at = (0.0, 0.0, level)
        return BevelledEnd(name="j", member=post, end=Face.NEAR_END, point=at, outward=down)

    with pytest.raises(GeometryError, match="too short for the bevel"):
        foot(min(levels))
    joint = foot(max(levels))
    assert joint.members == (post,)
    assert joint.kind == "bevelled end"
    # It goes in deepest at the corner that was the lowest.
    deepest = (max(levels) - min(levels)) / post.placement.x[2]
    assert joint.bevel.plane.reach(post) == pytest.approx(deepest)
    assert finished_bounds(post, [joint.bevel])[0][2] == pytest.approx(max(levels))
    with pytest.raises(GeometryError, match="takes off more than the near end"):
        BevelledEnd(
            name="j",
            member=post,
            end=Face.NEAR_END,
            point=post.placement.origin,
            outward=post.placement.y,
        )
