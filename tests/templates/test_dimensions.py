"""Dimensions on paper: where lines, arrows and texts lie, and what the texts say."""

import math
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from treenail.templates.dimensions import (
    Dimension,
    DimensionStyle,
    chain,
    dimension_text,
    lay,
    text_width,
    to_svg,
)
from treenail.templates.hidden_line import Point
from treenail.timber.errors import SpecError

STYLE = DimensionStyle()
places = st.tuples(st.integers(-200, 200), st.integers(-200, 200)).map(
    lambda p: (float(p[0]), float(p[1]))
)
turns = st.integers(0, 359).map(math.radians)


def off(line: tuple[Point, Point], p: Point) -> float:
    (ax, ay), (bx, by) = line
    return abs((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)) / math.dist(*line)


def group(dimension: Dimension) -> ET.Element:
    return ET.fromstring("<svg>" + "".join(to_svg([dimension])) + "</svg>")


def words(element: ET.Element) -> list[str]:
    return [e.text or "" for e in element.iter("text")]


# -- where it lies -------------------------------------------------------------------------------


@given(a=places, b=places, side=st.sampled_from([-1.0, 1.0]), reach=st.integers(4, 30))
def test_an_aligned_dimension_is_parallel_to_what_it_measures(
    a: Point, b: Point, side: float, reach: int
) -> None:
    if math.dist(a, b) < 1.0:
        return
    out = (-(b[1] - a[1]) * side, (b[0] - a[0]) * side)
    laid = lay(Dimension(a, b, out, float(reach), "12"))
    tips = [arrow[0] for arrow in laid.arrows]
    assert math.dist(*tips) == pytest.approx(math.dist(a, b))
    for tip in tips:
        assert off((a, b), tip) == pytest.approx(reach)
        # On the side that was asked for.
        assert (tip[0] - a[0]) * out[0] + (tip[1] - a[1]) * out[1] > 0.0
    for stroke, tip in zip(laid.strokes[:2], sorted(tips, key=lambda t: math.dist(t, a)),
                           strict=False):  # fmt: skip
        assert math.dist(*stroke) == pytest.approx(reach - STYLE.gap + STYLE.beyond)
        assert min(off(s, tip) for s in laid.strokes[:2]) == pytest.approx(0.0, abs=1e-6)
        assert off(laid.strokes[2], tip) == pytest.approx(0.0, abs=1e-6)
    assert -90.0 - 1e-6 <= laid.angle < 90.0


@given(turn=turns, text=st.sampled_from(['3"', '1 9/16"', "1200"]))
def test_the_text_stands_over_the_middle_of_its_line_as_it_is_read(turn: float, text: str) -> None:
    b = (80.0 * math.cos(turn), 80.0 * math.sin(turn))
    laid = lay(Dimension((0.0, 0.0), b, (-b[1], b[0]), 10.0, text))
    tips = [arrow[0] for arrow in laid.arrows]
    middle = ((tips[0][0] + tips[1][0]) / 2, (tips[0][1] + tips[1][1]) / 2)
    angle = math.radians(laid.angle)
    over = (math.sin(angle), -math.cos(angle))
    lift = (laid.at[0] - middle[0]) * over[0] + (laid.at[1] - middle[1]) * over[1]
    assert 0.0 < lift < 2 * STYLE.text
    assert math.dist(laid.at, middle) == pytest.approx(lift)


def test_upright_text_is_read_from_the_right() -> None:
    assert lay(Dimension((0, 0), (0, 50), (-1, 0), 8, "50")).angle == pytest.approx(-90.0)
    assert lay(Dimension((0, 50), (0, 0), (1, 0), 8, "50")).angle == pytest.approx(-90.0)
    assert lay(Dimension((50, 0), (0, 0), (0, 1), 8, "50")).angle == pytest.approx(0.0)


def test_a_distance_along_an_axis_leaves_out_the_step_across_it() -> None:
    laid = lay(Dimension((0, 0), (30, 12), (0, 1), 8, "30", along=(1, 0)))
    tips = [arrow[0] for arrow in laid.arrows]
    assert tips == [pytest.approx((0.0, 20.0)), pytest.approx((30.0, 20.0))]


def test_a_dimension_may_lie_aslant() -> None:
    """Extension lines that aren't square to the line, as in a parallel view."""
    laid = lay(Dimension((0, 0), (40, 20), (0, 1), 10, "x"))
    tips = [arrow[0] for arrow in laid.arrows]
    assert tips == [pytest.approx((0.0, 10.0)), pytest.approx((40.0, 30.0))]


