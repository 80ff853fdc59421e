"""Treenails in single shear: stiffness and strength against closed forms and equilibrium."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import treenail
from treenail.checks.strength.data import strength_of
from treenail.checks.strength.joint_stiffness import peg_stiffness
from treenail.checks.strength.skeleton import read_skeleton
from treenail.checks.strength.treenails import single_shear, treenail_capacity, turning
from treenail.joints.treenails import Treenails

LENGTH, STRESS = st.floats(8, 80), st.floats(8, 60)


def on_post(bench: treenail.Bench) -> Treenails:
    return next(j for j in bench.joints if isinstance(j, Treenails) and j.receiver.role == "post")


def test_four_pegs_in_a_rectangle_turn_about_its_middle() -> None:
    joint = on_post(treenail.apron_bench())
    wide, high = joint.spread, joint.points[1][0] - joint.points[0][0]
    density = joint.receiver.species.density(12.0)
    peg = peg_stiffness(joint.diameter, density, joint.species.moe) / 2
    stiff = turning(joint)
    square = wide**2 + high**2  # four times the half diagonal's square
    assert stiff.tight == pytest.approx(peg * square)
    assert stiff.worn == stiff.tight
    assert stiff.peg_pull == pytest.approx(math.sqrt(square) / 2 / square)


@given(st.floats(5, 30), LENGTH, LENGTH, STRESS, STRESS, st.floats(40, 200))
def test_single_shear_is_the_least_that_equilibrium_allows(
    d: float, side: float, main: float, f_s: float, f_m: float, bending: float
) -> None:
    """Lower bound theorem: shear and moment at the joint's plane that both members can hold.

    A member of length l that bears f d carries a force z with a moment m at its face while
    m <= f d/4 (l² - z²/q² - 2 l z/q), q = f d, or while its peg's hinge holds it.
    """
    hinge = bending * d**3 / 6

    def most(z: float, f: float, length: float) -> float:
        """The greatest moment at the plane that one side stands beside the force z."""
        q = f * d
        stiff = q * (length**2 - 2 * length * z / q - (z / q) ** 2) / 4
        return min(stiff, hinge - z * z / (2 * q))

    def holds(z: float) -> bool:
        return most(z, f_s, side) + most(z, f_m, main) >= 0.0

    low, high = 0.0, d * min(side * f_s, main * f_m)
    if not holds(high):
        for _ in range(80):
            mid = (low + high) / 2
            low, high = (mid, high) if holds(mid) else (low, mid)
    found = single_shear(diameter=d, side=side, main=main, bearing=(f_s, f_m), bending=bending)
    assert found == pytest.approx(high, rel=1e-6)


def test_thicker_pegs_carry_more_and_an_apron_stiffens_the_bench() -> None:
    bench = treenail.apron_bench()
    joint = on_post(bench)
    assert treenail_capacity(replace(joint, diameter=20.0)) > treenail_capacity(joint)
    with_it = read_skeleton(bench)
    assert with_it is not None
    assert {r.name for r in with_it.rails} >= {"apron_front", "apron_back"}
    bare = replace(bench, joints=tuple(j for j in bench.joints if not isinstance(j, Treenails)))
    sways = [
        next(f.value for f in strength_of(b).figures if f.key == "sway-along")
        for b in (bench, bare)
    ]
    assert sways[0] < 0.7 * sways[1]


def test_without_lower_stretchers_the_aprons_alone_keep_it_up() -> None:
    bench = treenail.apron_bench(stretchers=False)
    figures = {f.key: f for f in strength_of(bench).figures}
    assert math.isfinite(figures["sway-along"].value)
    assert figures["treenail-pull"].member.startswith("apron_")
