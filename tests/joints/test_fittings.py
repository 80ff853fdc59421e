"""Sliding mortises, provisions, vise screws and feet: places, volumes, and what is refused."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.joints import modeller
from tests.joints.let_in import TILTED, X, Y, Z, moved, piece
from tests.strategies import sizes, square_frames
from treenail.joints.base import Joint
from treenail.joints.levelling import LevellingFoot
from treenail.joints.provisions import Holes, MountedBlock, Recess
from treenail.joints.sliding import Sliding
from treenail.joints.trenches import Trench
from treenail.joints.vise_screw import ViseRod, ViseScrew
from treenail.joints.volumes import net_volume
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot
from treenail.timber.measured_parts import MeasuredPart, headed_rod, levelling_foot
from treenail.timber.member import Face

HERE = Frame()
WAYS: tuple[Vec, ...] = (Z, (0.0, 0.0, -1.0))


def volumes_agree(joint: Joint) -> None:
    """Closed form against the second modeller, for every member."""
    for member in joint.members:
        cuts = joint.cuts().get(member.name, ())
        low, high = modeller.bounds(member, cuts)
        assert low - 1e-3 <= net_volume(member, cuts) <= high + 1e-3


# --- a block that slides


def sliding(at: Frame = HERE, play: float = 0.3, wide: float = 60.0, **more: Any) -> Sliding:
    """A block through the middle of a slab 70 mm thick, lying on its low x and high y walls."""
    slab = moved(piece("slab", (600.0, 300.0, 70.0)), at)
    block = moved(piece("block", (220.0, wide, wide - 10.0), (200.0, 100.0, -80.0), Z, X), at)
    rests = (at.direction((-1.0, 0.0, 0.0)), at.direction(Y))
    values: dict[str, Any] = {"home": at.direction((0.0, 0.0, -1.0)), "rests": rests, **more}
    return Sliding(name="slide", receiver=slab, entering=block, play=play, **values)


@settings(max_examples=20)
@given(
    at=square_frames() | st.just(TILTED),
    play=sizes(0, 3),
    wide=sizes(20, 90),
    way=st.sampled_from(WAYS),
)
def test_a_block_slides_between_two_walls_and_its_play(
    at: Frame, play: float, wide: float, way: Vec
) -> None:
    joint = sliding(at, play, wide, home=at.direction(way))
    volumes_agree(joint)
    (cut,) = joint.cuts()["slab"]
    gone = joint.receiver.stock_volume - net_volume(joint.receiver, (cut,))
    assert gone == pytest.approx((wide + play) * (wide - 10.0 + play) * 70.0)
    rooms = {tuple(round(x) for x in at.local_direction(g.toward)): g.room for g in joint.gaps()}
    assert rooms == {(-1, 0, 0): 0.0, (1, 0, 0): play, (0, 1, 0): 0.0, (0, -1, 0): play}
    # The second modeller finds the block clear of the slab.
    slab = modeller.solid(joint.receiver, (cut,))
    block = modeller.box_solid(*joint.meeting.stock)
    assert (slab ^ block).volume() == pytest.approx(0.0, abs=1e-2)
    assert dot(joint.insertion(), at.direction(way)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"play": -0.1}, "must not be negative"),
        ({"rests": (X, (-1.0, 0.0, 0.0))}, "one wall of each pair"),
        ({"home": X}, "slides along its grain"),
        ({"entering": piece("block", (220.0, 60.0, 50.0), (200.0, 100.0, 5.0), Z, X)}, "through"),
        ({"entering": piece("block", (220.0, 60.0, 50.0), (0.0, 100.0, -80.0), Z, X)}, "breaks"),
    ],
)
def test_a_slide_that_cannot_be_is_refused(change: dict[str, Any], says: str) -> None:
    with pytest.raises(GeometryError, match=says):
        replace(sliding(), **change).cuts()


# --- holes and recesses


@settings(max_examples=20)
@given(
    face=st.sampled_from(list(Face)),
    diameter=sizes(3, 18),
    depth=st.none() | sizes(5, 35),
    at=st.tuples(sizes(0.25, 0.75), sizes(0.25, 0.75)),
)
def test_holes_are_where_and_as_deep_as_they_are_said_to_be(
    face: Face, diameter: float, depth: float | None, at: tuple[float, float]
) -> None:
    member = piece("piece", (200.0, 70.0, 45.0))
    wide, high = member.face_size(face)
    point = (wide * at[0], high * at[1])
    if min(*point, wide - point[0], high - point[1]) <= diameter / 2 + 1e-3:
        return
    joint = Holes(
        name="holes",
        member=member,
        face=face,
        what="pin hole",
        diameter=diameter,
        points=(point,),
        depth=depth,
    )
    volumes_agree(joint)
    (cut,) = joint.cuts()["piece"]
    deep = member.extent(face) if depth is None else depth
    gone = member.stock_volume - net_volume(member, (cut,))
    assert gone == pytest.approx(math.pi / 4 * diameter**2 * deep)
    assert member.face_frame(face).local_point(cut.frame.origin) == pytest.approx((*point, 0.0))


@settings(max_examples=20)
@given(
    face=st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE, Face.FACE_EDGE, Face.BACK_EDGE]),
    size=st.tuples(sizes(20, 90), sizes(10, 40), sizes(2, 30)),
    open_side=st.booleans(),
)
def test_a_recess_takes_its_box_out_and_runs_out_at_an_edge(
    face: Face, size: tuple[float, float, float], open_side: bool
) -> None:
    member = piece("piece", (200.0, 70.0, 45.0))
    length, width, depth = size
    y = width / 2 if open_side else member.face_size(face)[1] / 2
    joint = Recess(
        name="recess",
        member=member,
        face=face,
        what="recess",
        centre=(100.0, y),
        length=length,
        width=width,
        depth=depth,
    )
    volumes_agree(joint)
    (cut,) = joint.cuts()["piece"]
    assert isinstance(cut, Trench) is open_side
    gone = member.stock_volume - net_volume(member, (cut,))
    assert gone == pytest.approx(length * width * depth)


def test_holes_and_recesses_that_leave_the_piece_are_refused() -> None:
    member = piece("piece", (200.0, 70.0, 45.0))
    common: dict[str, Any] = {"name": "it", "member": member, "face": Face.FACE_SIDE, "what": "x"}
    with pytest.raises(GeometryError, match="breaks out"):
        Holes(**common, diameter=20.0, points=((5.0, 30.0),))
    with pytest.raises(GeometryError, match="goes through"):
        Holes(**common, diameter=5.0, points=((50.0, 30.0),), depth=45.0)
    with pytest.raises(GeometryError, match="goes through"):
        Recess(**common, centre=(100.0, 35.0), length=50.0, width=30.0, depth=45.0)
    with pytest.raises(GeometryError, match="lies beside"):
        Recess(**common, centre=(100.0, 80.0), length=50.0, width=20.0, depth=5.0)
    over = Recess(**common, centre=(100.0, 65.0), length=50.0, width=20.0, depth=5.0)
    gone = member.stock_volume - net_volume(member, over.cuts()["piece"])
    assert gone == pytest.approx(50.0 * 15.0 * 5.0)


def block_under(points: tuple[Vec, ...], **more: Any) -> MountedBlock:
    """A block under the line at which two sections of a top 70 mm thick meet."""
    tops = tuple(piece(f"top_{i}", (900.0, 300.0, 70.0), (0.0, 300.0 * i, 0.0)) for i in (0, 1))
    block = piece("block", (200.0, 120.0, 25.0), (100.0, 240.0, -25.0))
    return MountedBlock(
        name="block_on_top",
        block=block,
        tops=tops,
        points=points,
        **{"diameter": 10.0, "depth": 50.0, **more},
    )


def test_a_block_s_screws_go_into_the_sections_over_them() -> None:
    joint = block_under(((130.0, 260.0, 0.0), (270.0, 260.0, 0.0), (200.0, 340.0, 0.0)))
    volumes_agree(joint)
    assert [len(joint.cuts()[name]) for name in ("block", "top_0", "top_1")] == [3, 2, 1]
    gone = [m.stock_volume - net_volume(m, joint.cuts()[m.name]) for m in joint.members]
    area = math.pi / 4 * 100.0
    assert gone == pytest.approx([3 * area * 25.0, 2 * area * 50.0, area * 50.0])
    (hole,) = joint.cuts()["top_1"]
    assert joint.tops[1].placement.point(hole.frame.origin) == pytest.approx((200.0, 340.0, 0.0))
    with pytest.raises(GeometryError, match="goes through"):
        block_under(((130.0, 260.0, 0.0),), depth=70.0)
    with pytest.raises(GeometryError, match="breaks out"):
        block_under(((103.0, 260.0, 0.0),))


# --- screws and feet


def screw(at: Frame = HERE, length: float = 300.0, **more: Any) -> ViseScrew:
    """A post 80 mm deep, a jaw of 40 mm before it, a screw of 30 mm with a nut of 35 mm behind."""
    post = moved(piece("post", (700.0, 80.0, 80.0), (0.0, 0.0, 0.0), Z, X), at)
    jaw = moved(piece("jaw", (600.0, 140.0, 40.0), (-30.0, -40.0, 50.0), Z, X), at)
    size = headed_rod(diameter=30.0, length=length, collar=60.0, thickness=12.0)
    rod = ViseRod(
        kind="vise screw",
        size=size,
        length=length,
        hole=32.0,
        point=at.point((40.0, -40.0, 500.0)),
    )
    values: dict[str, Any] = {"rods": (rod,), "travel": 120.0, "nut_end": 155.0, **more}
    return ViseScrew(
        name="vise", bearer=post, jaw=jaw, direction=at.direction(Y), nut=35.0, **values
    )


@settings(max_examples=15)
@given(at=square_frames() | st.just(TILTED), length=sizes(160, 600))
def test_a_screw_runs_down_the_middle_of_its_holes(at: Frame, length: float) -> None:
    joint = screw(at, length)
    volumes_agree(joint)
    (item,) = joint.hardware()
    for member in joint.members:
        (cut,) = joint.cuts()[member.name]
        hole = member.placement.place(cut.frame)
        x, y, _ = item.placement.local_point(hole.origin)
        assert math.hypot(x, y) == pytest.approx(0.0, abs=1e-6)
        assert dot(hole.z, item.placement.z) == pytest.approx(1.0, abs=1e-8)
        gone = member.stock_volume - net_volume(member, (cut,))
        assert gone == pytest.approx(math.pi / 4 * 32.0**2 * member.extent(cut.face))
    assert joint.most_travel == pytest.approx(length - 155.0)


def test_a_screw_that_does_not_reach_its_nut_is_refused() -> None:
    with pytest.raises(GeometryError, match="short of its nut"):
        screw(length=150.0)
    with pytest.raises(GeometryError, match="has a screw"):
        screw(rods=())


def foot(**changes: Any) -> LevellingFoot:
    values: dict[str, Any] = {
        "insert_hole": 14.0,
        "insert_length": 25.0,
        "stud": 10.0,
        "stud_length": 50.0,
        "pad": 50.0,
        "pad_thickness": 10.0,
        "standing": 20.0,
        "end": Face.NEAR_END,
        "member": piece("post", (700.0, 80.0, 70.0), (0.0, 0.0, 20.0), Z, X),
        **changes,
    }
    return LevellingFoot(name="foot", **values)


@pytest.mark.parametrize("end", [Face.NEAR_END, Face.FAR_END])
def test_a_foot_stands_on_the_floor_in_its_insert(end: Face) -> None:
    joint = foot(end=end)
    volumes_agree(joint)
    post = joint.member
    gone = post.stock_volume - net_volume(post, joint.cuts()["post"])
    beyond = (10.0 + 25.4 / 16) ** 2 * (joint.depth - 25.0)
    assert gone == pytest.approx(math.pi / 4 * (14.0**2 * 25.0 + beyond))
    (item,) = joint.hardware()
    # Its floor lies 20 mm beyond the post's end, and its thread ends 40 mm inside.
    frame = post.placement.place(post.face_frame(end))
    assert frame.local_point(item.placement.origin) == pytest.approx((40.0, 35.0, -20.0))
    assert isinstance(item.size, MeasuredPart)
    assert item.size.rings[-1][1] == pytest.approx(60.0)
    assert joint.turned_out == 10.0
    assert joint.travel == 25.0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"insert_hole": 75.0}, "breaks out"),
        ({"stud_length": 800.0}, "goes through"),
        ({"stud": 15.0}, "thicker than its insert"),
        ({"standing": 40.0}, "turned out 30 mm of 25 mm"),
        ({"standing": 9.0}, "turned out -1 mm"),
    ],
)
def test_a_foot_that_cannot_be_is_refused(change: dict[str, Any], says: str) -> None:
    with pytest.raises(GeometryError, match=says):
        foot(**change)


def test_measured_parts_by_hand() -> None:
    rod = headed_rod(diameter=30.0, length=300.0, collar=60.0, thickness=12.0)
    assert rod.volume == pytest.approx(math.pi / 4 * (900.0 * 300.0 + 3600.0 * 12.0))
    moments = 900.0 * 300.0 * 150.0 - 3600.0 * 12.0 * 6.0
    assert rod.middle == pytest.approx(moments / (900.0 * 300.0 + 3600.0 * 12.0))
    short = levelling_foot(
        pad=50.0, pad_thickness=10.0, stud=10.0, reach=30.0, insert=(20.0, 45.0, 14.0)
    )
    assert [r[2] for r in short.rings] == [50.0, 10.0, 14.0]
    with pytest.raises(GeometryError, match="don't follow"):
        replace(rod, rings=((0.0, 10.0, 5.0), (12.0, 20.0, 5.0)))


def test_the_kernel_turns_measured_parts_to_their_volume() -> None:
    from treenail.generators.hardware_solids import hardware_solid

    for item in (*screw().hardware(), *foot().hardware()):
        assert isinstance(item.size, MeasuredPart)
        assert hardware_solid(item).Volume() == pytest.approx(item.size.volume, rel=1e-9)
