"""Lengths as people in a shop write them, read exactly.

``1 9/16``, ``1-9/16"``, ``2' 6 1/2"``, ``2 ft 6 in``, ``38 mm``, ``3.2 cm``: all are read
as exact fractions, and turned into a float of millimetres only at the very end, so that two
ways to write the same size give the same number. The trade's notations have a small grammar
of their own here, because importing pint costs a third of a second; any other unit is looked
up in pint when it turns up.

1 in is 25.4 mm exactly, 1 ft is 304.8 mm exactly (the international yard and pound
agreement of 1959).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal, NoReturn, TypeAlias

from treenail.timber.errors import SpecError

__all__ = [
    "ALLOWED_LENGTHS",
    "MAX_LENGTH_TEXT",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "LengthUnit",
    "LengthValue",
    "format_length",
    "format_number",
    "length_system",
    "parse_exact",
    "parse_length",
]

LengthUnit: TypeAlias = Literal["mm", "in"]
LengthValue: TypeAlias = str | int | float | Fraction

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
MAX_LENGTH_TEXT = 64
"""Longest text that is read as a length, in characters."""

ALLOWED_LENGTHS = '1 9/16, 1-9/16", 2\' 6 1/2", 1.5625 in, 38 mm, 3.2 cm, 1.2 m'

_INCH = Fraction(254, 10)
_FOOT = 12 * _INCH
_LIMIT_MM = Fraction(10) ** 9  # a thousand kilometres: beyond it, it's a slip of the pen

# Metric and inch units that never need pint.
_UNITS: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "dm": Fraction(100),
    "m": Fraction(1000),
    "in": _INCH,
    "inch": _INCH,
    "inches": _INCH,
    '"': _INCH,
    "ft": _FOOT,
    "foot": _FOOT,
    "feet": _FOOT,
    "'": _FOOT,
}

_GLYPHS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅐": "1/7",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅑": "1/9",
    "⅒": "1/10",
}
_GLYPH = re.compile(rf"(?P<after_digit>(?<=[0-9]))?(?P<glyph>[{''.join(_GLYPHS)}])")
_SIGNS = str.maketrans(
    {
        "′": "'",
        "’": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "−": "-",
        "–": "-",
        "⁄": "/",
        "\N{NO-BREAK SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
    }
)

# A number: decimal, fraction, or whole number and fraction ("1 9/16", "1-9/16").
_NUMBER = r"(?:\d+(?:\s+|-)\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+\.\d*|\.\d+|\d+)"
_PLAIN = re.compile(rf"(?P<sign>[+-]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>\S.*)?", re.ASCII)
_FEET_INCHES = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<feet>\d+)\s*(?:'|ft\.?|foot|feet)\s*-?\s*"
    rf"(?P<inches>{_NUMBER})\s*(?:\"|''|in\.?|inch|inches)?",
    re.ASCII | re.IGNORECASE,
)
_MIXED = re.compile(r"(?:(?P<whole>\d+)(?:\s+|-))?(?P<over>\d+)\s*/\s*(?P<under>\d+)", re.ASCII)
_UNIT_NAME = re.compile(r"[A-Za-zµ][A-Za-z_]{0,30}")


def parse_length(value: LengthValue, *, unit: LengthUnit, field: str | None = None) -> float:
    """Read a length and return it in mm.

    A bare number is in ``unit``. Negative lengths are read as they are given; whether one is
    allowed is the caller's question. Raises :class:`SpecError` for anything that isn't a
    finite length, with ``field`` as the place.
    """
    return float(parse_exact(value, unit=unit, field=field))


def parse_exact(value: LengthValue, *, unit: LengthUnit, field: str | None = None) -> Fraction:
    """Read a length and return it in mm, exactly.

    A float counts as the decimal that Python prints for it (0.1 is a tenth), because that is
    what its author wrote in the file.
    """
    if unit not in ("mm", "in"):
        message = f"{unit!r} is not a unit for bare numbers"
        raise SpecError(message, field=field, allowed="mm, in")
    if isinstance(value, bool):
        _refuse(value, "is not a length", field)
    if isinstance(value, Fraction | int):
        length = value * _UNITS[unit]
    elif isinstance(value, float):
        if not math.isfinite(value):
            _refuse(value, "is not a finite length", field)
        length = Fraction(repr(float(value))) * _UNITS[unit]
    elif isinstance(value, str):
        length = _parse_text(value, unit, field)
    else:
        _refuse(value, "is not a length", field)
    if abs(length) > _LIMIT_MM:
        _refuse(value, "is longer than any bench (over 1000 km)", field)
    return length


def length_system(value: object) -> LengthUnit | None:
    """Say what a length brings its unit in: ``in`` for feet, yards and the like, ``mm`` for metric.

    None for a bare number, and for what is no length.
    """
    if not isinstance(value, str):
        return None
    try:
        parse_exact(value, unit="mm")
    except SpecError:
        return None
    text = _plain_signs(value)
    if _FEET_INCHES.fullmatch(text):
        return "in"
    plain_match = _PLAIN.fullmatch(text)
    if plain_match is None or plain_match["unit"] is None:
        return None
    one = parse_exact(f"1 {plain_match['unit']}", unit="mm")
    # 1 in is 127/5 mm, and 127 is prime: it stays in whatever is made of inches (of the US survey
    # foot, 1200/3937 m, it is in the denominator).
    return "in" if one.numerator % 127 == 0 or one.denominator % 127 == 0 else "mm"


def _plain_signs(value: str) -> str:
    """A length's text with signs and fractions that are on every keyboard."""
    text = _GLYPH.sub(_spell_glyph, value.translate(_SIGNS))
    return text.replace("''", '"').strip()


