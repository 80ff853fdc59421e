"""Where the tenon's kin lie in each other: play, draw, wedges, pegs; what is refused."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints.tenon_variants.pairs import KINDS, post_in_slab, rail_in_post
from tests.strategies import sizes, square_frames
from treenail.joints.convex import separation, tenon_bodies
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.standing import Standing
from treenail.joints.tenon_variants import make
from treenail.joints.tenon_variants.pegs import pegged
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Frame, dot, sub
from treenail.timber.member import Face


@pytest.mark.parametrize("kind", KINDS)
def test_it_goes_home_along_the_entering_member(kind: str) -> None:
    joint = KINDS[kind]()
    along = abs(dot(joint.insertion(), joint.entering.placement.x))
    assert along == pytest.approx(1.0)
    assert joint.members == (joint.receiver, joint.entering)
    assert joint.kind


@given(square_frames(), st.sampled_from([Face.NEAR_END, Face.FAR_END]), sizes(3, 20))
def test_each_tongue_lies_in_its_own_mortise(place: Frame, end: Face, gap: float) -> None:
    pair = rail_in_post(width=180.0, thickness=70.0, end=end, place=place)
    for joint in (make.twin_tenons(*pair, gap=gap), make.double_tenons(*pair, gap=gap)):
        assert len(joint.tongues) == len(joint.mortises) == 2
        for (x0, x1, y0, y1), pocket in zip(joint.tongues, joint.mortises, strict=True):
            frame = joint.receiver.placement.place(pocket.frame)
            for x, y in ((x0, y0), (x1, y1)):
                a, b, c = frame.local_point(joint.mouth_point(x, y))
                assert pocket.length / 2 - abs(a) == pytest.approx(joint.fit.edge.mid / 2, abs=1e-8)
                assert pocket.width / 2 - abs(b) == pytest.approx(joint.fit.cheek.mid / 2, abs=1e-8)
                assert c == pytest.approx(0.0, abs=1e-8)
        first, second = tenon_bodies(joint)
        assert separation(first, second).distance == pytest.approx(gap, abs=1e-6)


@given(sizes(0, 5), st.integers(1, 3), sizes(75, 95))
def test_wedges_open_the_tenon_by_what_the_mortise_flares(
    flare: float, wedges: int, reach: float
) -> None:
    """At the far face, tenon and kerfs opened by the wedges are as wide as the mortise."""
    joint = make.wedged_tenon(*rail_in_post(reach), flare=flare, wedges=wedges)
    inside = joint.proud / joint.wedge_length
    at_face = joint.wedge_thickness + (joint.wedge_tip - joint.wedge_thickness) * inside
    opened = joint.width + wedges * (at_face - joint.kerf_width)
    assert opened == pytest.approx(joint.width + joint.fit.edge.mid + 2 * flare, abs=1e-6)
    assert len(joint.wedges()) == len(joint.pressed()) == wedges


@given(square_frames(), st.sampled_from(list(Face)[:4]), sizes(150, 280))
def test_a_tusks_wedge_bears_on_the_receiver_and_on_its_slope(
    place: Frame, side: Face, reach: float
) -> None:
    joint = make.tusk_tenon(*rail_in_post(reach, place=place), wedge_face=side)
    (wedge,) = joint.wedges()
    home, far = joint.insertion(), joint.mouth_point(0.0, 0.0)
    deep = joint.receiver.extent(joint.receiver_face)
    hole = joint.entering.placement.place(joint.wedge_hole.frame)
    for x in (0.0, wedge.length):
        straight = wedge.placement.point((x, 0.0, 0.0))
        assert dot(sub(straight, far), home) == pytest.approx(deep, abs=1e-6)
        sloped = wedge.placement.point((x, wedge.width - joint.slope * x, wedge.thickness / 2))
        at, across, depth = hole.local_point(sloped)
        wall = joint.wedge_hole.length / 2 - joint.slope * depth
        assert (at, across) == pytest.approx((wall, 0.0), abs=1e-6)
    assert dot(joint.wedge_drive(), wedge.placement.x) == pytest.approx(1.0)


def test_a_bare_faced_tenon_has_one_cheek_in_the_rails_own_face() -> None:
    for bare in (Face.FACE_SIDE, Face.BACK_SIDE):
        joint = make.bare_faced_tenon(*rail_in_post(thickness=25.0), bare=bare)
        s = joint.shoulders
        gone, kept = (
            (s.face_side, s.back_side) if bare is Face.FACE_SIDE else (s.back_side, s.face_side)
        )
        assert gone == 0.0
        assert kept > 0.0
        _, _, y0, y1 = joint.section
        assert (y0 == 0.0) != (y1 == 25.0)


@given(
    st.integers(1, 4),
    st.booleans(),
    st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]),
    st.booleans(),
)
def test_peg_patterns(count: int, staggered: bool, side: Face, blind: bool) -> None:
    joint = pegged(
        make.double_tenons(*rail_in_post(width=180.0)),
        count,
        staggered=staggered,
        side=side,
        blind=blind,
    )
    assert joint.draw is not None
    assert len(joint.pegs()) == len(joint.peg_points) == count
    for x, _ in joint.peg_points:
        assert any(x0 < x < x1 for x0, x1, _, _ in joint.tongues)
    assert len({setback for _, setback in joint.peg_points}) == (
        2 if staggered and count > 1 else 1
    )
    for hole, _ in joint.peg_holes():
        assert hole.through is not blind
        face = joint.receiver.placement.direction(hole.face.inward)
        assert dot(face, joint.entering.placement.direction(side.inward)) == pytest.approx(1.0)


@pytest.mark.parametrize(("count", "side"), [(0, Face.FACE_SIDE), (5, Face.FACE_SIDE)])
def test_patterns_that_there_are_not(count: int, side: Face) -> None:
    with pytest.raises(SpecError, match="1 to 4"):
        pegged(make.bare_faced_tenon(*rail_in_post(thickness=25.0)), count, side=side)


def test_pegs_from_an_edge_are_refused() -> None:
    with pytest.raises(SpecError, match="face side, back side"):
        pegged(make.bare_faced_tenon(*rail_in_post(thickness=25.0)), 1, side=Face.FACE_EDGE)


@pytest.mark.parametrize(
    ("kind", "changes", "message"),
    [
        ("twin", {"count": 1}, "two tenons or more"),
        ("twin", {"gap": 60.0}, "leave no tenons"),
        ("wedged", {"through": False}, "only a through tenon"),
        ("wedged", {"kerf_length": 82.0}, "between shoulder and end"),
        ("wedged", {"wedge_length": 70.0}, "within their kerfs"),
        ("wedged", {"flare": -1.0}, "doesn't narrow"),
        ("wedged", {"flare_start": 80.0}, "between mouth and far face"),
        ("wedged", {"wedge_tip": 3.0}, "enters the kerf"),
        ("wedged", {"flare": 60.0}, "leave no tenon between"),
        ("tusk", {"wedge_face": Face.NEAR_END}, "across the tenon"),
        ("tusk", {"slope": 0.9}, "runs out before its end"),
        ("tusk", {"wedge_width": 118.0}, "breaks out at the tenon's end"),
        ("tusk", {"wedge_thickness": 30.0}, "no tenon beside"),
        ("tusk", {"relief": 80.0}, "relief starts inside"),
        ("slab", {"outer": Face.BACK_SIDE}, "no shoulder at the back side"),
        ("slab", {"gap": 90.0}, "have a size"),
        ("slab", {"slope": 3.0}, "narrow side"),
        ("round", {"diameter": 61.0}, "can be turned"),
        ("round", {"taper": 1.0}, "runs out"),
        ("round", {"taper": -0.1}, "shrinks toward its end"),
        ("round", {"end": Face.FACE_EDGE}, "stands on an end"),
    ],
)
def test_what_cannot_be(kind: str, changes: dict[str, Any], message: str) -> None:
    joint = KINDS[kind]()
    with pytest.raises(GeometryError, match=message):
        replace(joint, **changes)


def test_a_post_that_is_not_flush_with_the_slabs_edge() -> None:
    with pytest.raises(GeometryError, match=r"not flush with top's face edge \(5 mm off\)"):
        make.slab_tenons(*post_in_slab(inset=5.0))


def test_a_rail_that_stops_short() -> None:
    with pytest.raises(GeometryError, match="does not reach into post"):
        make.round_tenon(*rail_in_post(-5.0, width=60.0, thickness=60.0))


def test_the_end_is_found() -> None:
    for end in (Face.NEAR_END, Face.FAR_END):
        for joint in (
            make.wedged_tenon(*rail_in_post(82.0, end=end)),
            make.round_tenon(*rail_in_post(width=60.0, thickness=60.0, end=end)),
        ):
            assert joint.end is end
            assert isinstance(joint, Standing)


def test_each_names_itself() -> None:
    kinds = {name: KINDS[name]().kind for name in KINDS}
    assert kinds["twin"] == "twin tenons, drawbored"
    assert kinds["three"] == "3 tenons side by side"
    assert kinds["wedged"] == "wedged through mortise and tenon"
    assert kinds["round, through"] == "through round tapered tenon"
    assert isinstance(KINDS["wedged"](), WedgedTenon)
    assert isinstance(KINDS["tusk"](), MortiseTenon)
