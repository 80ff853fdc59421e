import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import treenail
from treenail.checks.strength.beams import E_OVER_G, Beam, Case, clear_span, deflection
from treenail.checks.strength.columns import column_stability, euler_stress, post_capacity

B, H, SPAN, LOAD = st.floats(20, 300), st.floats(20, 300), st.floats(200, 3000), st.floats(1, 5000)
CASES: tuple[Case, ...] = ("simple uniform", "simple middle", "cantilever tip")


def virtual_work(case: Case, load: float, span: float, ei: float, ga: float) -> float:
    """Integral of M m/(E I) + V v/(G A'), Gauss points on both halves (exact: polynomials)."""
    total = 0.0
    nodes, weights = np.polynomial.legendre.leggauss(5)
    for low, high in ((0.0, span / 2), (span / 2, span)):
        for t, w in zip(nodes, weights, strict=True):
            x = (low + high) / 2 + t * (high - low) / 2
            if case == "cantilever tip":
                m1, v1, m, v = span - x, 1.0, load * (span - x), load
            else:
                left = x < span / 2
                m1, v1 = min(x, span - x) / 2, 0.5 if left else -0.5
                if case == "simple middle":
                    m, v = load * m1, load * v1
                else:
                    m = load * x / 2 - load * x * x / (2 * span)
                    v = load / 2 - load * x / span
            total += w * (high - low) / 2 * (m * m1 / ei + v * v1 / ga)
    return total


@given(st.sampled_from(CASES), B, H, SPAN, LOAD)
def test_sag_is_what_virtual_work_gives(
    case: Case, b: float, h: float, span: float, load: float
) -> None:
    beam = Beam(b, h, 12600.0)
    found = beam.sag(case, load, span)
    wanted = virtual_work(case, load, span, beam.e * beam.inertia, beam.g * beam.shear_area)
    assert found == pytest.approx(wanted, rel=1e-9)
    assert beam.sag(case, load, span, shear=False) < found


@pytest.mark.parametrize("slender", [4.0, 8.0, 15.0])
def test_shear_against_plane_finite_elements(slender: float) -> None:
    """scikit-fem: plane stress, E along and G = E/16, simple span under its own weight."""
    import skfem
    from skfem.helpers import dot, grad

    h, b, e = 100.0, 50.0, 12600.0
    span, load = slender * h, 1000.0
    g = e / E_OVER_G
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0, span, 49), np.linspace(0, h, 9))
    element = skfem.ElementVector(skfem.ElementQuad2())
    basis = skfem.Basis(mesh, element)

    @skfem.BilinearForm  # type: ignore[untyped-decorator]
    def stiffness(u: Any, v: Any, _: Any) -> Any:
        du, dv = grad(u), grad(v)
        shear_u, shear_v = du[0, 1] + du[1, 0], dv[0, 1] + dv[1, 0]
        along, across = du[0, 0] * dv[0, 0], du[1, 1] * dv[1, 1]
        return b * (e * along + e * across + g * shear_u * shear_v)

    @skfem.LinearForm  # type: ignore[untyped-decorator]
    def weight(v: Any, _: Any) -> Any:
        return dot(np.array([0.0 * v[0], -load / (span * h) + 0.0 * v[1]]), v)

    k, f = stiffness.assemble(basis), weight.assemble(basis)
    ends = basis.get_dofs(lambda x: np.isclose(x[0], 0) | np.isclose(x[0], span))
    middle = basis.get_dofs(lambda x: np.isclose(x[0], span / 2))
    held = np.unique(np.concatenate([ends.all("u^2"), middle.all("u^1")[:1]]))
    u = skfem.solve(*skfem.condense(k, f, D=held))
    probe = basis.probes(np.array([[span / 2], [h / 2]])) @ u
    beam = Beam(b, h, e)
    assert -float(probe[1]) == pytest.approx(beam.sag("simple uniform", load, span), rel=0.01)


def test_a_span_is_from_shoulder_to_shoulder() -> None:
    bench = treenail.frame_bench()
    rail = bench.by_name["stretcher_lower_front"]
    left, right = (bench.by_name[f"post_front_{s}"].bounds() for s in ("left", "right"))
    assert clear_span(bench, rail) == pytest.approx(right[0][0] - left[1][0])
    post = bench.by_name["post_front_left"]
    assert clear_span(bench, post) == post.length


def test_deflection_without_shear_ignores_the_shear_area() -> None:
    assert deflection("simple middle", 1.0, 10.0, 5.0, 1e-9, shear=False) == pytest.approx(
        1000 / 48 / 5
    )


@given(st.floats(1e-6, 1e6), st.floats(0.1, 1e3), st.sampled_from([0.8, 0.85, 0.9]))
def test_column_stability_stays_between_zero_euler_and_one(
    f_ce: float, f_c: float, c: float
) -> None:
    share = column_stability(f_ce, f_c, c)
    assert 0 < share <= 1 + 1e-12
    assert share <= f_ce / f_c * (1 + 1e-12)
    # It solves the NDS's quadratic c C² - (1 + a) C + a = 0.
    a = f_ce / f_c
    assert c * share**2 - (1 + a) * share + a == pytest.approx(0, abs=1e-9 * (1 + a))
    assert column_stability(f_ce * 1.1, f_c, c) >= share * (1 - 1e-12)


def test_column_stability_at_its_ends() -> None:
    assert column_stability(0.0, 10.0) == 0.0
    assert column_stability(1e9, 10.0) == pytest.approx(1.0, abs=1e-6)
    assert column_stability(1e-6, 10.0) == pytest.approx(1e-7, rel=1e-5)


@given(st.floats(30, 200), st.floats(300, 1200), st.floats(1.05, 2))
def test_thicker_or_shorter_posts_carry_more(side: float, length: float, factor: float) -> None:
    base = post_capacity(side, side, length, 20.0, 4000.0)
    assert post_capacity(side * factor, side, length, 20.0, 4000.0) > base
    assert post_capacity(side, side, length * factor, 20.0, 4000.0) < base


def test_euler_is_pi_squared_over_twelve() -> None:
    """0.822 is pi²/12 for a rectangle: F = pi² E I/(A L²) = (pi²/12) E (d/L)²."""
    assert euler_stress(1.0, 1.0) == pytest.approx(math.pi**2 / 12, abs=5e-4)
