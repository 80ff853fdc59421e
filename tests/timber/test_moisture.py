"""Moisture: the model's limits, its inverse, and how movement adds up."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.errors import SpecError
from treenail.timber.moisture import (
    EMC_TEMPERATURES,
    FIBER_SATURATION,
    coefficient_from_shrinkage,
    emc,
    in_movement_range,
    movement,
    movement_coefficient,
    rh_for_emc,
    shrinkage_from_coefficient,
    thickness_coefficient,
)
from treenail.timber.species import get_species, load_species

temperatures = st.floats(*EMC_TEMPERATURES)
moistures = st.floats(0, FIBER_SATURATION)


@given(t=temperatures, rh=st.floats(0, 0.99), more=st.floats(0.001, 0.01))
def test_damper_air_makes_moister_wood(t: float, rh: float, more: float) -> None:
    assert 0.0 <= emc(t, rh) < emc(t, rh + more)


# Below about 10 °C the fitted curve is flat, and its own rounding can win.
@given(t=st.floats(12, 60), rh=st.floats(0.05, 0.95), more=st.floats(1, 10))
def test_warmer_air_makes_drier_wood(t: float, rh: float, more: float) -> None:
    assert emc(t + more, rh) < emc(t, rh)


@given(t=temperatures, rh=st.floats(0, 1))
def test_the_inverse(t: float, rh: float) -> None:
    assert rh_for_emc(t, emc(t, rh)) == pytest.approx(rh, abs=1e-9)


def test_dry_air() -> None:
    assert emc(20.0, 0.0) == 0.0


@pytest.mark.parametrize(
    "t, rh, field",
    [
        (-5.0, 0.5, "temperature"),
        (150.0, 0.5, "temperature"),
        (float("nan"), 0.5, "temperature"),
        (20.0, -0.1, "humidity"),
        (20.0, 45.0, "humidity"),
        (20.0, float("nan"), "humidity"),
    ],
)
def test_limits_of_the_model(t: float, rh: float, field: str) -> None:
    with pytest.raises(SpecError) as caught:
        emc(t, rh)
    assert caught.value.field == field
    assert caught.value.allowed


@pytest.mark.parametrize("mc", [-1.0, 60.0, float("nan")])
def test_no_air_for_every_moisture(mc: float) -> None:
    with pytest.raises(SpecError, match="no air at 20 °C"):
        rh_for_emc(20.0, mc)


@given(width=st.floats(1, 2000), c=st.floats(0.0005, 0.005), a=moistures, b=moistures, d=moistures)
def test_movement_adds_up(width: float, c: float, a: float, b: float, d: float) -> None:
    there = movement(width, c, a, b)
    assert movement(width, c, b, a) == -there
    assert movement(2 * width, c, a, b) == pytest.approx(2 * there)
    assert there + movement(width, c, b, d) == pytest.approx(movement(width, c, a, d), abs=1e-9)


@pytest.mark.parametrize("pair", [(-1.0, 8.0), (8.0, 31.0), (float("nan"), 8.0)])
def test_movement_needs_moistures_at_which_wood_moves(pair: tuple[float, float]) -> None:
    with pytest.raises(SpecError, match="moisture content at which wood moves"):
        movement(100.0, 0.003, *pair)


def test_the_coefficients_range() -> None:
    assert in_movement_range(6.0, 14.0)
    assert not in_movement_range(5.9, 8.0)
    assert not in_movement_range(8.0, 14.1)


@pytest.mark.parametrize("key", sorted(load_species()))
def test_how_the_rings_lie(key: str) -> None:
    wood = load_species()[key]
    flat, rift, quarter = (movement_coefficient(wood, r) for r in ("flat", "rift", "quarter"))
    assert (flat, quarter) == (wood.c_tangential, wood.c_radial)
    # The strain tensor turned by 45 degrees: the mean, and the sum is kept at any angle.
    assert rift == pytest.approx((flat + quarter) / 2, rel=1e-15)
    for ring in ("flat", "rift", "quarter"):
        across, through = movement_coefficient(wood, ring), thickness_coefficient(wood, ring)
        assert across + through == pytest.approx(flat + quarter, rel=1e-15)


def test_unknown_rings_are_refused() -> None:
    wrong: Any = "bastard"
    for function in (movement_coefficient, thickness_coefficient):
        with pytest.raises(SpecError, match="allowed: flat, quarter, rift"):
            function(get_species("ash"), wrong)


@given(st.floats(0.5, 20))
def test_shrinkage_and_coefficient_turn_into_each_other(shrinkage: float) -> None:
    c = coefficient_from_shrinkage(shrinkage)
    assert shrinkage_from_coefficient(c) == pytest.approx(shrinkage, rel=1e-12)
    # Linear shrinkage over 30 points, on the size at 10 %: the definition, computed at length.
    green = 1000.0
    at_10 = green * (1 - shrinkage / 100 * 20 / 30)
    assert c == pytest.approx(green * shrinkage / 100 / 30 / at_10, rel=1e-12)


@pytest.mark.parametrize("value", [0.0, -1.0, 200.0, float("nan")])
def test_shrinkage_has_limits(value: float) -> None:
    with pytest.raises(SpecError):
        coefficient_from_shrinkage(value)
    with pytest.raises(SpecError):
        shrinkage_from_coefficient(value)
