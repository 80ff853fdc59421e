"""Lumber measures, lag screws, washers and holes against their standards."""

import pytest

from treenail.timber import fasteners, lumber
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF

INCH = 25.4
FOOT = 304.8


def test_board_feet() -> None:
    """NHLA: 1 x 6 x 96 in is 4 board feet; 12 are a cubic foot."""
    assert lumber.board_feet(1 * INCH, 6 * INCH, 96 * INCH) == pytest.approx(4.0, rel=1e-12)
    assert lumber.board_feet_of_volume(FOOT**3) == pytest.approx(12.0, rel=1e-12)


@pytest.mark.parametrize(
    "width_in, length_ft, measure",
    [(6.25, 8, 4), (6.5, 8, 4), (10, 13, 11), (6.5, 8.9, 4)],
)
def test_surface_measure(width_in: float, length_ft: float, measure: int) -> None:
    """NHLA rules: whole feet; lengths round down."""
    assert lumber.surface_measure(width_in * INCH, length_ft * FOOT) == measure


def test_board_feet_are_surface_measure_times_thickness() -> None:
    """NHLA rules: 2 in x 6 1/4 in x 8 ft counts 8 board feet."""
    assert lumber.lumber_scale(lumber.quarter("8/4"), 6.25 * INCH, 8 * FOOT) == 8.0


@pytest.mark.parametrize(
    "name, surfaced",
    [
        ("4/4", 13 / 16),
        ("5/4", 1 + 1 / 16),
        ("6/4", 1 + 5 / 16),
        ("8/4", 1 + 3 / 4),
        ("12/4", 2 + 3 / 4),
        ("16/4", 3 + 3 / 4),
    ],
)
def test_surfaced_two_sides(name: str, surfaced: float) -> None:
    """NHLA standard thickness for surfaced lumber."""
    assert lumber.quarter(name).surfaced == pytest.approx(surfaced * INCH, rel=1e-12)


# ANSI/AWC NDS-2018, Table 12.2A, part: lb per inch of thread, side grain, by specific gravity
# (ovendry volume) for lags of 1/4, 5/16, 3/8, 7/16 and 1/2 in.
TABLE_12_2A = {
    0.73: (397, 469, 538, 604, 668),
    0.68: (357, 422, 484, 543, 600),
    0.55: (260, 307, 352, 395, 437),
    0.42: (173, 205, 235, 264, 291),
}


@pytest.mark.parametrize(
    "g, diameter, value",
    [
        (g, 0.25 + 0.0625 * column, value)
        for g, row in TABLE_12_2A.items()
        for column, value in enumerate(row)
    ],
)
def test_lag_withdrawal_table(g: float, diameter: float, value: int) -> None:
    assert round(fasteners.lag_withdrawal_lb_per_inch(g, diameter)) == value


def test_lag_withdrawal_worked_example() -> None:
    """AWC solved example E2.3: 1/2 in lag, G .55, 2.1875 in of thread: 436.6 lb/in, 955.0 lb."""
    assert fasteners.lag_withdrawal_lb_per_inch(0.55, 0.5) == pytest.approx(436.6, abs=0.05)
    force = fasteners.lag_withdrawal(0.55, 0.5 * INCH, 2.1875 * INCH)
    assert force / N_PER_LBF == pytest.approx(955.0, abs=0.1)
    # The example's 4 in screw has that much thread without its tip.
    lag = fasteners.lag_thread_length(4 * INCH) - fasteners.lag_tip_length(0.5 * INCH)
    assert lag == pytest.approx(2.1875 * INCH, rel=1e-12)


def test_lag_withdrawal_in_the_handbooks_form() -> None:
    """FPL-GTR-190 (2010), Eq. 8-14: G .63, 3/8 in, 2 in of thread: 3882 lb."""
    force = fasteners.lag_ultimate_withdrawal(0.63, 0.375 * INCH, 2 * INCH)
    assert force / N_PER_LBF == pytest.approx(3882, abs=0.5)


@pytest.mark.parametrize(
    "name, flats, height",
    [
        ("1/4", 0.438, 0.188),
        ("5/16", 0.500, 0.235),
        ("3/8", 0.562, 0.268),
        ("1/2", 0.750, 0.364),
    ],
)
def test_lag_heads(name: str, flats: float, height: float) -> None:
    """ASME B18.2.1-2012, maximum."""
    lag = fasteners.lag_size(name)
    assert lag.head_flats / INCH == pytest.approx(flats, rel=1e-12)
    assert lag.head_height / INCH == pytest.approx(height, rel=1e-12)


@pytest.mark.parametrize(
    "name, series, inside, outside, thickness",
    [
        ("5/16", "narrow", 0.344, 0.688, 0.065),
        ("5/16", "wide", 0.375, 0.875, 0.083),
        ("3/8", "narrow", 0.406, 0.812, 0.065),
        ("3/8", "wide", 0.438, 1.000, 0.083),
    ],
)
def test_washers(
    name: str, series: fasteners.WasherSeries, inside: float, outside: float, thickness: float
) -> None:
    """ASME B18.21.1-2009, type A."""
    lag = fasteners.lag_size(name, series)
    shown = (lag.washer_id / INCH, lag.washer_od / INCH, lag.washer_thickness / INCH)
    assert shown == pytest.approx((inside, outside, thickness), rel=1e-12)
    assert "type A, from memory" not in lag.source


@pytest.mark.parametrize(
    "name, close, normal, loose",
    [("M6", 6.4, 6.6, 7), ("M8", 8.4, 9, 10), ("M10", 10.5, 11, 12)],
)
def test_metric_clearance_holes(name: str, close: float, normal: float, loose: float) -> None:
    """ISO 273."""
    row = fasteners.metric_clearance(name)
    assert (row.close, row.normal, row.loose, row.source) == (close, normal, loose, "ISO 273")


def test_dowel_bearing() -> None:
    """NDS-2018 section 12.3.3: G .50, 3/8 in: 5600 and 3646 psi."""
    along = fasteners.dowel_bearing(0.50, 0.375 * INCH, grain="along")
    across = fasteners.dowel_bearing(0.50, 0.375 * INCH, grain="across")
    assert along / MPA_PER_PSI == pytest.approx(5600, rel=1e-9)
    assert across / MPA_PER_PSI == pytest.approx(3646, abs=0.5)
