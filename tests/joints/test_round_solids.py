"""Round things cut by planes: closed forms by hand, and another modeller in every direction."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate

from tests.joints.modeller import bounds, cutter_solid, raw, stick
from tests.joints.test_polytopes import turned_boxes, vectors
from treenail.joints import polytopes
from treenail.joints.angled_cuts import EndBevel, EndPlane
from treenail.joints.cutters import (
    BoreCutter,
    BoxCutter,
    ConeCutter,
    Cutter,
    SlotCutter,
    TurnedCutter,
)
from treenail.joints.disc_integrals import Plane, over_disc
from treenail.joints.round_solids import NoFormula, rounds_of
from treenail.joints.volumes import NoClosedForm, net_volume
from treenail.timber.frames import Frame, cross, unit
from treenail.timber.member import Face, Member

STOCK = stick(300.0, 90.0, 70.0)
angles = st.floats(-0.7, 0.7)


def leaning(along: float, across: float, at: tuple[float, float, float]) -> Frame:
    """A frame whose z leans from the stick's z by two slopes."""
    z = unit((math.tan(along), math.tan(across), 1.0))
    return Frame.from_zx(at, z, cross((0.0, 1.0, 0.0), z))


def gone(*cutters: Cutter) -> float:
    return STOCK.stock_volume - net_volume(STOCK, [raw(*cutters)])


@given(angles, angles, st.floats(2.0, 16.0))
def test_a_hole_through_two_faces_is_its_section_times_the_slant_thickness(
    along: float, across: float, diameter: float
) -> None:
    frame = leaning(along, across, (150.0, 45.0, 35.0))
    long = 35.0 / frame.z[2] + 20.0
    assume(35.0 * math.tan(abs(across)) + diameter * 0.8 < 45.0)
    hole = BoreCutter(frame.shifted((0.0, 0.0, -long)), diameter, 2.0 * long)
    assert gone(hole) == pytest.approx(math.pi / 4.0 * diameter**2 * 70.0 / frame.z[2], rel=1e-12)


@given(
    st.tuples(*[st.floats(-3.0, 3.0)] * 3),
    st.lists(st.tuples(*[st.floats(-3.0, 3.0)] * 3), max_size=3),
)
def test_integrals_over_a_cut_disc(
    what: tuple[float, float, float], where: list[tuple[float, float, float]]
) -> None:
    plane, sides = Plane(*what), [Plane(*w) for w in where]
    found = over_disc(plane, 2.0, sides)
    # In polar rings: along each circle what counts are arcs between roots of the lines.

    def ring(r: float) -> float:
        stops = [0.0, 2.0 * math.pi]
        for side in sides:
            size = r * math.hypot(side.across, side.up)
            if size > abs(side.level):
                turn, half = math.atan2(side.up, side.across), math.acos(-side.level / size)
                stops += [(turn + s * half) % (2.0 * math.pi) for s in (-1.0, 1.0)]
        stops.sort()
        total = 0.0
        for a, b in itertools.pairwise(stops):
            mid = (a + b) / 2.0
            if all(s.at((r * math.cos(mid), r * math.sin(mid))) > 0.0 for s in sides):
                total += plane.level * r * (b - a)
                total += plane.across * r * r * (math.sin(b) - math.sin(a))
                total -= plane.up * r * r * (math.cos(b) - math.cos(a))
        return total

    kinks = [
        abs(s.level) / d for s in sides if (d := math.hypot(s.across, s.up)) > abs(s.level) / 2
    ]
    wanted, _ = integrate.quad(ring, 0.0, 2.0, points=sorted(kinks) or None, limit=200)
    assert found == pytest.approx(wanted, abs=2e-3)


@st.composite
def turned(draw: st.DrawFn) -> Frame:
    return draw(turned_boxes()).frame


@given(turned(), st.floats(4.0, 30.0), st.floats(5.0, 90.0), turned_boxes())
def test_any_hole_in_any_box(frame: Frame, d: float, depth: float, box: BoxCutter) -> None:
    hole = BoreCutter(frame, d, depth)
    (one,), _ = rounds_of(hole, "hole")
    solid = polytopes.from_cutter(box)
    assert solid is not None
    found = one.volume(polytopes.halves(solid))
    low, high = ((cutter_solid(hole, around=w) ^ cutter_solid(box)).volume() for w in (False, True))
    assert low - 1e-5 <= found <= high + 1e-5


@settings(max_examples=40)
@given(turned(), st.floats(4.0, 30.0), st.lists(turned_boxes(), max_size=2), st.booleans())
def test_holes_and_slots_among_things_that_lie_aslant(
    frame: Frame, d: float, boxes: list[BoxCutter], slot: bool
) -> None:
    tool = SlotCutter(frame, 25.0, d, 60.0) if slot else BoreCutter(frame, d, 60.0)
    straight = BoxCutter(Frame((100.0, 20.0, 10.0)), (60.0, 30.0, 90.0))
    cuts = [raw(tool, straight, *boxes)]
    low, high = bounds(STOCK, cuts)
    assert low - 1e-4 <= net_volume(STOCK, cuts) <= high + 1e-4


