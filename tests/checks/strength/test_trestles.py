"""Posts in trestles: the closed form against textbooks, the portal and the frame analysis."""

import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.strength.frames import on_trestles
from treenail.checks.strength.data import strength_of
from treenail.checks.strength.frame import analyse
from treenail.checks.strength.frame_quick import Portal, portal_sway, quick_sway
from treenail.checks.strength.joint_stiffness import ACROSS_OVER_ALONG, joint_stiffness
from treenail.checks.strength.skeleton import read_skeleton
from treenail.checks.strength.stand_quick import Foot, Hinge, Spring, Stand, stand_sway
from treenail.checks.strength.tusk_stiffness import wedge_bearing, wedge_draw, wedge_springs
from treenail.compose import compose, join, piece
from treenail.generators.bench import Bench
from treenail.joints.tenon_variants.make import tusk_tenon
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.timber.member import Face

HEIGHTS = st.floats(400, 1200)
STIFF = st.floats(1e5, 1e9)
EI = st.floats(1e9, 1e11)
FIRM = 1e18


@given(
    HEIGHTS,
    EI,
    st.floats(1e6, 1e8),
    st.lists(st.tuples(st.floats(0.05, 0.95), STIFF), min_size=1, max_size=4),
)
def test_without_foot_and_arm_it_is_the_portal(
    height: float, ei: float, ga: float, rows: list[tuple[float, float]]
) -> None:
    levels = {round(share, 2) * height: k for share, k in rows}
    springs = tuple(Spring(z, k) for z, k in levels.items())
    portal = portal_sway(Portal(height, ei, ga, springs), 2.0)
    found = stand_sway(Stand(height, 0.0, height, ei, ga, springs))
    assert found.sway == pytest.approx(portal.sway, rel=1e-6)
    assert found.springs == pytest.approx(portal.moments, rel=1e-6, abs=1e-3)


@given(HEIGHTS, EI, st.floats(100, 600), EI)
def test_textbook_posts_in_firm_feet_and_arms(
    height: float, ei: float, apart: float, soft: float
) -> None:
    foot = Foot(0.0, 2 * apart, apart / 2, FIRM, FIRM)
    arm = Spring(height, FIRM)
    both = Stand(height, 0.0, height, ei, FIRM, (arm,), foot=foot)
    assert stand_sway(both).sway == pytest.approx(height**3 / (12 * ei), rel=1e-6)
    alone = replace(both, springs=())
    assert stand_sway(alone).sway == pytest.approx(height**3 / (3 * ei), rel=1e-6)
    # A portal on built-in feet with a beam (E I_b, span L) over it: with k = I_b h/(I_c L) the
    # posts take V h (3k + 1)/(6k + 1) at the foot, and V h 3k/(6k + 1) at the head.
    beam = replace(both, springs=(Spring(height, 6 * soft / apart),))
    k = soft * height / (ei * apart)
    assert stand_sway(beam).springs == pytest.approx([height * 3 * k / (6 * k + 1)], rel=1e-6)
    sway = height**3 / (12 * ei) * (3 * k + 2) / (6 * k + 1) * 2
    assert stand_sway(beam).sway == pytest.approx(sway, rel=1e-6)


@given(HEIGHTS, EI, st.floats(300, 900), st.floats(1e6, 1e9))
def test_a_single_post_turns_its_foot_as_a_beam_with_a_couple_in_its_middle(
    height: float, foot_ei: float, long: float, k: float
) -> None:
    # The slope under a couple M midway on two supports is M L/(12 E I); the joint adds M/k.
    stand = Stand(
        height, 0.0, height, FIRM, FIRM, (), (Hinge(0.0, k),), Foot(0.0, long, 0.0, foot_ei, FIRM)
    )
    wanted = height**2 * (long / (12 * foot_ei) + 1 / k)
    assert stand_sway(stand).sway == pytest.approx(wanted, rel=1e-6)
    assert abs(stand_sway(stand).hinges[0]) == pytest.approx(height)


@given(HEIGHTS, st.floats(200, 500), st.floats(1.1, 3), EI)
def test_two_loose_posts_rock_their_foot(
    height: float, apart: float, wider: float, ei: float
) -> None:
    # Firm posts, loose in the foot, firm in the arm: thrust and pull N = 2 V H/(2a) bend the
    # foot. Its middle stays; half of it is a beam l on two supports with N at a from the middle,
    # which gives way by N a² (l - a)²/(3 E I l); both posts turn by that over a.
    half, a = wider * apart / 2, apart / 2
    foot = Foot(0.0, 2 * half, a, ei, FIRM)
    stand = Stand(
        height, 0.0, height, FIRM, FIRM, (Spring(height, FIRM),), (Hinge(0.0, 1.0),), foot
    )
    force = height / a
    sinks = force * a**2 * (half - a) ** 2 / (3 * ei * half)
    wanted = sinks / a * height
    assert stand_sway(stand).sway == pytest.approx(wanted, rel=1e-3)


