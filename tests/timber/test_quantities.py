"""Quantities: read exactly, in agreement with pint, or refused with what is allowed."""

import math
import subprocess
import sys
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.errors import SpecError
from treenail.timber.quantities import (
    UNITS,
    Dimension,
    exact_factor,
    format_mass,
    parse_quantity,
    registry,
)


@pytest.mark.parametrize(
    ("text", "dimension", "default", "expected"),
    [
        ("8 %", "moisture", None, 8.0),
        (8, "moisture", None, 8.0),
        (0.08, "moisture", "fraction", 8.0),
        ("0.08 fraction", "moisture", None, 8.0),
        ("12 percent", "moisture", None, 12.0),
        ("70 °F", "temperature", None, 190 / 9),
        ("70", "temperature", "degF", 190 / 9),
        ("-40 F", "temperature", None, -40.0),
        ("21 °C", "temperature", None, 21.0),
        ("100 lb", "mass", None, 45.359237),
        ("1 stone", "mass", None, 6.35029318),
        ("1/2 lb", "mass", None, 0.226796185),
        ("1 \t/ 2 lb", "mass", None, 0.226796185),
        ("200 lbf", "force", None, 889.64432305210),
        ("0.9 kN", "force", None, 900.0),
        ("12.6 GPa", "stress", None, 12600.0),
        ("1 atmosphere", "stress", None, 0.101325),
        (1800, "stress", "psi", 1800 * 6894.757293168361e-6),
        ("0.67 g/cm³", "density", None, 670.0),
        ("42 lb/ft^3", "density", None, 42 * 16.018463373960142),
        ("1 lb/ft**3", "density", None, 16.018463373960142),
    ],
)
def test_values(text: Any, dimension: Dimension, default: str | None, expected: float) -> None:
    assert parse_quantity(text, dimension, default) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("dimension", "names"),
    [
        ("mass", ["kg", "g", "lb", "oz", "tonne", "gram"]),
        ("force", ["N", "kN", "lbf", "kgf", "kip"]),
        ("stress", ["MPa", "kPa", "GPa", "psi", "ksi", "bar"]),
        ("density", ["kg/m**3", "g/cm**3", "lb/ft**3"]),
    ],
)
@given(number=st.floats(0.001, 1e5))
def test_pint_agrees(dimension: Dimension, names: list[str], number: float) -> None:
    for name in names:
        target = UNITS[dimension].replace("m3", "m**3")
        oracle = pint.Quantity(1.0, name).to(target).magnitude * number
        got = parse_quantity(number, dimension, name.replace("**", "^"))
        # pint's own registry works in floats.
        assert got == pytest.approx(oracle, rel=1e-12)


@given(st.floats(-60, 300))
def test_pint_agrees_on_temperatures(fahrenheit: float) -> None:
    oracle = pint.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert parse_quantity(fahrenheit, "temperature", "degF") == pytest.approx(oracle, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "dimension"),
    [
        ("", "mass"),
        ("heavy", "mass"),
        ("8 kg", "moisture"),
        ("8 mm", "mass"),
        ("1/0", "mass"),
        ("1e999 kg", "mass"),
        ("9" * 70, "mass"),
        ("nan", "force"),
        (math.nan, "force"),
        (math.inf, "stress"),
        (10**400, "mass"),
        pytest.param(10**5000, "mass", id="huge"),
        (True, "force"),
        (None, "density"),
        ([1], "density"),
        ("1 kg/m", "density"),
        ("5 K", "temperature"),
        ("1 __class__", "mass"),
    ],
)
def test_what_is_refused(value: Any, dimension: Dimension) -> None:
    with pytest.raises(SpecError) as caught:
        parse_quantity(value, dimension, field="room.x")
    assert caught.value.field == "room.x"
    assert caught.value.allowed
    assert len(str(caught.value)) < 250


def test_an_unknown_dimension_lists_those_known() -> None:
    wrong: Any = "colour"
    with pytest.raises(SpecError, match="'colour' is not a dimension; allowed: moisture, mass"):
        parse_quantity(1, wrong)


def test_factors_stay_fractions() -> None:
    assert exact_factor("yard", "mm") == Fraction(9144, 10)
    assert exact_factor("kg", "mm") is None
    assert exact_factor("m * m", "mm") is None
    assert registry() is registry()


def test_common_units_never_import_pint() -> None:
    code = (
        "import sys; from treenail.timber.quantities import parse_quantity as q;"
        "q('8 %', 'moisture'); q('70 °F', 'temperature'); q('12 GPa', 'stress');"
        "q('200 lbf', 'force'); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0


def test_masses_as_written() -> None:
    assert format_mass(45.359237) == "45.4 kg"
    assert format_mass(45.359237, unit="lb") == "100.0 lb"
    assert format_mass(1.26, places=0) == "1 kg"
    wrong: Any = "t"
    with pytest.raises(SpecError, match="allowed: kg, lb"):
        format_mass(1.0, unit=wrong)
    with pytest.raises(SpecError, match="can't be written as a mass"):
        format_mass(math.nan)
