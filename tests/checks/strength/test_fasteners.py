import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

import treenail
from treenail.checks.strength.fasteners import lag_capacity, peg_capacity, peg_modes
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon

D, T, WALL = st.floats(5, 30), st.floats(8, 60), st.floats(5, 60)
BEARING, BENDING, SHEAR = st.floats(10, 60), st.floats(40, 200), st.floats(5, 30)


@given(D, T, WALL, BEARING, BEARING, BENDING, SHEAR)
def test_yield_modes_from_equilibrium(
    d: float, t: float, wall: float, f_m: float, f_s: float, f_b: float, shear: float
) -> None:
    modes = peg_modes(
        diameter=d,
        tenon=t,
        wall=wall,
        bearing_tenon=f_m,
        bearing_post=f_s,
        bending=f_b,
        shear=shear,
    )
    hinge = f_b * d**3 / 6  # plastic moment of a round peg, as the NDS takes it
    assert modes.tenon == pytest.approx(d * t * f_m)
    assert modes.post == pytest.approx(2 * d * wall * f_s)
    assert modes.shears == pytest.approx(math.pi * d * d / 2 * shear)
    # IV: hinges in tenon and post, each where the shear is nil.
    twice = math.sqrt(4 * hinge * d * f_m * f_s / (f_m + f_s))
    assert modes.bends_twice == pytest.approx(2 * twice)

    # III_s: a hinge in the tenon; in the post the straight peg turns about depth x.
    def rest(x: float) -> float:
        force = f_s * d * (2 * x - wall)
        return f_s * d * (x * x - wall * wall / 2) + force * force / (2 * f_m * d) - hinge

    x = brentq(rest, wall / 2, 10 * wall + 20 * d, xtol=1e-12)
    assert modes.bends_once == pytest.approx(2 * f_s * d * (2 * x - wall), rel=1e-6)
    assert modes.least[0] == min(
        modes.tenon, modes.post, modes.bends_once, modes.bends_twice, modes.shears
    )


def test_default_pegs_would_shear_and_thicker_ones_hold_more() -> None:
    def capacity(**pegs: Any) -> tuple[float, str] | None:
        bench = treenail.frame_bench(pegs=pegs)
        joint = next(j for j in bench.joints if isinstance(j, MortiseTenon))
        return peg_capacity(joint)

    thin, thick = capacity(diameter=8.0), capacity(diameter=12.0)
    assert thin is not None
    assert thick is not None
    assert thin[1] == "the peg shears off"
    assert thick[0] > thin[0]
    assert capacity(per_joint=0) is None


def test_a_lag_holds_what_the_nds_gives_for_its_thread() -> None:
    bench = treenail.frame_bench()
    bolt = next(j for j in bench.joints if isinstance(j, LagBolt))
    inch, g = 25.4, bolt.top.species.g_0
    tip = 7 / 32  # of a 3/8 in lag
    thread = min(bolt.embedment / inch, bolt.length / inch / 2 + 0.5) - tip
    wanted = 1800 * g**1.5 * 0.375**0.75 * thread * 4.4482216
    assert lag_capacity(bolt) == pytest.approx(wanted, rel=1e-6)
