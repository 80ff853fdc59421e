"""Lumber: measures in agreement with pint, and the stock that a thickness needs."""

import itertools
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.errors import SpecError
from treenail.timber.lumber import (
    QUARTERS,
    board_feet,
    board_feet_of_volume,
    lumber_scale,
    lumber_text,
    quarter,
    rough_quarter_for,
    surface_measure,
)

INCH = 25.4
sizes = st.floats(5, 5000)


@given(t=sizes, w=sizes, length=sizes)
def test_pint_knows_the_board_foot(t: float, w: float, length: float) -> None:
    oracle = pint.Quantity(t * w * length, "mm**3").to("FBM").magnitude
    assert board_feet(t, w, length) == pytest.approx(oracle, rel=1e-9)
    assert board_feet_of_volume(t * w * length) == pytest.approx(oracle, rel=1e-9)


@given(w=st.floats(50, 600), length=st.floats(400, 5000))
def test_surface_measure_is_near_the_true_surface(w: float, length: float) -> None:
    feet = length // 304.8
    assert abs(surface_measure(w, length) - w / INCH * feet / 12) <= 0.5 + 1e-9
    assert lumber_scale(quarter(8), w, length) == 2 * surface_measure(w, length)


def test_a_length_given_in_feet_counts_in_full() -> None:
    for feet in range(4, 17):
        assert surface_measure(12 * INCH, feet * 12 * INCH) == feet


def test_halves_go_to_the_even_foot() -> None:
    assert surface_measure(6 * INCH, 5 * 304.8) == 2
    assert surface_measure(6 * INCH, 7 * 304.8) == 4


@pytest.mark.parametrize("name", ["8/4", 8, "8", " 8 / 4 "])
def test_quarters_by_name(name: str | int) -> None:
    assert quarter(name).rough == pytest.approx(2 * INCH)
    assert quarter(name).name == "8/4"


@pytest.mark.parametrize("name", ["7/4", "", 0, True, "8/8", None, "x" * 1000])
def test_other_quarters_are_refused(name: Any) -> None:
    with pytest.raises(SpecError) as caught:
        quarter(name, field="stock.rough")
    assert caught.value.field == "stock.rough"
    assert caught.value.allowed == "4/4, 5/4, 6/4, 8/4, 10/4, 12/4, 16/4"


def test_common_practice_for_8_4() -> None:
    """8/4 rough stock flattens to about 1 5/8 to 1 3/4 in (common practice)."""
    assert quarter("8/4").flattened == pytest.approx(1.625 * INCH)
    assert quarter("8/4").surfaced == pytest.approx(1.75 * INCH)


@pytest.mark.parametrize(
    "inches, cautious, name",
    [
        (1.625, True, "8/4"),
        (1.75, True, "10/4"),
        (1.75, False, "8/4"),
        (0.75, False, "4/4"),
        (0.75, True, "5/4"),
        (2.625, True, "12/4"),
        (3.75, False, "16/4"),
    ],
)
def test_rough_stock_for_a_thickness(inches: float, cautious: bool, name: str) -> None:
    found = rough_quarter_for(inches * INCH, cautious=cautious)
    assert found is not None
    assert found.name == name


def test_thicker_than_any_plank_means_laminating() -> None:
    assert rough_quarter_for(4 * INCH) is None
    assert rough_quarter_for(3.7 * INCH) is None
    assert rough_quarter_for(3.7 * INCH, cautious=False) is quarter("16/4")


@given(finished=st.floats(5, 92), cautious=st.booleans())
def test_the_stock_found_is_the_thinnest_that_does(finished: float, cautious: bool) -> None:
    found = rough_quarter_for(finished, cautious=cautious)
    assert found is not None
    index = QUARTERS.index(found)
    assert finished <= found.surfaced + 1e-6 < found.rough
    if index:
        thinner = QUARTERS[index - 1]
        assert (thinner.flattened if cautious else thinner.surfaced) < finished


def test_each_quarter_loses_to_the_planer() -> None:
    for thin, thick in itertools.pairwise(QUARTERS):
        assert thin.rough < thick.rough
        assert thin.surfaced < thick.surfaced < thick.rough
    assert [q.name for q in QUARTERS if "memory" in q.source] == ["10/4"]


@pytest.mark.parametrize("size", [0.0, -1.0, float("nan"), float("inf")])
def test_sizes_are_positive(size: float) -> None:
    with pytest.raises(SpecError, match="not a thickness"):
        board_feet(size, 1, 1)
    with pytest.raises(SpecError, match="not a width"):
        surface_measure(size, 1)
    with pytest.raises(SpecError, match="not a finished thickness"):
        rough_quarter_for(size)


def test_volumes_of_lumber_in_the_units_of_the_bench() -> None:
    assert lumber_text(79.6, "in") == "80 board feet"
    assert lumber_text(0.53, "in") == "0.5 board feet"
    assert lumber_text(79.6, "in", places=1) == "79.6 board feet"
    # 423.776 board feet are a cubic metre.
    assert lumber_text(423.776, "mm") == "1.000 m³"
