"""The mortise and tenon: where its cuts fall, over all ends, faces and turns."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import sizes, tenoned_pairs
from treenail.joints.fits import FITS
from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Shoulders
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot, norm, sub
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

ASH = get_species("white ash")


def axis(member: Member, frame: Frame) -> tuple[Vec, Vec]:
    placed = member.placement.place(frame)
    return placed.origin, placed.z


def distance_along(a: Vec, b: Vec, d: Vec) -> float:
    return dot(sub(a, b), d)


@given(tenoned_pairs())
def test_the_draw_is_the_offset_and_points_home(joint: MortiseTenon) -> None:
    """The decisive property: the post's hole lies ``offset`` farther in than the tenon's."""
    assert joint.draw is not None
    home = joint.insertion()
    for post_hole, tenon_hole in joint.peg_holes():
        at_post, post_axis = axis(joint.receiver, post_hole.frame)
        at_rail, rail_axis = axis(joint.entering, tenon_hole.frame)
        assert dot(post_axis, rail_axis) == pytest.approx(1.0, abs=1e-12)
        gap = sub(at_post, at_rail)
        across = tuple(g - dot(gap, post_axis) * a for g, a in zip(gap, post_axis, strict=True))
        assert distance_along(at_post, at_rail, home) == pytest.approx(joint.draw.offset, abs=1e-8)
        assert norm(across) == pytest.approx(abs(joint.draw.offset), abs=1e-8)  # type: ignore[arg-type]


@given(tenoned_pairs())
def test_the_tenon_lies_in_its_mortise_by_the_fit(joint: MortiseTenon) -> None:
    mortise = joint.receiver.placement.place(joint.mortise.frame)
    x0, x1, y0, y1 = joint.section
    for x, y in ((x0, y0), (x1, y0), (x0, y1), (x1, y1)):
        corner = mortise.local_point(joint.mouth_point(x, y))
        assert corner[2] == pytest.approx(0.0, abs=1e-8)
        room = joint.mortise.length / 2 - abs(corner[0])
        assert room == pytest.approx(joint.fit.edge.mid / 2, abs=1e-8)
        room = joint.mortise.width / 2 - abs(corner[1])
        assert room == pytest.approx(joint.fit.cheek.mid / 2, abs=1e-8)
    tip = mortise.local_point(joint.end_frame.point((x0, y0, 0.0)))
    assert joint.mortise.depth - tip[2] == pytest.approx(joint.fit.bottom.mid, abs=1e-8)
    assert tip[2] == pytest.approx(joint.length, abs=1e-8)


@given(tenoned_pairs())
def test_pegs_start_flush_and_end_in_the_hole(joint: MortiseTenon) -> None:
    assert joint.draw is not None
    face = joint.receiver.placement.place(joint.receiver.face_frame(joint.drive_face))
    for peg, (hole, _) in zip(joint.pegs(), joint.peg_holes(), strict=True):
        head = face.local_point(peg.placement.point((0.0, 0.0, 0.0)))
        foot = face.local_point(peg.placement.point((peg.length, 0.0, 0.0)))
        assert head[2] == pytest.approx(0.0, abs=1e-8)
        assert -1e-9 <= hole.depth - foot[2] <= 2.0
        assert hole.depth <= joint.receiver.extent(joint.drive_face)
        mouth = joint.receiver.placement.place(hole.frame).origin
        assert norm(sub(mouth, peg.placement.origin)) == pytest.approx(0.0, abs=1e-8)


@given(tenoned_pairs(), sizes(3, 8))
def test_unequal_shoulders_move_the_mortise(joint: MortiseTenon, more: float) -> None:
    """A millimetre more on one side moves the pocket's middle by half of it."""
    from dataclasses import replace

    s = joint.shoulders
    moved = replace(joint, shoulders=replace(s, face_side=s.face_side + more))
    step = norm(sub(moved.mortise.frame.origin, joint.mortise.frame.origin))
    assert step == pytest.approx(more / 2, abs=1e-8)
    assert joint.mortise.width - moved.mortise.width == pytest.approx(more, abs=1e-8)