def test_what_holds_nothing_sways_without_bound() -> None:
    assert stand_sway(Stand(800, 0, 800, 1e10, 1e7, ())).sway == math.inf
    lone = on_trestles(posts=1, foot=None)
    assert quick_sway(lone, 1, 300.0, "worn") == (math.inf, {})
    assert not lone.trestles[0].holds


CASES: dict[str, dict[str, Any]] = {
    "two posts": {},
    "one post": {"posts": 1},
    "no arm": {"arm": None},
    "no foot": {"foot": None},
    "loose": {"seat": 1e7, "stiffness": 1e7},
    "slim foot": {"foot": (700.0, 60.0, 90.0)},
    "two levels": {"levels": (300.0, 650.0), "stiffness": 3e7},
}


@pytest.mark.parametrize("case", CASES)
def test_frame_analysis_and_closed_form_agree(case: str) -> None:
    frame = on_trestles(**CASES[case])
    answers = analyse(frame, "worn", 500.0, 300.0, False)
    for axis, push, answer in ((0, 500.0, answers[0]), (1, 300.0, answers[1])):
        sway, moments = quick_sway(frame, axis, push, "worn")
        assert answer.sway == pytest.approx(sway, rel=0.03)
        assert sum(answer.reactions.values()) == pytest.approx(push, rel=1e-4)
        assert moments
        for name, moment in moments.items():
            assert answer.moments[name] == pytest.approx(moment, rel=0.04)


@settings(max_examples=6)
@given(
    st.floats(500, 1000),
    st.integers(1, 2),
    st.floats(250, 450),
    st.floats(1.2, 1.6),
    st.floats(75, 130),
    st.floats(1e7, 1e8),
)
def test_they_agree_over_ranges(
    height: float, posts: int, apart: float, wider: float, deep: float, seat: float
) -> None:
    frame = on_trestles(
        posts=posts,
        height=height,
        apart=apart,
        foot=(wider * (apart + 120.0), deep, 90.0),
        levels=(0.45 * height,),
        seat=seat,
    )
    answers = analyse(frame, "worn", 500.0, 300.0, False)
    for axis, push, answer in ((0, 500.0, answers[0]), (1, 300.0, answers[1])):
        assert answer.sway == pytest.approx(quick_sway(frame, axis, push, "worn")[0], rel=0.08)


def test_off_centre_the_loaded_side_sways_more() -> None:
    middle, middle_across = analyse(on_trestles(), "worn", 500.0, 300.0, False)
    front, left = analyse(on_trestles(), "worn", 500.0, 300.0, True)
    assert front.sway > middle.sway
    assert left.sway > middle_across.sway
    assert front.reactions["l0"] > front.reactions["l1"]


@cache
def trestle_bench(*, posts: int = 2) -> Bench:
    """Two trestles by hand: feet, posts, arms, through stretchers with tusks, a plain top."""
    made, joints = [piece("top", 1700, 620, 70, at=(0, 0, 790), face="up", role="top section")], []
    ys = [270.0] if posts == 1 else [110.0, 430.0]
    legs = {}
    for end, x in (("l", 250.0), ("r", 1370.0)):
        foot = piece(f"foot_{end}", 600, 90, 90, at=(x, 10, 0), grain="back", face="up")
        arm = piece(f"arm_{end}", 560, 90, 90, at=(x, 30, 700), grain="back", face="down")
        made += [foot, arm]
        for i, y in enumerate(ys):
            leg = piece(
                f"post_{end}{i}",
                740,
                80,
                80,
                at=(x + 5, y, 30),
                grain="up",
                face="left",
                role="post",
            )
            legs[end, i] = leg
            made.append(leg)
            joints += [join(part, leg, shoulders=10, pegs=2) for part in (foot, arm)]
    for i, y in enumerate(ys):
        rail = piece(f"rail{i}", 1480, 140, 44, at=(105, y + 18, 330), role="stretcher")
        made.append(rail)
        joints += [
            tusk_tenon(legs[end, i], rail, end=at)
            for end, at in (("l", Face.NEAR_END), ("r", Face.FAR_END))
        ]
    return compose("by hand", made, joints)


@pytest.mark.parametrize("posts", [1, 2])
def test_a_trestle_bench_is_read_as_it_stands(posts: int) -> None:
    read = read_skeleton(trestle_bench(posts=posts))
    assert read is not None
    assert [t.posts for t in read.trestles] == [
        tuple(f"post_{end}{i}" for i in range(posts)) for end in "lr"
    ]
    assert {p.height for p in read.posts} == {790.0}
    for t in read.trestles:
        assert t.axis == 1
        assert t.foot
        assert t.arm
        assert (t.foot.low, t.foot.high, t.foot.deep, t.foot.z) == (10.0, 610.0, 90.0, 45.0)
        assert (t.below, t.above, t.arm.z) == (90.0, 90.0, 745.0)
        assert all(s.strong == 1 for s in (*t.foot.seats, *t.arm.seats))
    assert len(read.joints()) == 6 * posts
    assert len({j.name for _, j in read.joints()}) == 6 * posts


