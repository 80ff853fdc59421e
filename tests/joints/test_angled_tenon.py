"""Angled mortises and tenons: closed forms, another modeller, the kernel, rooms on the solids."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.aslant import leg, slab, tenon
from tests.joints.modeller import same_place, solid
from tests.joints.tenon_variants.pairs import bench_of
from treenail.checks.measured import measures_of
from treenail.checks.rooms import measure_room
from treenail.checks.solids import solid_findings
from treenail.generators.bench import Bench
from treenail.generators.solids import BenchSolids, build_solids
from treenail.joints.angled_cuts import EndBevel, EndPlane
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.aslant_ends import finished_bounds
from treenail.joints.fits import get_fit
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.tenon_variants import make
from treenail.joints.volumes import net_volume
from treenail.timber.angles import LegAngles
from treenail.timber.errors import GeometryError
from treenail.timber.frames import dot
from treenail.timber.member import Face

leans = st.floats(0.0, 0.45)
CASES: dict[str, dict[str, object]] = {
    "wedged": {},
    "two wedges, other way": {"wedges": 2, "ways": (-1, 1)},
    "plain, near end": {"wedges": 0, "upside_down": True},
    "blind": {"through": False, "ways": (1, -1)},
    "blind, turned": {"through": False, "turn": 0.3, "splay": 0.3},
    "one way": {"splay": 0.0, "wedges": 0},
    "upright": {"splay": 0.0, "rake": 0.0},
    "bare": {"shoulders": (0.0, 12.0), "wedges": 0},
}


@cache
def made(case: str) -> tuple[Bench, BenchSolids]:
    bench = bench_of(tenon(**CASES[case]))  # type: ignore[arg-type]
    return bench, build_solids(bench)


@given(leans, leans, st.floats(20.0, 70.0), st.floats(-0.5, 0.5))
def test_a_through_mortise_takes_its_section_times_the_slant_thickness(
    splay: float, rake: float, thick: float, turn: float
) -> None:
    joint = tenon(splay, rake, thickness=thick, wedges=0, turn=turn, over=170.0)
    tilt = LegAngles(splay, rake).resultant
    assert joint.tilt == pytest.approx(tilt, abs=1e-9)
    cut = joint.mortise
    assert cut.depth == pytest.approx(thick / math.cos(tilt))
    gone = joint.receiver.stock_volume - net_volume(joint.receiver, [cut])
    assert gone == pytest.approx(cut.length * cut.width * thick / math.cos(tilt), rel=1e-9)
    # The tenon, between two planes that far apart along it, is its section times that.
    wood = net_volume(joint.entering, [joint.tenon])
    body = 60.0 * 50.0 * (500.0 - 170.0) + joint.width * joint.thickness * thick / math.cos(tilt)
    assert wood == pytest.approx(body, rel=1e-9)


@given(leans, leans, st.sampled_from([0, 1, 2]), st.booleans(), st.booleans())
def test_every_piece_is_the_modellers(
    splay: float, rake: float, wedges: int, through: bool, head: bool
) -> None:
    joint = tenon(splay, rake, wedges=wedges, through=through, upside_down=head)
    cuts = joint.cuts()
    for member in (*joint.members, *joint.wedges()):
        other = solid(member, cuts[member.name]).volume()
        assert net_volume(member, cuts[member.name]) == pytest.approx(other, rel=1e-8, abs=1e-4)


@pytest.mark.parametrize("case", CASES)
def test_the_kernel_builds_it_exactly_and_it_fits(case: str) -> None:
    bench, solids = made(case)
    assert solids.problems() == []
    for member in bench.members:
        volume = solids.local(member.name).Volume()
        assert volume == pytest.approx(bench.volumes[member.name], rel=1e-9)
    assert [f.message for f in solid_findings(solids)] == []


@pytest.mark.parametrize("case", CASES)
def test_rooms_are_there_on_the_solids(case: str) -> None:
    bench, solids = made(case)
    joint = bench.joints[0]
    gaps = joint.gaps()
    assert {g.what for g in gaps} >= {"cheek", "edge"}
    assert ("end" in {g.what for g in gaps}) == ("blind" in case)
    for gap in gaps:
        room = measure_room(measures_of(solids).site, gap)
        assert room == pytest.approx(gap.room, abs=1e-6), gap.what


def test_shoulders_seat_on_all_four_sides_and_form_one_face() -> None:
    bench, solids = made("wedged")
    assert [g.room for g in bench.joints[0].gaps() if g.what == "shoulder"] == [0.0] * 4
    down = [
        f
        for f in solids.placed["leg"].Faces()
        if f.geomType() == "PLANE" and abs(f.Center().z - 430.0) < 1e-6
    ]
    assert len(down) == 1
    assert down[0].normalAt().z == pytest.approx(1.0)


def test_the_end_is_flush_and_wedges_press_what_they_say() -> None:
    bench, solids = made("two wedges, other way")
    assert solids.placed["leg"].BoundingBox().zmax == pytest.approx(490.0, abs=1e-6)
    joint = bench.joints[0]
    for names, pressed in joint.pressed().items():
        first, second = (solids.placed[n] for n in sorted(names))
        shared = sum(s.Volume() for s in first.intersect(second).Solids())
        assert shared == pytest.approx(pressed, rel=1e-6)
        assert pressed > 0.0


def test_a_finished_leg_reaches_as_far_as_its_solid() -> None:
    bench, solids = made("wedged")
    box = solids.placed["leg"].BoundingBox(1e-9)
    low, high = finished_bounds(bench.by_name["leg"], bench.cuts["leg"])
    assert low == pytest.approx((box.xmin, box.ymin, box.zmin), abs=1e-4)
    assert high == pytest.approx((box.xmax, box.ymax, box.zmax), abs=1e-4)
    assert bench.bounds["leg"][1][2] == pytest.approx(490.0)


def test_mouth_and_exit_lie_in_both_faces() -> None:
    cut = tenon().mortise
    for corners, level in ((cut.mouth(), 60.0), (cut.exit(), 0.0)):
        assert [cut.frame.point(p)[2] for p in corners] == pytest.approx([level] * 4, abs=1e-9)
    along, across = cut.leans(slab())
    assert sorted((abs(along), abs(across))) == pytest.approx([0.2, 0.25], abs=1e-9)
    assert cut.sight(slab()) == pytest.approx(LegAngles(0.2, 0.25).sight, abs=1e-9)


@given(leans, leans)
def test_the_level_shoulder_line_by_the_legs_angles(splay: float, rake: float) -> None:
    plane = tenon(splay, rake, wedges=0).tenon.shoulder
    angles = LegAngles(splay, rake)
    assert plane.on_edges == pytest.approx(angles.end_face_angle, abs=1e-9)
    assert plane.on_sides == pytest.approx(angles.side_face_angle, abs=1e-9)


def test_goes_home_along_itself() -> None:
    joint = tenon()
    assert joint.insertion() == joint.entering.placement.x
    assert joint.lets_in is False
    start, end = joint.axis()
    assert math.dist(start, end) == pytest.approx(joint.length)
    assert start[2] == pytest.approx(430.0)


def test_its_corners_are_square() -> None:
    with pytest.raises(GeometryError, match="pared along a bevel gauge"):
        make.angled_tenon(slab(), leg(0.2, 0.2), end=Face.FAR_END, corners="round")


def test_kinds_say_what_they_are() -> None:
    assert tenon().kind == "wedged through angled mortise and tenon"
    assert tenon(wedges=0).kind == "through angled mortise and tenon"
    assert tenon(through=False).kind == "angled mortise and tenon"


def _with(**changes: object) -> AngledTenon:
    joint = tenon()
    assert joint.wedged is not None
    return replace(joint, wedged=replace(joint.wedged, **changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"count": 0}, "a kerf of some width"),
        ({"kerf_length": 62.0}, "kerfs end short of the shoulder"),
        ({"length": 50.0}, "wedges end within their kerfs"),
        ({"flare": -1.0}, "doesn't narrow"),
        ({"flare_start": 2.0}, "a flare begins inside"),
        ({"tip": 3.0}, "thin end enters the kerf"),
        ({"count": 40}, "leave no tenon between them"),
    ],
)
def test_odd_wedges_are_refused(changes: dict[str, object], why: str) -> None:
    with pytest.raises(GeometryError, match=why):
        _with(**changes)


def test_what_cannot_be_joined_is_refused() -> None:
    basis = {"name": "j", "end": Face.FAR_END, "fit": get_fit("easy"), "receiver": slab()}
    even = Shoulders(face_edge=5.0, back_edge=5.0, face_side=5.0, back_side=5.0)
    with pytest.raises(GeometryError, match="too short to come out at top's far face"):
        AngledTenon(**basis, entering=leg(0.2, 0.2, over=70.0), shoulders=even, through=True)  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="leans more than 45 degrees"):
        AngledTenon(**basis, entering=leg(0.7, 0.75), shoulders=even)  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="does not reach into top"):
        AngledTenon(**basis, entering=leg(0.2, 0.2, over=-30.0), shoulders=even)  # type: ignore[arg-type]
    wide = replace(even, face_edge=40.0, back_edge=40.0)
    with pytest.raises(GeometryError, match="leave no tenon"):
        AngledTenon(**basis, entering=leg(0.2, 0.2), shoulders=wide)  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="must not be negative"):
        AngledTenon(**basis, entering=leg(0.2, 0.2), shoulders=replace(even, face_side=-1.0))  # type: ignore[arg-type]


@given(st.floats(-0.6, 0.6), st.floats(-0.6, 0.6))
def test_an_end_bevel_takes_the_mean_depth_of_its_corners(a: float, b: float) -> None:
    size = math.sqrt(1.0 + a * a + b * b)
    normal = (a / size, b / size, 1.0 / size)
    piece = leg(0.0, 0.0)
    plane = EndPlane(normal, (abs(a) * 60.0 + abs(b) * 50.0 + 1.0) / size)
    cut = EndBevel(
        joint="j",
        purpose="foot bevel",
        face=Face.NEAR_END,
        frame=piece.face_frame(Face.NEAR_END),
        plane=plane,
    )
    mean = sum(plane.depth(x, y) for x in (0.0, 60.0) for y in (0.0, 50.0)) / 4.0
    left = net_volume(piece, [cut])
    assert left == pytest.approx(60.0 * 50.0 * (500.0 - mean), rel=1e-9)
    assert plane.tilt == pytest.approx(math.acos(1.0 / size), abs=1e-7)
    other = solid(piece, [cut])
    assert other.volume() == pytest.approx(left, rel=1e-8)
    assert same_place(other, other, within=1e-6)
    assert dot(plane.normal, plane.normal) == pytest.approx(1.0)