@given(size=st.floats(0.5, 20.0))
def test_arrows_turn_outside_where_there_is_no_room(size: float) -> None:
    laid = lay(Dimension((0.0, 0.0), (size, 0.0), (0.0, 1.0), 8.0, "x"))
    for (tip, *base), other in zip(laid.arrows, (size, 0.0), strict=True):
        inward = math.copysign(1.0, other - tip[0])
        back = (base[0][0] + base[1][0]) / 2
        room = size >= 2 * STYLE.arrow + 0.8
        assert (back - tip[0]) * inward == pytest.approx(STYLE.arrow if room else -STYLE.arrow)


@pytest.mark.parametrize(
    "wrong",
    [
        Dimension((1, 1), (1, 1), (0, 1), 5, "0"),
        Dimension((0, 0), (9, 0), (0, 0), 5, "9"),
        Dimension((0, 0), (9, 0), (1, 0), 5, "9"),
    ],
)
def test_a_dimension_without_direction_is_refused(wrong: Dimension) -> None:
    with pytest.raises(SpecError):
        lay(wrong)


# -- chains --------------------------------------------------------------------------------------


@given(
    gaps=st.lists(st.integers(1, 40), min_size=1, max_size=7),
    steps=st.lists(st.integers(0, 9), min_size=8, max_size=8),
)
def test_a_chain_lies_on_one_line_and_adds_up(gaps: list[int], steps: list[int]) -> None:
    xs = [float(sum(gaps[:i])) for i in range(len(gaps) + 1)]
    points = [(x, float(s)) for x, s in zip(xs, steps, strict=False)]
    found = chain(points, [str(g) for g in gaps], out=(0, 1), reach=7, along=(1, 0))
    tips = [arrow[0] for d in found for arrow in lay(d).arrows]
    level = max(p[1] for p in points) + 7.0
    assert all(t[1] == pytest.approx(level) for t in tips)
    assert sorted({round(t[0], 6) for t in tips}) == xs
    for i, (dimension, gap) in enumerate(zip(found, gaps, strict=True)):
        assert dimension.text == str(gap)
        tight = text_width(str(gap), STYLE.text) + 0.6 > gap
        at_end = i in (0, len(gaps) - 1)
        assert bool(dimension.raise_text) == (tight and not at_end)
        assert bool(dimension.beside) == (tight and at_end)
        if dimension.beside:  # clear of the whole chain
            x = lay(dimension).at[0]
            half = text_width(dimension.text, STYLE.text) / 2
            assert x + half < xs[0] or x - half > xs[-1]
    for one, two in pairwise(found):
        assert not one.raise_text or one.raise_text != two.raise_text


def test_a_chain_needs_a_text_for_each_step() -> None:
    with pytest.raises(SpecError, match="one text"):
        chain([(0, 0), (1, 0)], ["1", "2"], out=(0, 1), reach=5, along=(1, 0))


# -- what it says --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mm", "units", "marks", "text"),
    [
        (39.6875, "in", True, '1 9/16"'),
        (1524.0, "in", True, '60"'),
        (19.05, "in", False, '3/4"'),
        (863.6, "mm", True, "863.6 mm"),
        (38.04, "mm", True, "38 mm"),
        (38.04, "mm", False, "38"),
    ],
)
def test_lengths_read_as_the_bench_writes_them(
    mm: float, units: str, marks: bool, text: str
) -> None:
    assert dimension_text(mm, units, marks=marks) == text


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ('1 9/16"', ["1", "9", "16", '"']),
        ('3/4"', ["3", "4", '"']),
        ('34"', ['34"']),
        ("863.6 mm", ["863.6 mm"]),
        ('9 × 4 1/2" = 40"', ["9 × 4", "1", "2", '" = 40"']),
    ],
)
def test_a_fraction_is_stacked(text: str, parts: list[str]) -> None:
    svg = group(Dimension((0, 0), (60, 0), (0, 1), 8, text))
    assert words(svg) == parts
    assert svg.findtext(".//title") == text
    if len(parts) > 1:
        at = {e.text: float(e.get("y") or 0) for e in svg.iter("text")}
        over, under = (parts[1], parts[2]) if len(parts) > 3 else (parts[0], parts[1])
        assert at[over] < at[under]


def test_a_stacked_fraction_is_narrower_than_one_in_a_row() -> None:
    in_a_row = sum(text_width(c, 3.0) for c in '19/16"')
    assert 0.5 * in_a_row < text_width('1 9/16"', 3.0) < 0.9 * in_a_row
    assert text_width("1234", 3.0) == pytest.approx(4 * 0.556 * 3.0)


def test_a_text_is_escaped() -> None:
    svg = group(Dimension((0, 0), (60, 0), (0, 1), 8, '<b> & "'))
    assert words(svg) == ['<b> & "']
