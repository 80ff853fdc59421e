"""Equilibrium moisture content and movement against the Wood Handbook."""

import pytest

from treenail.timber.moisture import emc, movement, rh_for_emc
from treenail.timber.species import get_species

# USDA FPL-GTR-190 (2010), Table 4-2, part: percent moisture content by temperature (°F), at a
# relative humidity of 10, 20, ... 90 %.
TABLE_4_2 = {
    40: (2.6, 4.6, 6.3, 7.9, 9.5, 11.3, 13.5, 16.5, 21.0),
    70: (2.5, 4.5, 6.2, 7.7, 9.2, 11.0, 13.1, 16.0, 20.5),
    100: (2.3, 4.2, 5.8, 7.2, 8.7, 10.3, 12.3, 15.1, 19.5),
}
CELLS = [
    (fahrenheit, 10 * (column + 1), value)
    for fahrenheit, row in TABLE_4_2.items()
    for column, value in enumerate(row)
]


@pytest.mark.parametrize("fahrenheit, rh, value", CELLS)
def test_table_4_2(fahrenheit: float, rh: float, value: float) -> None:
    celsius = (fahrenheit - 32) / 1.8
    assert emc(celsius, rh / 100) == pytest.approx(value, abs=0.07)
    # Read the other way: the printed cell's humidity, to what 0.07 points are worth.
    assert rh_for_emc(celsius, value) == pytest.approx(rh / 100, abs=0.006)


def test_white_fir_worked_example() -> None:
    """FPL-GTR-190 ch. 13: flat-sawn white fir, 232 mm, to 11 %: +1.7 mm.

    C_T .00245 and the start at 8 % are from memory.
    """
    assert movement(232.0, 0.00245, 8.0, 11.0) == pytest.approx(1.7, abs=0.05)
    assert movement(9.15, 0.00245, 8.0, 11.0) == pytest.approx(0.067, abs=0.0005)


def test_oak_worked_example() -> None:
    """FPL-GTR-190 ch. 13: 5 in wide, C .00365, +3 %: 0.055 in."""
    oak = get_species("white oak")
    assert oak.c_tangential == 0.00365
    assert movement(5.0, oak.c_tangential, 7.0, 10.0) == pytest.approx(0.055, abs=0.0005)