def _parse_text(value: str, unit: LengthUnit, field: str | None) -> Fraction:
    if len(value) > MAX_LENGTH_TEXT:
        _refuse(value, f"has more than {MAX_LENGTH_TEXT} characters", field)
    text = _plain_signs(value)
    if not text:
        _refuse(value, "is empty, not a length", field)
    both = _FEET_INCHES.fullmatch(text)
    if both:
        feet = Fraction(both["feet"]) * _FOOT
        inches = _number(both["inches"], value, field) * _INCH
        if inches >= _FOOT:
            _refuse(value, "has 12 inches or more after its feet", field)
        total = feet + inches
        return -total if both["sign"] == "-" else total
    plain_match = _PLAIN.fullmatch(text)
    if plain_match is None:
        _refuse(value, "is not a length", field)
    number = _number(plain_match["number"], value, field)
    if plain_match["sign"] == "-":
        number = -number
    name = (plain_match["unit"] or unit).strip()
    factor = _UNITS.get(name)
    if factor is None:
        # "IN", "Feet" and "in." are plain enough; "M" or "MM" might be mega or milli.
        loose = name.lower().rstrip(".")
        factor = _UNITS[loose] if loose in {"in", "inch", "inches", "ft", "foot", "feet"} else None
    if factor is None:
        factor = _unit_from_pint(name, value, field)
    return number * factor


def _spell_glyph(match: re.Match[str]) -> str:
    # The space behind keeps "½3" from being read as 1/23.
    before = "" if match["after_digit"] is None else " "
    return f"{before}{_GLYPHS[match['glyph']]} "


def _number(text: str, value: str, field: str | None) -> Fraction:
    mixed = _MIXED.fullmatch(text)
    if mixed is None:
        return Fraction(text)
    under = int(mixed["under"])
    if under == 0:
        _refuse(value, "divides by zero", field)
    part = Fraction(int(mixed["over"]), under)
    if mixed["whole"] is None:
        return part
    if part >= 1:
        _refuse(value, "has a fraction of 1 or more after its whole number", field)
    return int(mixed["whole"]) + part


