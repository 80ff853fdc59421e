"""Round metric sizes beside the usual sizes in inches."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.metric_sizes import metric_size

INCH = 25.4


@pytest.mark.parametrize(
    ("inches", "mm"),
    [
        ("1/32", 0.8),
        ("1/16", 1.5),
        ("3/8", 10),
        ("3/4", 20),
        ("7/8", 22),
        ("1", 25),
        ("7/4", 44),
        ("2", 50),
        ("23/8", 75),
        ("3", 75),
        ("4", 100),
        ("8", 200),
        ("24", 600),
        ("34", 850),
        ("60", 1500),
    ],
)
def test_what_a_metric_shop_would_say(inches: str, mm: float) -> None:
    assert metric_size(float(Fraction(inches)) * INCH) == mm


@given(st.integers(2, 64 * 60))
def test_it_is_near_and_round(steps: int) -> None:
    mm = steps / 64 * INCH
    near = metric_size(mm)
    assert near == pytest.approx(mm, rel=0.12, abs=25 if mm >= 400 else 0.3)
    assert near * 10 == pytest.approx(round(near * 10))
    if mm >= 5:
        assert near == round(near)


@given(st.floats(0.5, 2000), st.floats(0.5, 2000))
def test_a_larger_size_is_never_smaller(one: float, other: float) -> None:
    low, high = sorted((one, other))
    # The sizes kept within rough stock, and those that tools have, stand beside the steps.
    assert metric_size(low) <= metric_size(high) + 2.5


@pytest.mark.parametrize("quarters, planed", [(4, 13 / 16), (8, 7 / 4)])
def test_thicknesses_still_come_out_of_their_rough_stock(quarters: int, planed: float) -> None:
    usual = {4: 3 / 4, 8: 7 / 4}[quarters]
    assert metric_size(usual * INCH) <= planed * INCH
