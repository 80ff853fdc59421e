"""Dimensions on a drawing: extension lines, a dimension line with arrows, stacked fractions.

All points are on the paper in mm, y downward. A dimension is first worked out as strokes,
arrowheads and texts, then written as SVG. The layout follows the usual drawing practice of
ISO 129-1 (text above an unbroken line, read from below or from the right); line widths and
text heights are our own.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from treenail.templates.hidden_line import Point
from treenail.templates.svg import INK, clean, num
from treenail.timber.errors import SpecError
from treenail.timber.lengths import LengthUnit, format_length, format_number

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "Dimension",
    "DimensionStyle",
    "Laid",
    "chain",
    "dimension_text",
    "lay",
    "text_width",
    "to_svg",
]

#: Widths of characters in ems, for the faces named in ``svg.FONT``; others are 0.556.
_NARROW = {" ": 0.278, '"': 0.355, "'": 0.191, "/": 0.278, ".": 0.278, ",": 0.278, "-": 0.333,
           "i": 0.222, "l": 0.222, "t": 0.278, "m": 0.833, "×": 0.584, "=": 0.584,
           "f": 0.278, "r": 0.333, "_": 0.556, "j": 0.222}  # fmt: skip
_FRACTION = re.compile(r"(?P<before>.*?)\s?(?<!\d)(?P<over>\d+)/(?P<under>\d+)(?P<after>.*)")
#: A fraction's digits, by the height of the text.
_SMALL = 0.68


@dataclass(frozen=True, slots=True)
class DimensionStyle:
    """Sizes in mm on the paper."""

    text: float = 2.6
    arrow: float = 2.0
    arrow_width: float = 0.7
    gap: float = 0.8
    beyond: float = 1.0
    line: float = 0.13


@dataclass(frozen=True, slots=True)
class Dimension:
    """A distance to be shown.

    Attributes:
        a, b: the ends of what is measured.
        out: in which direction from there the dimension line lies (any length but 0).
        reach: how far beyond the outer of the two ends, mm.
        text: what it says.
        along: direction of the dimension line; None takes the line from ``a`` to ``b``.
        raise_text: moves the text so many lines further from the dimension line.
        beside: -1 puts the text beyond the end that comes first along the line, which goes on
            under it; 1 beyond the other; 0 between them.
    """

    a: Point
    b: Point
    out: Point
    reach: float
    text: str
    along: Point | None = None
    raise_text: int = 0
    beside: int = 0


@dataclass(frozen=True, slots=True)
class Laid:
    """A dimension worked out.

    Attributes:
        strokes: extension lines, then the dimension line.
        arrows: triangles, the tip first.
        at: middle of the text's baseline.
        angle: degrees clockwise, more than -90 or equal, less than 90.
        text: what it says.
    """

    strokes: tuple[tuple[Point, Point], ...]
    arrows: tuple[tuple[Point, Point, Point], ...]
    at: Point
    angle: float
    text: str


def dimension_text(mm: float, units: str, *, marks: bool = True) -> str:
    """A length in the bench's units: inches to 1/32 with their mark, or mm.

    With ``marks`` off, mm go without their unit (where the sheet says it once).
    """
    unit: LengthUnit = "in" if units == "in" else "mm"
    if unit == "mm" and not marks:
        return format_number(round(mm, 1), unit=unit)
    return format_length(mm if unit == "in" else round(mm, 1), unit=unit)


def text_width(value: str, size: float) -> float:
    """About how wide a text is, mm; a fraction counts as stacked."""
    fraction = _FRACTION.fullmatch(value)
    if fraction:
        small = max(text_width(fraction[k], size * _SMALL) for k in ("over", "under"))
        outer = text_width(fraction["before"], size) + text_width(fraction["after"], size)
        return outer + small + 0.16 * size
    return size * sum(_NARROW.get(c, 0.667 if c.isupper() else 0.556) for c in value)


def _unit(v: Point) -> Point:
    size = math.hypot(*v)
    if size == 0.0:
        raise SpecError("a dimension needs a direction", allowed="two different points")
    return (v[0] / size, v[1] / size)


def _move(p: Point, d: Point, by: float) -> Point:
    return (p[0] + d[0] * by, p[1] + d[1] * by)


def lay(dimension: Dimension, style: DimensionStyle | None = None) -> Laid:
    """Work out where everything goes. SpecError if its direction is that of its own line."""
    s = style or DimensionStyle()
    a, b = dimension.a, dimension.b
    along = _unit(dimension.along or (b[0] - a[0], b[1] - a[1]))
    out = _unit(dimension.out)
    area = along[0] * out[1] - along[1] * out[0]
    if abs(area) < 1e-6:
        raise SpecError("a dimension line must lie beside what it measures")

    def split(p: Point) -> tuple[float, float]:
        return (
            (p[0] * out[1] - p[1] * out[0]) / area,
            (along[0] * p[1] - along[1] * p[0]) / area,
        )

    (a_along, a_out), (b_along, b_out) = split(a), split(b)
    if a_along > b_along:
        a, b, a_along, a_out, b_along, b_out = b, a, b_along, b_out, a_along, a_out
    level = max(a_out, b_out) + dimension.reach

    def foot(t: float) -> Point:
        return _move(_move((0.0, 0.0), along, t), out, level)

    foot_a, foot_b = foot(a_along), foot(b_along)
    length = b_along - a_along
    strokes = [
        (_move(a, out, s.gap), _move(foot_a, out, s.beyond)),
        (_move(b, out, s.gap), _move(foot_b, out, s.beyond)),
    ]
    inside = length >= 2.0 * s.arrow + 0.8
    if inside:
        strokes.append((foot_a, foot_b))
        arrows = (_arrow(foot_a, along, s), _arrow(foot_b, (-along[0], -along[1]), s))
    else:  # from outside, pointing at each other
        strokes.append((_move(foot_a, along, -2 * s.arrow), _move(foot_b, along, 2 * s.arrow)))
        arrows = (_arrow(foot_a, (-along[0], -along[1]), s), _arrow(foot_b, along, s))
    middle = _move(foot_a, along, length / 2)
    if dimension.beside:
        side = float(dimension.beside)
        start = foot_b if side > 0.0 else foot_a
        tail = 2 * s.arrow
        wide = text_width(dimension.text, s.text) + 0.8
        strokes.append((start, _move(start, along, side * (tail + wide))))
        middle = _move(start, along, side * (tail + wide / 2))
    angle = math.degrees(math.atan2(along[1], along[0]))
    while angle >= 90.0 - 1e-6:
        angle -= 180.0
    while angle < -90.0 - 1e-6:
        angle += 180.0
    # Above the line as it is read.
    above = (math.sin(math.radians(angle)), -math.cos(math.radians(angle)))
    lift = 0.45 * s.text + (0.3 * s.text if _FRACTION.fullmatch(dimension.text) else 0.0)
    lift += dimension.raise_text * 1.7 * s.text
    return Laid(tuple(strokes), arrows, _move(middle, above, lift), angle, dimension.text)


def _arrow(tip: Point, back: Point, s: DimensionStyle) -> tuple[Point, Point, Point]:
    side = (-back[1], back[0])
    base = _move(tip, back, s.arrow)
    return (tip, _move(base, side, s.arrow_width / 2), _move(base, side, -s.arrow_width / 2))


def chain(
    points: Sequence[Point],
    texts: Sequence[str],
    *,
    out: Point,
    reach: float,
    along: Point,
    style: DimensionStyle | None = None,
) -> tuple[Dimension, ...]:
    """Dimensions on one line from each point to the next; a text without room is moved."""
    s = style or DimensionStyle()
    if len(texts) != len(points) - 1:
        raise SpecError("a chain of dimensions needs one text between each two points")
    # One level for all: the outermost point's.
    d, o = _unit(along), _unit(out)
    area = d[0] * o[1] - d[1] * o[0]
    levels = [(d[0] * p[1] - d[1] * p[0]) / area for p in points]
    highest = max(levels)
    found = []
    raised = 0
    steps = zip(pairwise(points), pairwise(levels), texts, strict=True)
    for i, ((p, q), (m, n), text) in enumerate(steps):
        room = abs((q[0] - p[0]) * o[1] - (q[1] - p[1]) * o[0]) / abs(area)
        tight = text_width(text, s.text) + 0.6 > room
        # At the chain's ends a tight text goes beside it, between others it is raised.
        beside = 0
        if tight and i in (0, len(texts) - 1):
            run = (q[0] - p[0]) * d[0] + (q[1] - p[1]) * d[1]
            beside = (1 if i else -1) * (1 if run >= 0.0 else -1)
        raised = raised % 2 + 1 if tight and not beside else 0
        level = reach + highest - max(m, n)
        found.append(Dimension(p, q, out, level, text, along, raised, beside))
    return tuple(found)


def to_svg(dimensions: Sequence[Dimension], style: DimensionStyle | None = None) -> list[str]:
    """SVG elements, one group a dimension, each with its text as its title."""
    s = style or DimensionStyle()
    found = []
    for dimension in dimensions:
        laid = lay(dimension, s)
        lines = "".join(
            f"M{num(a[0])},{num(a[1])}L{num(b[0])},{num(b[1])}" for a, b in laid.strokes
        )
        heads = "".join(
            "M" + "L".join(f"{num(x)},{num(y)}" for x, y in arrow) + "Z" for arrow in laid.arrows
        )
        found += [
            f"<g><title>{clean(laid.text)}</title>",
            f'<path d="{lines}" fill="none" stroke="{INK}" stroke-width="{num(s.line)}"/>',
            f'<path d="{heads}"/>',
            _text(laid, s),
            "</g>",
        ]
    return found


def _text(laid: Laid, s: DimensionStyle) -> str:
    """The text about its place; a fraction with its parts one above the other."""
    place = f"translate({num(laid.at[0])} {num(laid.at[1])})"
    if abs(laid.angle) > 1e-6:
        place += f" rotate({num(laid.angle)})"
    size = num(s.text)
    fraction = _FRACTION.fullmatch(laid.text)
    if fraction is None:
        return (
            f'<text transform="{place}" font-size="{size}" text-anchor="middle">'
            f"{clean(laid.text)}</text>"
        )
    before, after = fraction["before"], fraction["after"]
    small = s.text * _SMALL
    wide = max(text_width(fraction[k], small) for k in ("over", "under")) + 0.16 * s.text
    at = -text_width(laid.text, s.text) / 2
    middle = 0.36 * s.text  # of the digits, above the baseline
    bar = at + text_width(before, s.text)
    parts = [f'<g transform="{place}" font-size="{size}">']
    if before:
        parts.append(f'<text x="{num(bar)}" y="0" text-anchor="end">{clean(before)}</text>')
    for digits, y in (
        (fraction["over"], -middle - 0.16 * s.text),
        (fraction["under"], -middle + 0.16 * s.text + 0.72 * small),
    ):
        parts.append(
            f'<text x="{num(bar + wide / 2)}" y="{num(y)}" font-size="{num(small)}" '
            f'text-anchor="middle">{clean(digits)}</text>'
        )
    parts.append(
        f'<path d="M{num(bar + 0.06 * s.text)},{num(-middle)}h{num(wide - 0.12 * s.text)}" '
        f'stroke="{INK}" stroke-width="{num(0.06 * s.text)}"/>'
    )
    if after:
        parts.append(f'<text x="{num(bar + wide)}" y="0">{clean(after)}</text>')
    parts.append("</g>")
    return "".join(parts)
