"""Joints let in: numbers by hand, and members or sizes that cannot be."""

from typing import Any

import pytest

from tests.joints.let_in import DOWN, JOINTS, X, Y, Z, crossing, joint_of, made, piece, shelf
from treenail.joints.cuts import TenonEnd
from treenail.joints.edges import Rebate, TongueGroove, spline_between
from treenail.joints.fits import FITS
from treenail.joints.housed import Housed
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.trenches import Trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame
from treenail.timber.member import Face, Member

HERE = Frame()
PRESS = FITS["hand press"]


def only(joint: Any, member: str) -> Any:
    (cut,) = joint.cuts()[member]
    return cut


def test_a_cross_lap_by_hand() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0), HERE)
    low, high = only(joint, "low"), only(joint, "high")
    assert joint.kind == low.purpose == "cross lap"
    assert (low.depth, high.depth) == (20.0, 20.0)
    assert low.length == 80.0
    assert low.width == pytest.approx(87.0 + PRESS.cheek.mid)
    assert high.length == 87.0
    assert high.width == pytest.approx(80.0 + PRESS.cheek.mid)
    assert low.face is Face.FACE_SIDE
    assert joint.insertion() == Z


def test_the_share_is_the_receivers() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0), HERE, share=0.25)
    assert (only(joint, "low").depth, only(joint, "high").depth) == (10.0, 30.0)


def test_a_tee_laps_shoulder_seats() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0, end=80.0), HERE)
    assert joint.kind == "half lap"
    assert only(joint, "high").width == 80.0
    assert only(joint, "low").length == 80.0


def test_the_face_may_be_chosen_where_both_are_flush() -> None:
    joint = made(HalfLap, crossing(80.0, 40.0, 0.0), HERE, face=Face.BACK_SIDE)
    assert only(joint, "low").face is Face.BACK_SIDE
    assert joint.insertion() == DOWN


def test_a_notch_leaves_the_other_whole() -> None:
    joint = made(Notch, crossing(80.0, 40.0, 28.0), HERE)
    assert set(joint.cuts()) == {"low"}
    assert only(joint, "low").depth == 12.0
    assert only(joint, "low").face is Face.BACK_SIDE


def test_a_stopped_housing_and_the_shelfs_notch() -> None:
    joint = made(Housing, shelf(120.0, 20.0, 8.0), HERE, stop=15.0, stop_at=Face.FACE_EDGE)
    trench, tongue = only(joint, "side"), only(joint, "shelf")
    assert joint.kind == "stopped housing"
    assert isinstance(tongue, TenonEnd)
    assert trench.length == 105.0
    assert trench.width == pytest.approx(18.0 + PRESS.cheek.mid)
    assert trench.depth == tongue.length == 8.0
    assert tongue.x1 - tongue.x0 == pytest.approx(105.0 - PRESS.edge.mid / 2)


def test_a_sliding_dovetail_by_hand() -> None:
    joint = made(SlidingDovetail, shelf(120.0, 30.0, 7.0), HERE, root=11.0, stop=0.0)
    socket = only(joint, "side")
    room = FITS["easy"].cheek.mid
    assert socket.width == pytest.approx(11.0 + room)
    assert socket.lean == pytest.approx((7.5 / 7, 7.5 / 7))
    waste = [c for c in joint.cuts()["shelf"] if isinstance(c, Trench)]
    assert [w.width for w in waste] == pytest.approx([2.5, 2.5])
    assert [max(w.lean) for w in waste] == pytest.approx([1.0, 1.0])
    assert joint.insertion() in (Y, (0.0, -1.0, 0.0))


def test_a_stopped_dovetail_slides_toward_its_stop() -> None:
    for face, way in ((Face.FACE_EDGE, (0.0, -1.0, 0.0)), (Face.BACK_EDGE, Y)):
        joint = made(SlidingDovetail, shelf(120.0, 30.0, 7.0), HERE, stop=20.0, stop_at=face)
        assert joint.insertion() == way
        assert joint.kind == "stopped sliding dovetail"


def test_a_tongue_is_a_third_as_thick_as_a_tool() -> None:
    joint = joint_of("tongue and groove", 100.0, 20.0, 8.0, HERE)
    assert isinstance(joint, TongueGroove)
    assert joint.tongue_thickness == pytest.approx(6.35)
    assert {c.purpose for c in joint.cuts()["second"]} == {"groove shoulder"}


