import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

import treenail
from tests.strategies import a_few, frame_specs
from treenail.checks.strength.loads import GRAVITY
from treenail.checks.strength.mass import bench_mass, bolt_mass, centre_of_stock
from treenail.checks.strength.steady import stance, steady_figures, tipping_force
from treenail.checks.strength.vibration import frequency, swaying_mass
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.timber.errors import TreenailError


@pytest.fixture(scope="module")
def bench() -> treenail.Bench:
    return treenail.frame_bench(shelf={"enabled": True}, upper_long={"through": True})


def test_centres_and_masses_against_the_kernel(bench: treenail.Bench) -> None:
    data, solids = bench_mass(bench), bench.solids().placed
    for body in data.bodies:
        if body.name not in bench.by_name:
            continue
        centre = solids[body.name].Center().toTuple()
        assert body.centre == pytest.approx(centre, abs=0.05), body.name
        assert body.mass == pytest.approx(bench.masses[body.name])


def test_the_bench_balances_about_its_centre(bench: treenail.Bench) -> None:
    data = bench_mass(bench)
    for axis in range(3):
        turn = sum(b.mass * (b.centre[axis] - data.centre[axis]) for b in data.bodies)
        assert turn == pytest.approx(0, abs=1e-6)
    assert data.total == pytest.approx(sum(bench.masses.values()) + 6 * 0.139, rel=0.01)
    assert data.weight == pytest.approx(data.total * GRAVITY)


def test_a_bolts_mass_and_place(bench: treenail.Bench) -> None:
    bolt = bench.hardware[0]
    body = bolt_mass(bolt)
    r, length = bolt.size.diameter / 2, bolt.length
    shank = math.pi * r * r * length * 7850e-9
    assert shank < body.mass < 1.5 * shank
    offset = body.centre[2] - bolt.placement.origin[2]
    assert 0 < offset * bolt.placement.z[2] < length / 2


def test_a_pegs_taper_draws_its_centre_to_the_head(bench: treenail.Bench) -> None:
    peg = bench.pegs[0]
    x, y, z = centre_of_stock(peg)
    assert 0 < x < peg.length / 2
    assert (y, z) == (0.0, 0.0)


@given(st.floats(100, 5000), st.floats(0.1, 2000), st.floats(100, 2000))
def test_a_tipping_push_balances_the_weight(weight: float, lever: float, height: float) -> None:
    force = tipping_force(weight, lever, height)
    assert force * height == pytest.approx(weight * lever)
    assert tipping_force(weight, -lever, height) == 0.0


def test_a_bench_tips_over_its_feet(bench: treenail.Bench) -> None:
    stand = stance(bench)
    assert stand is not None
    mass = bench_mass(bench)
    chamfer = bench.spec.posts.foot_chamfer
    assert stand.feet_y == pytest.approx((chamfer, bench.spec.depth - chamfer))
    assert stand.top_x == pytest.approx((0, bench.spec.length))
    found = {f.key: f for f in steady_figures(bench, mass)}
    lever = min(mass.centre[1] - chamfer, bench.spec.depth - chamfer - mass.centre[1])
    assert found["tip-across"].value == pytest.approx(mass.weight * lever / bench.spec.height)
    # Somebody at the end: W times its lever about the feet is P times the overhang's.
    left = stand.feet_x[0]
    person = found["tip-end"].value * GRAVITY
    assert person * (left - 0.0) == pytest.approx(mass.weight * (mass.centre[0] - left), rel=1e-3)


@given(st.floats(1, 1e5), st.floats(1, 500), st.floats(1.1, 9))
def test_frequency_goes_with_the_root(k: float, m: float, factor: float) -> None:
    f = frequency(k, m)
    assert (2 * math.pi * f) ** 2 * m == pytest.approx(k * 1000)
    assert frequency(k * factor, m) == pytest.approx(f * math.sqrt(factor))
    assert frequency(k, m * factor) == pytest.approx(f / math.sqrt(factor))
    assert frequency(0.0, m) == 0.0


def test_swaying_mass_is_less_than_the_whole_and_more_than_the_top(bench: treenail.Bench) -> None:
    data = bench_mass(bench)
    top = sum(data.of(m.name) for m in bench.timbers if m.role == "top section")
    head = bench.by_name["post_front_left"].length
    assert top < swaying_mass(bench, data, head) < data.total


@a_few(10)
@given(frame_specs())
def test_any_bench_has_its_centre_inside_it(spec: FrameBenchSpec) -> None:
    try:
        made = build_bench(spec)
    except TreenailError:
        return
    data = bench_mass(made)
    assert data.total > 0
    lows, highs = zip(*(m.bounds() for m in made.timbers), strict=True)
    for axis in range(3):
        assert min(b[axis] for b in lows) < data.centre[axis] < max(b[axis] for b in highs)
