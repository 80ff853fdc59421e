"""Convex solids cut by planes: volumes against another modeller, and by hand."""

from __future__ import annotations

import math

import manifold3d
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.modeller import bounds, cutter_solid, raw, solid, stick
from treenail.joints import polytopes
from treenail.joints.cutters import BoreCutter, BoxCutter, Cutter, FilletCutter, PrismCutter
from treenail.joints.volumes import NoClosedForm, net_volume
from treenail.timber.frames import Frame, Vec, dot, scale, sub, unit

STOCK = stick(300.0, 90.0, 70.0)
CUBE = polytopes.block(((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)))
parts = st.floats(-1.0, 1.0)
vectors = st.tuples(parts, parts, parts).filter(lambda v: sum(x * x for x in v) > 0.05)


@st.composite
def turned_boxes(draw: st.DrawFn) -> BoxCutter:
    z: Vec = unit(draw(vectors))
    helper = draw(vectors.filter(lambda v: abs(dot(unit(v), z)) < 0.9))
    x = sub(helper, scale(z, dot(helper, z)))
    at = (draw(st.floats(20, 280)), draw(st.floats(-20, 90)), draw(st.floats(-20, 70)))
    size = tuple(draw(st.floats(5, 90)) for _ in range(3))
    return BoxCutter(Frame.from_zx(at, z, x), (size[0], size[1], size[2]))


def test_a_corner_off_a_cube_is_a_sixth_of_the_box_around_it() -> None:
    n = unit((1.0, 1.0, 1.0))
    left = polytopes.cut(CUBE, (n, 27.0 / math.sqrt(3.0)))
    assert polytopes.volume(left) == pytest.approx(1000.0 - 3.0**3 / 6.0)
    assert len(polytopes.corners(left)) == 10
    assert polytopes.cut(CUBE, (n, -1.0)) == ()
    assert polytopes.volume(polytopes.cut(CUBE, (n, 100.0))) == pytest.approx(1000.0)


def test_planes_through_faces_and_edges_take_nothing_and_half() -> None:
    assert polytopes.volume(polytopes.cut(CUBE, ((1.0, 0.0, 0.0), 10.0))) == 1000.0
    assert polytopes.volume(polytopes.cut(CUBE, ((1.0, 0.0, 0.0), 0.0))) == 0.0
    half = polytopes.cut(CUBE, (unit((1.0, -1.0, 0.0)), 0.0))
    assert polytopes.volume(half) == pytest.approx(500.0)


@given(st.lists(turned_boxes(), min_size=1, max_size=3))
def test_together_is_the_modellers_union(boxes: list[BoxCutter]) -> None:
    solids = [polytopes.from_cutter(b) for b in boxes]
    union = manifold3d.Manifold.batch_boolean(
        [cutter_solid(b) for b in boxes], manifold3d.OpType.Add
    )
    both = polytopes.together([s for s in solids if s])
    assert both == pytest.approx(union.volume(), rel=1e-7, abs=1e-3)


@given(st.lists(turned_boxes(), min_size=1, max_size=2), st.booleans())
def test_a_member_with_tilted_and_square_cuts(boxes: list[BoxCutter], prism: bool) -> None:
    square = BoxCutter(Frame((40.0, 20.0, -2.0)), (120.0, 30.0, 45.0))
    ring = PrismCutter(Frame((0.0, 0.0, -5.0)), ((90, 10), (220, 30), (150, 85)), 60.0)
    cutters: list[Cutter] = [*boxes, square]
    cutters += [ring] if prism else []
    found = net_volume(STOCK, [raw(*cutters)])
    assert found == pytest.approx(solid(STOCK, [raw(*cutters)]).volume(), rel=1e-7, abs=1e-3)


def test_three_prisms_along_different_axes_in_one_place() -> None:
    half = math.sqrt(0.5)
    along = BoxCutter(
        Frame((20.0, 0.0, 0.0), (0.0, -half, half), (1.0, 0.0, 0.0), (0.0, half, half)),
        (5.0, 71.0, 15.0),
    )
    across = PrismCutter(Frame((0.0, 0.0, -5.0)), ((30, 5), (85, 8), (60, 45)), 60.0)
    level = BoxCutter(
        Frame((60.0, 50.0, 5.0), (half, 0.0, half), (-half, 0.0, half), (0.0, -1.0, 0.0)),
        (30.0, 40.0, 60.0),
    )
    cutters: list[Cutter] = [along, across, level]
    found = net_volume(STOCK, [raw(*cutters)])
    assert found == pytest.approx(solid(STOCK, [raw(*cutters)]).volume(), rel=1e-9)
    # A round hole among them is an integral over its section.
    hole = BoreCutter(Frame((60.0, 20.0, -5.0)), 8.0, 80.0)
    low, high = bounds(STOCK, [raw(*cutters, hole)])
    assert low - 1e-6 <= net_volume(STOCK, [raw(*cutters, hole)]) <= high + 1e-6


def test_round_things_that_meet_something_aslant() -> None:
    tilt = Frame.from_zx((150.0, 40.0, -20.0), (0.2, 0.3, 1.0), (1.0, 0.0, -0.2))
    box = BoxCutter(tilt, (40.0, 30.0, 200.0))
    near = BoreCutter(Frame((170.0, 60.0, -2.0)), 12.0, 100.0)
    low, high = bounds(STOCK, [raw(box, near)])
    assert low - 1e-6 <= net_volume(STOCK, [raw(box, near)]) <= high + 1e-6
    lying = Frame((150.0, 45.0, 5.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    with pytest.raises(NoClosedForm, match="aslant reaches into raw cut"):
        net_volume(STOCK, [raw(box, FilletCutter(lying, 9.0, 60.0))])
    far = BoreCutter(Frame((40.0, 45.0, -2.0)), 12.0, 100.0)
    gone = net_volume(STOCK, [raw(box)]) - net_volume(STOCK, [raw(box, far)])
    assert gone == pytest.approx(math.pi * 36.0 * 70.0)