def _unit_from_pint(name: str, value: str, field: str | None) -> Fraction:
    """Millimetres in one of any other unit of length that pint knows."""
    if not _UNIT_NAME.fullmatch(name):
        _refuse(value, "is not a length", field)
    from treenail.timber.quantities import exact_factor

    factor = exact_factor(name, "mm")
    if factor is None or factor <= 0:
        _refuse(value, "is not a length", field)
    return factor


def _refuse(value: object, what: str, field: str | None) -> NoReturn:
    try:
        shown = repr(value) if isinstance(value, str) else f"{type(value).__name__} {value!r}"
    except ValueError:  # Python won't print integers of thousands of digits
        shown = f"a huge {type(value).__name__}"
    if len(shown) > MAX_LENGTH_TEXT + 12:
        shown = shown[: MAX_LENGTH_TEXT - 3] + "..."
    raise SpecError(f"{shown} {what}", field=field, allowed=ALLOWED_LENGTHS)


def format_number(
    mm: float,
    *,
    unit: LengthUnit,
    denominator: int = 32,
    remainder: bool = False,
    feet: bool = False,
) -> str:
    """Write a length without its unit: ``1 9/16`` or ``39.69``. See :func:`format_length`."""
    return _format(mm, unit, denominator, remainder=remainder, feet=feet, marks=False)


def format_length(
    mm: float,
    *,
    unit: LengthUnit,
    denominator: int = 32,
    remainder: bool = False,
    feet: bool = False,
) -> str:
    """Write a length for people: ``1 9/16"`` or ``39.69 mm``.

    Inches go to the nearest ``1/denominator``; with ``remainder`` what that rounds away is
    written after it in decimal inches (``1 9/16" +0.003`` means that the true length is
    0.003 in more). With ``feet``, lengths of a foot and more are written ``2' 6 1/2"``.
    Millimetres get up to two decimals, and ``remainder`` what those round away.
    """
    return _format(mm, unit, denominator, remainder=remainder, feet=feet, marks=True)


def _format(
    mm: float, unit: LengthUnit, denominator: int, *, remainder: bool, feet: bool, marks: bool
) -> str:
    if not math.isfinite(mm):
        message = f"{mm!r} can't be written as a length"
        raise SpecError(message, allowed="finite numbers")
    if unit == "mm":
        text = f"{mm:.2f}".rstrip("0").rstrip(".")
        text = "0" if text == "-0" else text
        rest = _rest(mm - float(text), 4) if remainder else ""
        return f"{text}{' mm' if marks else ''}{rest}"
    if unit != "in":
        message = f"{unit!r} is not a unit to write lengths in"
        raise SpecError(message, allowed="mm, in")
    if not 1 <= denominator <= 1024:
        message = f"{denominator!r} is not a denominator"
        raise SpecError(message, allowed="1 to 1024, usually 16, 32 or 64")
    inches = mm / MM_PER_INCH
    steps = round(abs(inches) * denominator)
    sign = "-" if inches < 0 and steps else ""
    shown = Fraction(steps, denominator)
    body = _feet_text(shown) if feet and shown >= 12 else _inch_text(shown, marks=marks)
    rest = ""
    if remainder:
        rest = _rest(inches - float(-shown if sign else shown), 3)
    return f"{sign}{body}{rest}"


def _inch_text(inches: Fraction, *, marks: bool) -> str:
    whole, part = divmod(inches, 1)
    if not part:
        text = str(whole)
    elif whole:
        text = f"{whole} {part.numerator}/{part.denominator}"
    else:
        text = f"{part.numerator}/{part.denominator}"
    return f'{text}"' if marks else text


def _feet_text(inches: Fraction) -> str:
    # The marks stay even in a bare number: without them feet and inches can't be told apart.
    feet, rest = divmod(inches, 12)
    return f"{feet}' {_inch_text(rest, marks=True)}" if rest else f"{feet}'"


def _rest(difference: float, places: int) -> str:
    text = f"{difference:+.{places}f}"
    return f" {text}" if float(text) else ""
