import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import treenail
from treenail.checks.strength.joint_stiffness import (
    JointStiffness,
    closed_stiffness,
    joint_stiffness,
    open_stiffness,
    peg_stiffness,
)
from treenail.joints.mortise_tenon import MortiseTenon

HIGH, WIDE, BED, PEG = st.floats(40, 300), st.floats(5, 60), st.floats(5, 60), st.floats(1e3, 2e4)


@given(HIGH, WIDE, BED)
def test_a_closed_shoulder_is_a_rectangle_on_a_bed(high: float, wide: float, bed: float) -> None:
    assert closed_stiffness(bed, ((0, high, wide),)) == pytest.approx(bed * wide * high**3 / 12)
    parts = ((0, high / 3, wide), (high / 3, high, wide))
    assert closed_stiffness(bed, parts) == pytest.approx(bed * wide * high**3 / 12)


@given(HIGH, WIDE, BED, PEG, st.floats(0.2, 0.95))
def test_one_peg_on_an_open_shoulder_in_closed_form(
    high: float, wide: float, bed: float, peg: float, share: float
) -> None:
    x = share * high
    # bed w c²/2 = peg (x - c)
    a = bed * wide / 2
    c = (-peg + math.sqrt(peg * peg + 4 * a * peg * x)) / (2 * a)
    k, pull = open_stiffness(bed, ((0, high, wide),), (x,), peg)
    assert k == pytest.approx(bed * wide * c**3 / 3 + peg * (x - c) ** 2, rel=1e-6)
    # Pull and pressure are a couple: pull times the lever between them is the moment.
    assert pull * (x - c / 3) == pytest.approx(1.0, rel=1e-6)


@given(HIGH, WIDE, BED, PEG, st.floats(1.05, 4))
def test_more_or_stiffer_pegs_make_it_stiffer(
    high: float, wide: float, bed: float, peg: float, factor: float
) -> None:
    strips = ((0.0, high, wide),)
    one, _ = open_stiffness(bed, strips, (high / 2,), peg)
    stiffer, _ = open_stiffness(bed, strips, (high / 2,), peg * factor)
    two, _ = open_stiffness(bed, strips, (high / 2, 0.8 * high), peg)
    assert one < stiffer
    assert one < two


@given(HIGH, WIDE, BED)
def test_without_pegs_an_open_shoulder_holds_nothing(high: float, wide: float, bed: float) -> None:
    assert open_stiffness(bed, ((0.0, high, wide),), (), 1e4) == (0.0, 0.0)


@given(st.floats(6, 25), st.floats(350, 900), st.floats(8000, 16000), st.floats(1.05, 2))
def test_a_peg_stiffens_with_size_and_wood(
    diameter: float, density: float, e: float, factor: float
) -> None:
    k = peg_stiffness(diameter, density, e)
    assert peg_stiffness(diameter * factor, density, e) > k
    assert peg_stiffness(diameter, density * factor, e) > k
    # In series: never stiffer than the wood's bearing alone.
    assert k < 2 * density**1.5 * diameter / 23


def _joints(**pegs: Any) -> list[JointStiffness]:
    bench = treenail.frame_bench(pegs=pegs)
    return [joint_stiffness(j) for j in bench.joints if isinstance(j, MortiseTenon)]


def test_worn_joints_are_softer_than_drawn_ones() -> None:
    for j in _joints():
        assert 0 < j.worn < j.tight
        assert j.opens_at > 0
        assert not j.glued


def test_without_pegs_a_joint_counts_as_glued() -> None:
    for j in _joints(per_joint=0):
        assert j.glued
        assert j.worn == j.tight
        assert j.opens_at == math.inf


def test_a_joint_without_draw_opens_at_once() -> None:
    assert all(j.opens_at == 0.0 for j in _joints(offset=0))
