"""The knock-down bolt: where its holes fall, that bolt and nut fit them, and what is refused."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.joints import modeller
from tests.joints.let_in import TILTED, X, Z, moved, piece
from tests.strategies import sizes, square_frames
from treenail.joints.barrel_bolt import POINT_ROOM, BarrelBolt
from treenail.joints.cuts import Bore
from treenail.joints.volumes import net_volume
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Frame, dot, norm, sub
from treenail.timber.member import Face, Member
from treenail.timber.metric_bolts import BOLT_LENGTHS, METRIC_BOLTS, bolt_length_for, metric_bolt


def rail_and_post(stub: float = 0.0, *, far: bool = False) -> tuple[Member, Member]:
    """A post, and a rail whose near (or far) end stands ``stub`` mm in it."""
    post = piece("post", (800.0, 76.0, 70.0), (0.0, 0.0, 0.0), Z, X)
    start = stub - 600.0 if far else 76.0 - stub
    return piece("rail", (600.0, 110.0, 44.0), (start, 57.0, 400.0), X, Z), post


def bolt(*, stub: float = 0.0, far: bool = False, **more: Any) -> BarrelBolt:
    rail, post = rail_and_post(stub, far=far)
    return BarrelBolt(name="j", rail=rail, post=post, **more)


def bores(joint: BarrelBolt, member: str) -> dict[str, Bore]:
    return {c.purpose: c for c in joint.cuts()[member] if isinstance(c, Bore)}


def test_a_bolt_by_hand() -> None:
    joint = bolt()
    assert joint.end is Face.NEAR_END
    assert joint.sunk == pytest.approx(5.3 + 2.0 + 1.5)
    assert joint.grip == pytest.approx(76.0 - 8.8)
    # 2 + 67.2 + 45 + 7 mm would do; 130 is stocked.
    assert joint.bolt_length == 130.0
    assert joint.reach == pytest.approx(130.0 - 2.0 - 67.2)
    rail, post = bores(joint, "rail"), bores(joint, "post")
    assert rail["bolt hole"].depth == pytest.approx(joint.reach + POINT_ROOM)
    assert rail["barrel nut hole"].depth == pytest.approx(22.0 + 11.0)
    assert rail["barrel nut hole"].face is Face.BACK_SIDE
    assert rail["barrel nut hole"].frame.origin == pytest.approx((45.0, 55.0, 44.0))
    assert post["bolt hole"].through
    assert post["counterbore"].depth == pytest.approx(8.8)
    assert joint.insertion() is None


@settings(max_examples=25)
@given(
    at=square_frames() | st.just(TILTED),
    far=st.booleans(),
    stub=sizes(0, 20),
    name=st.sampled_from(["M6", "M8", "M10"]),
    place=st.none() | st.tuples(sizes(30, 80), sizes(18, 26)),
    face=st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]),
)
def test_holes_meet_their_bolt_and_nut(
    at: Frame, far: bool, stub: float, name: str, place: Any, face: Face
) -> None:
    rail, post = (moved(m, at) for m in rail_and_post(stub, far=far))
    joint = BarrelBolt(
        name="j", rail=rail, post=post, size=metric_bolt(name), at=place, nut_face=face
    )
    screw, nut = joint.hardware()
    for member, purpose in (("rail", "bolt hole"), ("post", "bolt hole"), ("post", "counterbore")):
        own = next(m for m in joint.members if m.name == member)
        hole = own.placement.place(bores(joint, member)[purpose].frame)
        off = screw.placement.local_point(hole.origin)
        assert math.hypot(off[0], off[1]) == pytest.approx(0.0, abs=1e-6)
        assert dot(hole.z, screw.placement.z) == pytest.approx(1.0, abs=1e-8)
    # The washer bears on the counterbore's floor, the point ends in the rail's hole.
    entry = joint.post.placement.place(bores(joint, "post")["counterbore"].frame)
    seat = entry.local_point(screw.placement.origin)
    assert seat[2] == pytest.approx(joint.sunk, abs=1e-6)
    mouth = joint.rail.placement.place(bores(joint, "rail")["bolt hole"].frame)
    point = mouth.local_point(
        screw.placement.point((0, 0, screw.length - screw.size.washer_thickness))
    )
    assert bores(joint, "rail")["bolt hole"].depth - point[2] == pytest.approx(POINT_ROOM, abs=1e-6)
    # The nut stands on its hole's floor and is crossed by the bolt in its middle.
    hole = joint.rail.placement.place(bores(joint, "rail")["barrel nut hole"].frame)
    low = hole.local_point(nut.placement.point((0.0, 0.0, nut.length / 2)))
    assert low == pytest.approx((0.0, 0.0, joint.nut_depth), abs=1e-6)
    off = screw.placement.local_point(nut.placement.origin)
    assert math.hypot(off[0], off[1]) == pytest.approx(0.0, abs=1e-6)
    assert norm(sub(nut.placement.origin, mouth.origin)) == pytest.approx(joint.setback, abs=1e-6)
    for piece_of in joint.members:
        cuts = joint.cuts()[piece_of.name]
        lower, upper = modeller.bounds(piece_of, cuts)
        assert lower - 1e-3 <= net_volume(piece_of, cuts) <= upper + 1e-3


def refused(message: str, **more: Any) -> None:
    with pytest.raises(GeometryError, match=message):
        bolt(**more)


def test_what_cannot_be_is_refused() -> None:
    refused(r"stops 12.5 mm short of post", stub=-12.5)
    refused("goes through post", stub=76.0)
    refused("across the rail's grain", nut_face=Face.FAR_END)
    refused("counterbore 80 mm deep goes through", counterbore=80.0)
    refused("ends 21.2 mm short of the far side", length=100.0)
    refused("44 mm there", at=(55.0, 40.0))
    refused("44 mm there", at=(55.0, 5.0))
    refused("is stocked", setback=190.0)
    rail, post = rail_and_post()
    beside = replace(rail, placement=replace(rail.placement, origin=(76.0, 54.0, 900.0)))
    with pytest.raises(GeometryError, match="passes beside post"):
        BarrelBolt(name="j", rail=beside, post=post)
    slant = replace(post, placement=TILTED)
    with pytest.raises(GeometryError, match="does not stand square to post"):
        BarrelBolt(name="j", rail=rail, post=slant)


def test_a_counterbore_is_a_choice() -> None:
    assert set(bores(bolt(counterbore=0.0), "post")) == {"bolt hole"}


def test_sizes_are_named() -> None:
    assert [metric_bolt(f" {n.lower()} ").name for n in METRIC_BOLTS] == list(METRIC_BOLTS)
    for name in METRIC_BOLTS:
        size = metric_bolt(name)
        assert size.diameter < size.clearance_hole < size.nut_diameter < size.nut_length
        assert size.washer_id < size.washer_od
        assert "from memory" in size.source
    with pytest.raises(SpecError, match="allowed: M6, M8, M10, M12"):
        metric_bolt("M7")
    assert list(BOLT_LENGTHS) == sorted(BOLT_LENGTHS)
    assert bolt_length_for(71.0) == 80.0
    assert bolt_length_for(1000.0) is None
