"""Lengths: every notation is read exactly, and what is written reads back."""

import math
import subprocess
import sys
from fractions import Fraction
from typing import Any, Literal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.timber.errors import SpecError
from treenail.timber.lengths import (
    ALLOWED_LENGTHS,
    LengthUnit,
    format_length,
    format_number,
    length_system,
    parse_exact,
    parse_length,
)

INCH = Fraction(254, 10)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1 9/16", Fraction(25, 16)),
        ('1-9/16"', Fraction(25, 16)),
        ("1 9/16 in", Fraction(25, 16)),
        ("1.5625", Fraction(25, 16)),
        ("25/16", Fraction(25, 16)),
        ("1  9 / 16  inches", Fraction(25, 16)),
        ("2' 6 1/2\"", Fraction(61, 2)),
        ("2' 6-1/2", Fraction(61, 2)),
        ("2'6-1/2\"", Fraction(61, 2)),
        ("2'-6 1/2\"", Fraction(61, 2)),
        ("2′ 6½″", Fraction(61, 2)),
        ("2’ 6½”", Fraction(61, 2)),
        ("2 ft 6 in", Fraction(30)),
        ("2ft 6in.", Fraction(30)),
        ("2' 3", Fraction(27)),
        ("2 Feet 6.5 Inches", Fraction(61, 2)),
        ("5'", Fraction(60)),
        ("5.5 ft", Fraction(66)),
        ("1/2'", Fraction(6)),
        ("6''", Fraction(6)),
        ("½", Fraction(1, 2)),
        ("1¾", Fraction(7, 4)),
        ("1-⅞ in", Fraction(15, 8)),
        ("1 1⁄4", Fraction(5, 4)),
        (".75", Fraction(3, 4)),
        ("38.", Fraction(38)),
        ("-3/4", Fraction(-3, 4)),
        ("−2' 6\"", Fraction(-30)),
        ("+4", Fraction(4)),
        ("25.4 mm", Fraction(1)),
        ("2.54cm", Fraction(1)),
        (".0254 m", Fraction(1)),
        (" 1\N{NO-BREAK SPACE}1/2\N{NO-BREAK SPACE}in ", Fraction(3, 2)),
    ],
)
def test_notations(text: str, inches: Fraction) -> None:
    assert parse_exact(text, unit="in") == inches * INCH
    assert parse_length(text, unit="in") == float(inches * INCH)


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [
        (38, "mm", Fraction(38)),
        (0.1, "mm", Fraction(1, 10)),
        (1.5625, "in", Fraction(25, 16) * INCH),
        (Fraction(1, 3), "in", INCH / 3),
        ("1/3", "mm", Fraction(1, 3)),
        ("1.2 m", "in", Fraction(1200)),
        (-2, "mm", Fraction(-2)),
    ],
)
def test_bare_numbers_and_units(value: Any, unit: LengthUnit, mm: Fraction) -> None:
    assert parse_exact(value, unit=unit) == mm


@pytest.mark.parametrize(
    ("name", "mm"),
    [("yard", "914.4"), ("millimeter", "1"), ("thou", "0.0254"), ("angstrom", "0.0000001")],
)
def test_other_units_are_exact_too(name: str, mm: str) -> None:
    assert parse_exact(f"3 {name}", unit="in") == 3 * Fraction(mm)


@pytest.mark.parametrize(
    "value",
    [
        "",
        "   ",
        "wide",
        "2 3/4 pounds",
        "3 kg",
        "5 degF",
        "1 FBM",
        "1 m**2",
        "1 m*m",
        "1 __import__",
        "1/0",
        "1 9/0 in",
        "1 9/8",
        "1 -9/16",
        "½3",
        "2' 12\"",
        "1,5",
        "1e3",
        "0x10",
        "1_000",
        "--5",
        "5 mm mm",
        "5 MM",
        "5 M",
        "nan",
        "inf",
        "٣ mm",
        "9" * 65,
        "1 light_year",
        math.nan,
        math.inf,
        -math.inf,
        True,
        None,
        [38],
        {"mm": 38},
        1 + 2j,
        pytest.param(10**5000, id="huge"),
    ],
)
def test_what_is_no_length(value: Any) -> None:
    with pytest.raises(SpecError) as caught:
        parse_length(value, unit="in", field="top.thickness")
    assert caught.value.field == "top.thickness"
    assert caught.value.allowed == ALLOWED_LENGTHS
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("texts", "system"),
    [
        (['1 9/16"', "1 in", "2' 6", "2'6½″", "3 ft", "1.5 Inches", "-2 in.", "1 yard"], "in"),
        (["5 thou", "1 fathom", "3 yd"], "in"),
        (["38 mm", "3.2 cm", "1.2 m", "4 dm", "500 micrometer", "-1 mm", "0 mm"], "mm"),
        (
            ["38", "1 9/16", "½", "-3", "0", "bananas", "38 kg", "", "1/0 in", "9 furlong miles"],
            None,
        ),
        ([38, 38.5, 0, True, None, Fraction(1, 2), [1]], None),
    ],
)
def test_the_units_that_a_length_brings(texts: list[Any], system: LengthUnit | None) -> None:
    assert {repr(t): length_system(t) for t in texts} == {repr(t): system for t in texts}


def test_a_wrong_default_unit_is_refused() -> None:
    wrong: Any = "kg"
    with pytest.raises(SpecError, match="'kg' is not a unit for bare numbers"):
        parse_exact(1, unit=wrong)
    with pytest.raises(SpecError, match="'kg' is not a unit to write"):
        format_length(1.0, unit=wrong)


