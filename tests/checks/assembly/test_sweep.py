"""Sweeps on solids against what a tenon can do, and pieces against distances along the way."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.checks.assembly.benches import bar, group, ladder, usual
from tests.strategies import AXES, a_few, sizes, square_frames, tenoned_pairs
from treenail.checks.assembly.blocking import Blocking
from treenail.checks.assembly.pieces import SLIDE, Piece, block, meets, overlap
from treenail.checks.assembly.sweep import Sweeper
from treenail.checks.measured import measures_of
from treenail.generators.bench import Bench
from treenail.generators.solids import build_solids
from treenail.joints.convex import separation
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.frames import Frame, Vec, add, dot, neg, scale, unit


def sweeper(bench: Bench) -> Sweeper:
    return Sweeper(measures_of(build_solids(bench)).site)


@given(tenoned_pairs())
@a_few(5)
def test_a_tenon_leaves_its_mortise_backward_only(joint: MortiseTenon) -> None:
    bench = group([joint.receiver, joint.entering], [joint])
    sweep, blocking = sweeper(bench), Blocking(bench)
    home = joint.insertion()
    for way in AXES:
        free = dot(way, home) < -0.5
        assert sweep.runs_into("rail", "post", way) is not free
        assert sweep.runs_into("post", "rail", neg(way)) is not free
        for k, direction in enumerate(blocking.directions):
            if dot(direction, way) > 0.5:
                i, j = blocking.body["rail"], blocking.body["post"]
                assert bool(blocking.blocked[k][i] >> j & 1) is not free
                break


@pytest.mark.parametrize("meeting", ["mitred", pytest.param("notched", marks=pytest.mark.deep)])
def test_sweeps_agree_with_booleans_along_the_way(meeting: str) -> None:
    """Two tenons in one post, and all pairs around it: the kernel intersects them at places."""
    bench = usual(meeting=meeting)
    solids = build_solids(bench)
    sweep = Sweeper(measures_of(solids).site)
    names = ["stretcher_upper_front", "stretcher_upper_left", "post_front_left"]
    for one in names:
        for other in names:
            for way in AXES:
                if one == other:
                    continue
                told = sweep.runs_into(one, other, way)
                first, second = solids.placed[one], solids.placed[other]
                hit = False
                for travel in (1.0, 4.0, 12.0, 40.0, 90.0):
                    common = first.translate(scale(way, travel)).intersect(second)
                    hit = hit or sum(s.Volume() for s in common.Solids()) > 1e-2
                    if hit:
                        break
                assert told or not hit, (one, other, way)
                if told and one in names[:2] and other in names[:2]:
                    continue  # they may meet farther on than was looked
                if told:
                    assert hit, (one, other, way)


def test_round_holes_and_thin_gaps_don_t_deceive() -> None:
    """A bar before a post, beside it, and a hair's breadth beside it."""
    post = bar("post", (0.0, 0.0, 0.0), (60.0, 60.0, 600.0), 2)
    ahead = bar("ahead", (100.0, 20.0, 100.0), (400.0, 40.0, 120.0), 0)
    beside = bar("beside", (100.0, 60.0, 100.0), (400.0, 80.0, 120.0), 0)
    over = bar("over", (100.0, 59.5, 200.0), (400.0, 79.5, 220.0), 0)
    sweep = sweeper(group([post, ahead, beside, over], []))
    right, left = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)
    assert sweep.runs_into("post", "ahead", right)
    assert sweep.runs_into("ahead", "post", left)
    assert not sweep.runs_into("post", "ahead", left)
    assert not sweep.runs_into("post", "beside", right)
    assert sweep.runs_into("post", "over", right)
    assert sweep.asked_kernel == 3  # what is hit is seen by the kernel, too; what isn't needs none


def test_the_rod_before_a_peg_hole() -> None:
    timbers, joints = ladder()
    sweep = sweeper(group(timbers, joints))
    mouth = (30.0, 0.0, 230.0)
    assert sweep.in_the_rod(mouth, (0.0, -1.0, 0.0), 100.0, 4.0, ["post_left", "rail"]) == ""
    assert sweep.in_the_rod(mouth, (0.0, 1.0, 0.0), 10.0, 4.0, ["post_left"]) == "post_left"
    assert sweep.in_the_rod((200.0, -50.0, 230.0), (0.0, 1.0, 0.0), 60.0, 4.0, ["rail"]) == "rail"
    assert sweep.in_the_rod((200.0, -50.0, 265.0), (0.0, 1.0, 0.0), 60.0, 4.0, ["rail"]) == ""


@st.composite
def turned(draw: st.DrawFn) -> Frame:
    """Frames turned about one of their axes."""
    frame = draw(square_frames())
    angle = math.radians(draw(sizes(1, 89)))
    c, s = math.cos(angle), math.sin(angle)
    x = add(scale(frame.x, c), scale(frame.y, s))
    return Frame.from_zx(scale(frame.origin, 0.4), frame.z, x)


@st.composite
def blocks(draw: st.DrawFn) -> Piece:
    frame = draw(st.one_of(square_frames(), turned()))
    return block(
        frame, (0.0, 0.0, 0.0), (draw(sizes(5, 200)), draw(sizes(5, 90)), draw(sizes(5, 90)))
    )


def depth_on_the_way(a: Piece, b: Piece, way: Vec) -> float:
    """The least distance (negative: overlap) on the way: convex, so thirds close in on it."""

    def at(travel: float) -> float:
        moved = tuple(add(p, scale(way, travel)) for p in a.corners)
        return separation(moved, b.corners).distance

    low, high = 0.0, 4000.0
    for _ in range(60):
        third = (high - low) / 3
        if at(low + third) < at(high - third):
            high -= third
        else:
            low += third
    return min(at(0.0), at((low + high) / 2))


@given(blocks(), blocks(), st.sampled_from([*AXES, unit((1.0, 2.0, -0.5)), unit((-1.0, 0.3, 0.0))]))
@a_few(15)
def test_pieces_meet_exactly_where_they_come_to_overlap(a: Piece, b: Piece, way: Vec) -> None:
    if overlap(a, b):
        assert not meets(a, b, way)
        return
    least = depth_on_the_way(a, b, way)
    if least < -2 * SLIDE:
        assert meets(a, b, way)
    elif least > SLIDE:
        assert not meets(a, b, way)


def test_a_plan_needs_no_kernel_to_be_swept() -> None:
    """On the usual bench the faces alone decide: that is what makes it quick."""
    from treenail.checks.assembly.plan import plan_assembly

    bench = usual()
    sweep = sweeper(bench)
    for step in plan_assembly(bench).steps:
        for move in step.moves:
            for one in (*move.members, *move.fasteners):
                for other in (*move.present, *move.fixed):
                    assert not sweep.runs_into(one, other, neg(move.direction))
    assert sweep.asked_kernel == 0