def test_open_boards_keep_their_distance() -> None:
    joint = joint_of("open boards", 100.0, 20.0, 8.0, HERE)
    assert isinstance(joint, Housed)
    assert {g.room for g in joint.gaps() if g.what == "shoulder"} == {2.0}
    assert joint.height == 10.0


def test_a_spline_lies_in_the_middle_and_reaches_alike() -> None:
    a, b = piece("a", (600.0, 100.0, 24.0)), piece("b", (600.0, 90.0, 24.0), (0.0, 100.0, 0.0))
    strip = spline_between("strip", a, b, thickness=6.0, reach=9.0, inset=20.0)
    assert strip.size == (560.0, 18.0, 6.0)
    assert strip.bounds() == ((20.0, 91.0, 9.0), (580.0, 109.0, 15.0))
    assert spline_between("strip", b, a, thickness=6.0, reach=9.0, inset=20.0).bounds() == (
        strip.bounds()
    )


@pytest.mark.parametrize("kind", JOINTS)
def test_every_cut_says_whose_it_is(kind: str) -> None:
    joint = joint_of(kind, 100.0, 40.0, 9.0)
    for name, cuts in joint.cuts().items():
        assert name in {m.name for m in joint.members}
        for cut in cuts:
            assert cut.joint == "joint"
            assert isinstance(cut, Trench | TenonEnd)
            assert cut.purpose


# -- refusals ------------------------------------------------------------------------------------


def refused(cls: Any, pair: tuple[Member, Member], message: str, **more: Any) -> None:
    with pytest.raises(GeometryError, match=message):
        made(cls, pair, HERE, **more)


def test_members_apart_are_refused_with_the_distance() -> None:
    low, high = crossing(80.0, 40.0, 52.5)
    refused(HalfLap, (low, high), "low and high don't meet: they lie 12.5 mm apart")
    refused(Housing, shelf(100.0, 20.0, -3.0), "lie 3 mm apart")
    refused(Notch, crossing(80.0, 40.0, 40.0), "only touches low")


def test_members_aslant_are_refused() -> None:
    low, _ = crossing(80.0, 40.0, 0.0)
    slant = piece("high", (350.0, 80.0, 40.0), (250.0, -100.0, 0.0), (0.6, 0.8, 0), (-0.8, 0.6, 0))
    refused(HalfLap, (low, slant), "does not stand square to low")


@pytest.mark.parametrize(
    ("cls", "pair", "message", "more"),
    [
        (HalfLap, crossing(80, 40, 0), "share of the depth", {"share": 0.0}),
        (HalfLap, crossing(80, 40, 0), "goes through low", {"share": 1.0}),
        (HalfLap, crossing(80, 40, 0), "does not come in at low's far end", {"face": Face.FAR_END}),
        (Notch, crossing(80, 40, 0), "goes through low", {}),
        (Housing, shelf(100, 20, 25), "goes through side", {}),
        (Housing, shelf(100, 20, 8), "leave nothing", {"shoulder": 9.0, "back_shoulder": 9.0}),
        (Housing, shelf(100, 20, 8), "does not run", {"stop": 9.0}),
        (Housing, shelf(100, 20, 8), "does not run", {"stop": 9.0, "stop_at": Face.FAR_END}),
        (Housing, shelf(100, 20, 8), "no length", {"stop": 100.0, "stop_at": Face.FACE_EDGE}),
        (SlidingDovetail, shelf(100, 20, 8), "rise lies between", {"rise": 0.0}),
        (SlidingDovetail, shelf(100, 20, 8), "wider shoulders", {"root": 16.5}),
        (SlidingDovetail, shelf(100, 20, 8), "into the floor", {"room": -1.0}),
        (Rebate, shelf(100, 20, 8), "between two walls it is a housing", {}),
    ],
)
def test_what_cannot_be_is_refused(cls: Any, pair: Any, message: str, more: Any) -> None:
    refused(cls, pair, message, **more)


def test_a_dovetail_needs_a_way_in() -> None:
    side, board = shelf(100.0, 30.0, 8.0, narrower=30.0)
    inner = piece("shelf", board.size, (200.0, 15.0, 8.0 - 300.0), Z, Y)
    refused(SlidingDovetail, (side, inner), "closed at both ends")


def test_splines_need_edges_that_touch() -> None:
    a = piece("a", (600.0, 100.0, 24.0))
    for off, message in ((101.0, "lie 1 mm apart"), (99.0, "stand in each other")):
        b = piece("b", (600.0, 100.0, 24.0), (0.0, off, 0.0), X, Y)
        with pytest.raises(GeometryError, match=message):
            spline_between("strip", a, b)