def test_the_trades_notations_never_import_pint() -> None:
    code = (
        "import sys; from treenail.timber.lengths import parse_length as p, format_length as f;"
        "[p(t, unit='in') for t in ('1 9/16', '2 ft 6 in', '38 mm', '3.2 cm', '1.2 m')];"
        "f(1.0, unit='in'); sys.exit('pint' in sys.modules or 'numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0


@given(
    whole=st.integers(0, 400),
    over=st.integers(1, 127),
    exponent=st.integers(1, 7),
    style=st.sampled_from(["{w} {o}/{u}", "{w}-{o}/{u}", "{w} {o}/{u} in", '{w} {o}/{u}"']),
)
def test_mixed_fractions_are_exact(whole: int, over: int, exponent: int, style: str) -> None:
    under = 2**exponent
    over %= under
    text = style.format(w=whole, o=over, u=under)
    assert parse_exact(text, unit="in") == (whole + Fraction(over, under)) * INCH


@given(feet=st.integers(0, 99), inches=st.decimals(0, "11.99", places=2))
def test_feet_and_inches_are_exact(feet: int, inches: Any) -> None:
    expected = (12 * feet + Fraction(inches)) * INCH
    assert parse_exact(f"{feet}' {inches}\"", unit="mm") == expected
    assert parse_exact(f"{feet} ft {inches} in", unit="mm") == expected
    assert parse_exact(f"-{feet}' {inches}", unit="mm") == -expected


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        length = parse_length(text, unit="mm")
    except SpecError:
        return
    assert math.isfinite(length)


@given(
    number=st.floats(0.001, 5000, allow_nan=False),
    name=st.sampled_from(["inch", "foot", "yard", "mm", "cm", "m", "hand", "thou"]),
)
def test_pint_agrees(number: float, name: str) -> None:
    expected = pint.Quantity(1.0, name).to("mm").magnitude * float(f"{number:.6f}")
    assert parse_length(f"{number:.6f} {name}", unit="in") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("mm", "options", "text"),
    [
        (39.6875, {}, '1 9/16"'),
        (39.7637, {"remainder": True}, '1 9/16" +0.003'),
        (39.6113, {"remainder": True}, '1 9/16" -0.003'),
        (39.6875, {"remainder": True}, '1 9/16"'),
        (0.396875, {"denominator": 64}, '1/64"'),
        (774.7, {"feet": True}, "2' 6 1/2\""),
        (1524.0, {"feet": True}, "5'"),
        (25.4 * 11.999, {"feet": True}, "1'"),
        (25.4 * 11.5, {"feet": True}, '11 1/2"'),
        (-39.6875, {}, '-1 9/16"'),
        (-0.01, {}, '0"'),
        (0.0, {}, '0"'),
    ],
)
def test_inches_as_written(mm: float, options: dict[str, Any], text: str) -> None:
    assert format_length(mm, unit="in", **options) == text
    if not options.get("feet"):
        assert format_number(mm, unit="in", **options) == text.replace('"', "")


@pytest.mark.parametrize(
    ("mm", "text"),
    [(39.6875, "39.69 mm"), (38.0, "38 mm"), (3.2, "3.2 mm"), (-0.001, "0 mm"), (100, "100 mm")],
)
def test_millimetres_as_written(mm: float, text: str) -> None:
    assert format_length(mm, unit="mm") == text
    assert format_number(mm, unit="mm") == text.removesuffix(" mm")


@given(
    mm=st.floats(-9000, 9000, allow_nan=False),
    denominator=st.sampled_from([8, 16, 32, 64]),
    feet=st.booleans(),
)
def test_inches_read_back_within_half_a_step(mm: float, denominator: int, feet: bool) -> None:
    text = format_length(mm, unit="in", denominator=denominator, feet=feet)
    assert abs(parse_length(text, unit="mm") - mm) <= 25.4 / denominator / 2 * (1 + 1e-9)


@given(mm=st.floats(-9000, 9000, allow_nan=False), unit=st.sampled_from(["mm", "in"]))
def test_the_remainder_is_what_was_rounded_away(mm: float, unit: Literal["mm", "in"]) -> None:
    text = format_length(mm, unit=unit, remainder=True)
    plain = format_length(mm, unit=unit)
    assert text.startswith(plain)
    rest = text.removeprefix(plain)
    factor, places = (25.4, 3) if unit == "in" else (1.0, 4)
    total = parse_length(plain, unit="mm") + float(rest or 0) * factor
    assert abs(total - mm) <= 0.5001 * 10**-places * factor


@given(st.floats(-9000, 9000, allow_nan=False))
def test_millimetres_read_back_within_half_a_hundredth(mm: float) -> None:
    assert abs(parse_length(format_length(mm, unit="mm"), unit="in") - mm) <= 0.005 + 1e-9


@pytest.mark.parametrize("mm", [math.nan, math.inf, -math.inf])
def test_only_finite_lengths_are_written(mm: float) -> None:
    for unit in ("mm", "in"):
        with pytest.raises(SpecError, match="can't be written as a length"):
            format_length(mm, unit=unit)


@pytest.mark.parametrize("denominator", [0, -16, 2000])
def test_a_denominator_has_to_make_sense(denominator: int) -> None:
    with pytest.raises(SpecError, match="not a denominator"):
        format_length(1.0, unit="in", denominator=denominator)