def rail_and_post(*, reach: float = 40.0, turn: float = 0.0) -> tuple[Member, Member]:
    post = Member(
        name="post", role="post", length=800, width=80, thickness=80, species=ASH,
        placement=Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    )  # fmt: skip
    c, s = math.cos(turn), math.sin(turn)
    rail = Member(
        name="rail", role="stretcher", length=500, width=100, thickness=40, species=ASH,
        placement=Frame.from_zx((80.0 - reach, 20.0, 400.0), (-s, c, 0.0), (c, s, 0.0)),
    )  # fmt: skip
    return post, rail


def joint_of(post: Member, rail: Member, **changes: object) -> MortiseTenon:
    values: dict[str, object] = {
        "name": "j",
        "receiver": post,
        "entering": rail,
        "end": Face.NEAR_END,
        "shoulders": Shoulders(face_edge=10, back_edge=10, face_side=10, back_side=10),
        "fit": FITS["hand press"],
    }
    values |= changes
    return MortiseTenon(**values)  # type: ignore[arg-type]


def test_the_face_and_the_length_follow_from_the_placements() -> None:
    joint = joint_of(*rail_and_post(reach=45.0))
    assert joint.receiver_face is Face.BACK_EDGE
    assert joint.length == 45.0
    assert joint.mortise.depth == pytest.approx(45.0 + (25.4 / 16 + 25.4 / 8) / 2)


def test_a_rail_that_stops_short_is_refused_with_the_distance() -> None:
    with pytest.raises(GeometryError, match=r"does not reach into post \(5 mm short\)"):
        joint_of(*rail_and_post(reach=-5.0))


def test_a_rail_aslant_is_refused() -> None:
    with pytest.raises(GeometryError, match="does not stand square"):
        _ = joint_of(*rail_and_post(turn=0.05)).mortise


@pytest.mark.parametrize(
    ("shoulders", "message"),
    [
        (Shoulders(face_edge=50, back_edge=50, face_side=1, back_side=1), "leave no tenon"),
        (Shoulders(face_edge=1, back_edge=1, face_side=20, back_side=20), "leave no tenon"),
        (Shoulders(face_edge=-1, back_edge=1, face_side=2, back_side=2), "not be negative"),
    ],
)
def test_shoulders_that_cannot_be(shoulders: Shoulders, message: str) -> None:
    with pytest.raises(GeometryError, match=message):
        joint_of(*rail_and_post(), shoulders=shoulders)


@given(st.integers(1, 4), st.sampled_from([1, 2]))
def test_pegs_are_spread_evenly_and_rows_alternate(count: int, rows: int) -> None:
    draw = DrawBore(
        count=count, diameter=9.525, offset=1.5875, setback=19.05, rows=rows, row_spacing=12.0,
        species=get_species("white oak"),
    )  # fmt: skip
    joint = joint_of(*rail_and_post(), draw=draw)
    xs = [x for x, _ in joint.peg_points]
    assert sum(xs) / count == pytest.approx(50.0)
    setbacks = [s for _, s in joint.peg_points]
    assert setbacks == [19.05 + (12.0 if rows == 2 and i % 2 else 0.0) for i in range(count)]
    for (post_hole, _), (x, _s) in zip(joint.peg_holes(), joint.peg_points, strict=True):
        assert post_hole.frame.origin[0] == pytest.approx(400.0 - x)


def test_kind_says_what_it_is() -> None:
    assert joint_of(*rail_and_post()).kind == "mortise and tenon"
    assert joint_of(*rail_and_post(reach=80.0), through=True).kind == "through mortise and tenon"
    assert joint_of(*rail_and_post(reach=86.0), through=True).proud == 6.0