@given(turned(), st.floats(8.0, 30.0), st.floats(2.0, 8.0), vectors, st.floats(-30.0, 30.0))
def test_cones_between_planes(
    frame: Frame, start: float, less: float, normal: tuple[float, float, float], level: float
) -> None:
    cone = ConeCutter(frame, start, start - less, 60.0)
    (one,), _ = rounds_of(cone, "cone")
    n = unit(normal)
    box = BoxCutter(
        Frame.from_zx(
            tuple(a + level * b for a, b in zip(frame.point((0.0, 0.0, 30.0)), n, strict=True)),  # type: ignore[arg-type]
            n,
            cross(n, (0.6, 0.0, 0.8)) if abs(n[1]) < 0.9 else cross(n, (1.0, 0.0, 0.0)),
        ).shifted((-200.0, -200.0, 0.0)),
        (400.0, 400.0, 400.0),
    )
    solid = polytopes.from_cutter(box)
    assert solid is not None
    try:
        found = one.volume(polytopes.halves(solid))
    except NoFormula:
        # Only where the plane's section runs out through one of the cone's ends.
        c = frame.local_direction(n)
        heights = [
            (x * math.cos(t) * c[0] + x * math.sin(t) * c[1] + (z - 30.0) * c[2]) - level
            for x, z in ((start / 2.0, 0.0), ((start - less) / 2.0, 60.0))
            for t in [k * 0.01 for k in range(629)]
        ]
        first, last = heights[:629], heights[629:]
        assert min(first) < 0.1 < max(first) + 0.2 or min(last) < 0.1 < max(last) + 0.2
        return
    low, high = ((cutter_solid(cone, around=w) ^ cutter_solid(box)).volume() for w in (False, True))
    assert low - 1e-5 <= found <= high + 1e-5


@given(st.floats(1e-4, 0.3), st.floats(-0.3, 0.3), st.booleans())
def test_a_reamed_hole_that_leans_and_a_turned_end_cut_aslant(
    along: float, across: float, through: bool
) -> None:
    frame = leaning(along, across, (150.0, 45.0, 0.0)).shifted((0.0, 0.0, -20.0))
    deep = 120.0 if through else 65.0
    socket = ConeCutter(frame, 36.0, 36.0 - deep / 8.0, deep)
    low, high = bounds(STOCK, [raw(socket)])
    assert low - 1e-5 <= net_volume(STOCK, [raw(socket)]) <= high + 1e-5
    end = STOCK.face_frame(Face.FAR_END)
    cone = TurnedCutter(end, 90.0, 70.0, (45.0, 35.0), 25.0, 40.0, 80.0)
    normal = unit((math.sin(along), math.sin(across), 1.0))
    level = 40.0 * normal[2] + 45.0 * normal[0] + 35.0 * normal[1]
    bevel = EndBevel(
        joint="", purpose="", face=Face.FAR_END, frame=end, plane=EndPlane(normal, level)
    )
    cuts = [raw(cone), bevel]
    low, high = bounds(STOCK, cuts)
    assert low - 1e-4 <= net_volume(STOCK, cuts) <= high + 1e-4


def test_a_counterbore_that_leans_holds_the_hole_below_it() -> None:
    frame = leaning(0.3, 0.2, (150.0, 45.0, 0.0)).shifted((0.0, 0.0, -20.0))
    wide, thin = BoreCutter(frame, 24.0, 50.0), BoreCutter(frame, 10.0, 120.0)
    low, high = bounds(STOCK, [raw(wide, thin)])
    assert low - 1e-6 <= net_volume(STOCK, [raw(wide, thin)]) <= high + 1e-6
    other = BoreCutter(Frame((150.0, 45.0, -2.0)), 10.0, 100.0)
    with pytest.raises(NoClosedForm, match=r"cross, because one of them lies aslant"):
        net_volume(STOCK, [raw(wide, name="a"), raw(other, name="b")])
    with pytest.raises(NoClosedForm, match="lengthwise"):
        net_volume(STOCK, [raw(ConeCutter(replace(frame, origin=(0.0, 45.0, -5.0)), 30, 20, 90))])


@given(angles, angles, st.sampled_from([0.0, 15.0]))
def test_a_peg_cut_flush_at_both_ends(first: float, second: float, tip: float) -> None:
    peg = Member(
        name="peg", role="peg", length=100.0, width=10.0, thickness=10.0, species=STOCK.species,
        round_section=True, tip_length=tip, tip_diameter=7.0 if tip else 10.0,
    )  # fmt: skip
    cuts = []
    for end, turn in ((Face.NEAR_END, first), (Face.FAR_END, second)):
        normal = unit((math.tan(turn) / 2.0, math.tan(turn), 1.0))
        frame = peg.face_frame(end)  # a peg's axis is its x
        x, y, _ = frame.local_point((0.0, 0.0, 0.0))
        plane = EndPlane(normal, 20.0 * normal[2] + x * normal[0] + y * normal[1])
        cuts.append(EndBevel(joint="", purpose="", face=end, frame=frame, plane=plane))
    if tip:
        cuts.pop()
    got = net_volume(peg, cuts)
    assert got == pytest.approx(peg.stock_volume - math.pi * 25.0 * 20.0 * len(cuts), rel=1e-12)