@pytest.mark.parametrize("posts", [1, 2])
def test_no_false_word_on_a_trestle_bench(posts: int) -> None:
    bench = trestle_bench(posts=posts)
    quick, full = strength_of(bench), strength_of(bench, frame=True)
    assert full.method == "frame analysis"
    for key in ("sway-along", "sway-across", "frequency-along", "frequency-across"):
        figure, same = quick.figure(key), full.figure(key)
        assert figure
        assert same
        assert math.isfinite(figure.value)
        assert same.value > 0.0
    tip = quick.figure("tip-across")
    assert tip
    # The feet's footprint: 600 wide about the middle, the top 860 high.
    assert tip.value == pytest.approx(quick.mass.weight * 300 / 860, rel=0.01)
    peg = quick.figure("peg-pull")
    assert peg
    assert peg.value > 0.0


def test_feet_that_the_model_does_not_know_are_not_guessed_at() -> None:
    bench = trestle_bench()
    foot = next(m for m in bench.timbers if m.name == "foot_l")
    leg = piece("post_x", 740, 60, 60, at=(260, 230, 30), grain="up", face="left", role="post")
    more = replace(
        bench,
        timbers=(*bench.timbers, leg),
        joints=(*bench.joints, join(foot, leg, shoulders=10)),
    )
    assert read_skeleton(more) is None
    assert strength_of(more).figure("sway-along") is None


def tusk(**changed: Any) -> TuskTenon:
    bench = trestle_bench()
    joint = next(j for j in bench.joints if isinstance(j, TuskTenon))
    return replace(joint, **changed)


def test_a_tusk_bears_beside_its_tenon_and_draws_by_what_the_wood_takes() -> None:
    joint = tusk(head=30.0, tail=20.0)
    play = joint.fit.edge.mid / 2
    head, tail = (joint.wedge_thickness * (x - play) for x in (30.0, 20.0))
    assert wedge_bearing(joint) == pytest.approx((head, tail))
    wood = min(joint.receiver.species.cperp, joint.wedge_species.cperp)
    assert wedge_draw(joint) == pytest.approx(2 * tail * wood)
    assert wedge_bearing(tusk(head=0.0, tail=0.0)) == (0.0, 0.0)
    assert wedge_springs(tusk(head=0.0, tail=0.0), 20.0, ACROSS_OVER_ALONG) == (0.0, ())


def test_a_tusk_is_softer_once_its_shoulder_opens_and_holds_nothing_without_bearing() -> None:
    firm = joint_stiffness(tusk(head=40.0, tail=30.0))
    assert not firm.glued
    assert 0.0 < firm.worn < firm.tight
    assert firm.opens_at > 0.0
    small = joint_stiffness(tusk(head=20.0, tail=10.0))
    assert small.worn < firm.worn
    assert small.opens_at < firm.opens_at
    nothing = joint_stiffness(tusk(head=0.0, tail=0.0))
    assert (nothing.worn, nothing.opens_at) == (0.0, 0.0)


@given(st.floats(5, 60), st.floats(1.1, 3))
def test_a_tusks_wedge_is_springs_in_a_row(bed: float, factor: float) -> None:
    joint = tusk(head=30.0, tail=30.0)
    k, places = wedge_springs(joint, bed, ACROSS_OVER_ALONG)
    assert places == (joint.section[0], joint.section[1])
    assert 0.0 < k < bed * wedge_bearing(joint)[0]
    assert wedge_springs(joint, bed * factor, ACROSS_OVER_ALONG)[0] > k
    level = replace(joint, wedge_face=Face.FACE_SIDE)
    assert wedge_springs(level, bed, ACROSS_OVER_ALONG)[1] == (sum(places) / 2,)


def test_an_upright_tusk_in_closed_form() -> None:
    # Of the two springs only that on the opening side pulls, with the tenon's far edge for lever:
    # bed w c²/2 = k (x - c), as for one peg, on a shoulder that is w wide up to the line c.
    joint = tusk(head=30.0, tail=30.0)
    bed = ACROSS_OVER_ALONG * joint.receiver.species.moe / (80.0 / 2)
    k, (near, far) = wedge_springs(joint, bed, ACROSS_OVER_ALONG)
    found = joint_stiffness(joint)
    whole, cheeks = joint.entering.thickness, joint.entering.thickness - joint.thickness

    def balance(line: float) -> float:
        press = whole * (line**2 - (line - near) ** 2) / 2 + cheeks * (line - near) ** 2 / 2
        return bed * press - k * (far - line)

    low, high = near, far
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (low, middle) if balance(middle) > 0.0 else (middle, high)
    about = whole * (low**3 - (low - near) ** 3) / 3 + cheeks * (low - near) ** 3 / 3
    assert found.worn == pytest.approx(bed * about + k * (far - low) ** 2, rel=1e-6)
