import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.strength.frames import joint, skeleton
from treenail.checks.strength.frame import FrameAnswer, analyse
from treenail.checks.strength.frame_quick import (
    Portal,
    Spring,
    portal_sway,
    quick_sway,
    rail_spring,
)
from treenail.checks.strength.skeleton import Rail

HEIGHTS = st.floats(400, 1200)
STIFF = st.floats(1e5, 1e9)
EI = st.floats(1e9, 1e11)


def slope_deflection(portal: Portal, push: float) -> float:
    """Half a portal by stiffness: (sway, slope) at each level, bars with shear; numpy's solve."""
    v, springs = push / 2, sorted(portal.springs, key=lambda s: s.z)
    zs = [0.0, *(s.z for s in springs)]
    if zs[-1] < portal.height:
        zs.append(portal.height)
    k = np.zeros((2 * len(zs), 2 * len(zs)))
    for i in range(len(zs) - 1):
        length = zs[i + 1] - zs[i]
        phi = 12 * portal.ei / (portal.ga * length**2)
        a = portal.ei / (length**3 * (1 + phi))
        k[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += a * np.array(
            [
                [12, 6 * length, -12, 6 * length],
                [6 * length, (4 + phi) * length**2, -6 * length, (2 - phi) * length**2],
                [-12, -6 * length, 12, -6 * length],
                [6 * length, (2 - phi) * length**2, -6 * length, (4 + phi) * length**2],
            ]
        )
    for i, s in enumerate(springs, start=1):
        k[2 * i + 1, 2 * i + 1] += s.k
    load = np.zeros(2 * len(zs))
    load[-2] = v
    return float(np.linalg.solve(k[1:, 1:], load[1:])[-2])


@given(
    HEIGHTS,
    EI,
    st.floats(1e6, 1e8),
    st.lists(st.tuples(st.floats(0.05, 0.95), STIFF), min_size=1, max_size=4),
)
def test_the_closed_form_is_the_stiffness_method(
    height: float, ei: float, ga: float, rows: list[tuple[float, float]]
) -> None:
    levels = {round(share, 2) * height: k for share, k in rows}
    portal = Portal(height, ei, ga, tuple(Spring(z, k) for z, k in levels.items()))
    found = portal_sway(portal, 500.0)
    assert found.sway == pytest.approx(slope_deflection(portal, 500.0), rel=1e-6)
    assert sum(found.moments) == pytest.approx(250.0 * height)


@given(HEIGHTS, EI, EI, st.floats(300, 3000))
def test_one_rigid_stretcher_at_the_head_is_the_textbook_portal(
    height: float, ei_post: float, ei_rail: float, span: float
) -> None:
    k = rail_spring(ei_rail, span, math.inf)
    sway = portal_sway(Portal(height, ei_post, math.inf, (Spring(height, k),)), 500.0).sway
    wanted = 250 * height**3 / (3 * ei_post) + 250 * height**2 * span / (6 * ei_rail)
    assert sway == pytest.approx(wanted, rel=1e-9)


@given(EI, st.floats(300, 3000), STIFF, st.floats(0, 60))
def test_springs_in_series_soften_and_rigid_is_the_limit(
    ei: float, span: float, joint_k: float, arm: float
) -> None:
    rigid = rail_spring(ei, span, math.inf, arm=arm)
    soft = rail_spring(ei, span, joint_k, arm=arm)
    assert 0 < soft < rigid
    assert rail_spring(ei, span, joint_k * 1e9, arm=arm) == pytest.approx(rigid, rel=1e-3)
    assert rail_spring(ei, span, 0.0, arm=arm) == 0.0


def test_without_springs_it_is_a_mechanism() -> None:
    assert portal_sway(Portal(800, 1e10, 1e7, ()), 500.0).sway == math.inf
    assert portal_sway(Portal(800, 1e10, 1e7, (Spring(700, 0.0),)), 500.0).sway == math.inf
    assert quick_sway(skeleton(stiffness=0.0), 0, 500.0, "worn") == (math.inf, {})


@given(STIFF, st.floats(1.1, 10))
def test_soft_springs_sway_as_their_inverse(k: float, factor: float) -> None:
    tiny = k * 1e-6
    one = portal_sway(Portal(800, 1e11, math.inf, (Spring(800, tiny),)), 500.0).sway
    other = portal_sway(Portal(800, 1e11, math.inf, (Spring(800, tiny / factor),)), 500.0).sway
    assert other / one == pytest.approx(factor, rel=1e-3)


@given(HEIGHTS, STIFF, st.floats(1.01, 5))
def test_sway_falls_with_every_stiffness_and_rises_with_height(
    height: float, k: float, factor: float
) -> None:
    def sway(h: float = height, spring: float = k, e: float = 12600.0) -> float:
        frame = skeleton(height=h, levels=(0.2 * height, 0.9 * height), stiffness=spring, e_post=e)
        return quick_sway(frame, 0, 500.0, "worn")[0]

    assert sway(spring=k * factor) < sway()
    assert sway(e=12600 * factor) < sway()
    assert sway(h=height * factor) > sway()
    frame = skeleton(height=height, levels=(0.9 * height,), stiffness=k)
    double, _ = quick_sway(frame, 0, 1000.0, "worn")
    assert double == pytest.approx(2 * quick_sway(frame, 0, 500.0, "worn")[0])


def test_rigid_and_soft_limits_of_the_frame_analysis() -> None:
    stiff, firm, soft, softer = (
        analyse(skeleton(stiffness=k), "worn", 1000.0, 1000.0, False)[0]
        for k in (1e12, 1e8, 1e5, 1e4)
    )
    rigid, _ = quick_sway(skeleton(stiffness=math.inf), 0, 1000.0, "worn")
    assert stiff.sway == pytest.approx(rigid, rel=0.03)
    assert stiff.sway < firm.sway < soft.sway
    assert softer.sway == pytest.approx(10 * soft.sway, rel=0.01)
    assert softer.sway > 1e3
    assert stiff.balanced
    assert softer.balanced


def test_an_answer_that_lost_its_digits_is_not_believed() -> None:
    assert not FrameAnswer(1.0, {}, {"a": 99.0}, 100.0).balanced
    assert FrameAnswer(1.0, {}, {"a": 60.0, "b": 40.0}, 100.0).balanced


@settings(max_examples=8)
@given(
    HEIGHTS,
    st.floats(700, 2500),
    st.floats(450, 900),
    st.floats(60, 120),
    st.floats(80, 180),
    st.floats(1e7, 1e9),
)
def test_frame_analysis_and_closed_form_agree_on_a_push_in_the_middle(
    height: float, length: float, depth: float, post: float, rail: float, k: float
) -> None:
    frame = skeleton(
        height=height,
        length=length,
        depth=depth,
        post=(post, 0.8 * post),
        rail=(rail, 40.0),
        levels=(0.2 * height, 0.85 * height),
        stiffness=k,
    )
    answers = analyse(frame, "worn", 500.0, 300.0, False)
    for axis, push, answer in ((0, 500.0, answers[0]), (1, 300.0, answers[1])):
        sway, moments = quick_sway(frame, axis, push, "worn")
        assert answer.sway == pytest.approx(sway, rel=0.03)
        assert sum(answer.reactions.values()) == pytest.approx(push, rel=1e-4)
        for name, moment in moments.items():
            assert answer.moments[name] == pytest.approx(moment, rel=0.05)


def test_off_centre_the_front_sways_more() -> None:
    middle, _ = analyse(skeleton(), "worn", 500.0, 300.0, False)
    front, left = analyse(skeleton(), "worn", 500.0, 300.0, True)
    assert front.sway > middle.sway
    assert front.reactions["fl"] > front.reactions["bl"]
    assert left.reactions["bl"] > left.reactions["br"]


def test_answers_are_kept_by_numbers() -> None:
    first = analyse(skeleton(height=801.0), "worn", 500.0, 300.0, True)
    assert analyse(skeleton(height=801.0), "worn", 500.0, 300.0, True) is first


def test_shear_softens_a_short_high_stretcher_most() -> None:
    short = Rail("r", 0, 100, 140, 45, 400, 12600, "a", "b", joint(1), joint(1))
    long = Rail("r", 0, 100, 140, 45, 1500, 12600, "a", "b", joint(1), joint(1))
    assert short.shear_factor(short.inertia) == pytest.approx(1 + 19.2 * (140 / 400) ** 2)
    assert long.shear_factor(long.inertia) < short.shear_factor(short.inertia)
