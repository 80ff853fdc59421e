"""Each cut removes the right wood in the right place: a second modeller looks on."""

import math
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from tests.joints import modeller
from tests.joints.modeller import box_solid, same_place, stick
from treenail.joints.cuts import Bore, Haunch, MitredTip, Mortise, NotchedTip, Slot, TenonEnd
from treenail.joints.volumes import net_volume
from treenail.timber.frames import Frame, Vec
from treenail.timber.member import Face, Member

LONG_FACES = [Face.FACE_SIDE, Face.BACK_SIDE, Face.FACE_EDGE, Face.BACK_EDGE]
ENDS = [Face.NEAR_END, Face.FAR_END]


@dataclass(frozen=True)
class Rail:
    """A rail and its tenon in the member's own coordinates (y from the edge, z from the side)."""

    member: Member
    end: Face
    length: float
    low: tuple[float, float]
    high: tuple[float, float]

    def place(self, low: Vec, high: Vec) -> Manifold:
        """A box given with x measured from the tenon's end."""
        if self.end is Face.NEAR_END:
            return box_solid(low, high)
        far = self.member.length
        return box_solid((far - high[0], *low[1:]), (far - low[0], *high[1:]))

    def body(self) -> Manifold:
        m = self.member
        return self.place((self.length, 0, 0), (m.length, m.width, m.thickness))

    def tenon(self, start: float = 0.0) -> Manifold:
        return self.place((start, *self.low), (self.length, *self.high))

    def cut(self, **more: Haunch | MitredTip | NotchedTip) -> TenonEnd:
        m = self.member
        y0, y1 = self.low[1], self.high[1]
        if self.end is Face.FAR_END:  # its frame measures from the back side
            y0, y1 = m.thickness - y1, m.thickness - y0
        return TenonEnd(
            joint="j",
            purpose="tenon",
            face=self.end,
            frame=m.face_frame(self.end),
            x0=self.low[0],
            x1=self.high[0],
            y0=y0,
            y1=y1,
            length=self.length,
            **more,  # type: ignore[arg-type]
        )

    def left(self, cut: TenonEnd) -> Manifold:
        """What the modeller leaves; the closed form has to agree with it."""
        solid = modeller.solid(self.member, [cut])
        assert net_volume(self.member, [cut]) == pytest.approx(solid.volume(), rel=1e-10, abs=1e-4)
        return solid


@st.composite
def rails(draw: st.DrawFn, *, shoulder: float = 0.0) -> Rail:
    """Shoulders from ``shoulder`` up on the edges; the cheeks may be bare (no shoulder)."""
    width, thickness = draw(st.floats(40.0, 150.0)), draw(st.floats(20.0, 100.0))
    edge, back = (draw(st.floats(shoulder, 0.3)) * width for _ in range(2))
    share = st.just(0.0) | st.floats(0.05, 0.4)
    side, off = (draw(share) * thickness for _ in range(2))
    return Rail(
        stick(draw(st.floats(250.0, 900.0)), width, thickness),
        draw(st.sampled_from(ENDS)),
        draw(st.floats(15.0, 110.0)),
        (edge, side),
        (width - back, thickness - off),
    )


@given(rails())
def test_exactly_the_tenon_stands(rail: Rail) -> None:
    left = rail.left(rail.cut())
    assert same_place(left, rail.body() + rail.tenon(), within=1e-3)
    m = rail.member
    section = (rail.high[0] - rail.low[0]) * (rail.high[1] - rail.low[1])
    shoulders = m.width * m.thickness - section
    assert m.stock_volume - left.volume() == pytest.approx(shoulders * rail.length, abs=1e-3)


@given(
    rails(shoulder=0.1),
    st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]),
    st.floats(0.1, 1.0),
    st.floats(0.1, 0.6),
)
def test_the_haunch_stands_beside_the_tenon(
    rail: Rail, edge: Face, wide: float, long: float
) -> None:
    m = rail.member
    at_face_edge = edge is Face.FACE_EDGE
    room = rail.low[0] if at_face_edge else m.width - rail.high[0]
    stub = Haunch(edge, room * wide, rail.length * long)
    y = rail.low[0] - stub.width if at_face_edge else rail.high[0]
    haunch = rail.place(
        (rail.length - stub.length, y, rail.low[1]),
        (rail.length, y + stub.width, rail.high[1]),
    )
    left = rail.left(rail.cut(haunch=stub))
    assert same_place(left, rail.body() + rail.tenon() + haunch, within=1e-3)


@given(
    rails(),
    st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]),
    st.floats(0.05, 0.6),
    st.floats(0.0, 1.0),
)
def test_a_mitred_tip_is_short_at_its_short_cheek(
    rail: Rail, cheek: Face, cut: float, part: float
) -> None:
    # Up to 3 in 2, steeper than any pair of tenons meets.
    cut_back = min(cut * rail.length, 1.5 * (rail.high[1] - rail.low[1]))
    lead = part * cut_back
    tip = MitredTip(cheek, cut_back, lead)
    plain, mitred = rail.left(rail.cut()), rail.left(rail.cut(tip=tip))
    wide, thick = rail.high[0] - rail.low[0], rail.high[1] - rail.low[1]
    half = (cut_back + lead) / 2 * thick * wide
    assert plain.volume() - mitred.volume() == pytest.approx(half, rel=1e-9, abs=1e-3)
    # The slanted end runs straight from one cheek to the other: half of it from the middle on.
    z_mid = (rail.low[1] + rail.high[1]) / 2
    at_face_side = cheek is Face.FACE_SIDE
    zs = (rail.low[1], z_mid) if at_face_side else (z_mid, rail.high[1])
    near = rail.place((0, rail.low[0], zs[0]), (rail.length, rail.high[0], zs[1]))
    gone = ((plain - mitred) ^ near).volume()
    assert gone == pytest.approx((3 * cut_back + lead) / 8 * thick * wide, rel=1e-9, abs=1e-3)
    assert same_place(mitred - rail.tenon(), rail.body(), within=1e-3)


@given(
    rails(),
    st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]),
    st.floats(0.1, 0.8),
    st.floats(0.1, 0.9),
)
def test_a_notched_tip_loses_one_corner(rail: Rail, edge: Face, wide: float, long: float) -> None:
    width = rail.high[0] - rail.low[0]
    tip = NotchedTip(edge, wide * width, long * rail.length)
    y = (rail.low[0], rail.low[0] + tip.width)
    if edge is Face.BACK_EDGE:
        y = (rail.high[0] - tip.width, rail.high[0])
    notch = rail.place((0, y[0], rail.low[1]), (tip.length, y[1], rail.high[1]))
    left = rail.left(rail.cut(tip=tip))
    assert same_place(left, rail.body() + (rail.tenon() - notch), within=1e-3)


# --- pockets and holes, from every face

BLANK = stick(240.0, 110.0, 80.0)


def on(face: Face, x: float, y: float) -> Frame:
    return BLANK.face_frame(face).shifted((x, y, 0.0))


def reach(face: Face, depth: float) -> tuple[Vec, Vec]:
    """The layer of the blank within ``depth`` of a face."""
    low, high = [0.0, 0.0, 0.0], list(BLANK.size)
    axis = next(i for i in range(3) if face.inward[i])
    if face.inward[axis] > 0:
        high[axis] = depth
    else:
        low[axis] = high[axis] - depth
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


@pytest.mark.parametrize("face", list(Face))
@given(depth=st.floats(5.0, 60.0), x=st.floats(30.0, 50.0), y=st.floats(25.0, 45.0))
def test_a_mortise_goes_in_from_its_face(face: Face, depth: float, x: float, y: float) -> None:
    cut = Mortise(
        joint="j",
        purpose="mortise",
        face=face,
        frame=on(face, x, y),
        length=40,
        width=16,
        depth=depth,
    )
    gone = box_solid((0, 0, 0), BLANK.size) - modeller.solid(BLANK, [cut])
    assert gone.volume() == pytest.approx(40 * 16 * depth, rel=1e-9)
    assert (gone - box_solid(*reach(face, depth))).volume() < 1e-6
    assert net_volume(BLANK, [cut]) == pytest.approx(BLANK.stock_volume - 40 * 16 * depth)
    # It is centred on the frame: the middle of what went lies half way down its z axis.
    box = gone.bounding_box()
    middle = tuple((box[i] + box[i + 3]) / 2 for i in range(3))
    assert middle == pytest.approx(cut.frame.point((0, 0, depth / 2)), abs=1e-6)


@pytest.mark.parametrize("face", list(Face))
def test_through_cuts_leave_at_the_other_side(face: Face) -> None:
    depth = BLANK.extent(face)
    frame = on(face, 40.0, 38.0)
    mortise = Mortise(
        joint="j",
        purpose="mortise",
        face=face,
        frame=frame,
        length=30,
        width=12,
        depth=depth,
        through=True,
    )
    hole = Bore(
        joint="j",
        purpose="hole",
        face=face,
        frame=frame,
        diameter=20,
        depth=depth,
        through=True,
    )
    slot = Slot(
        joint="j",
        purpose="slot",
        face=face,
        frame=frame,
        centres=10,
        width=20,
        depth=depth,
        through=True,
    )
    for cut, area in ((mortise, 360.0), (hole, math.pi * 100), (slot, math.pi * 100 + 200)):
        assert modeller.solid(BLANK, [cut]).genus() == 1
        gone = BLANK.stock_volume - net_volume(BLANK, [cut])
        assert gone == pytest.approx(area * depth, rel=1e-11)


@pytest.mark.parametrize("face", LONG_FACES)
def test_a_slot_runs_along_the_grain(face: Face) -> None:
    cut = Slot(
        joint="j",
        purpose="slot",
        face=face,
        frame=on(face, 90.0, 40.0),
        centres=50,
        width=12,
        depth=20,
    )
    gone = box_solid((0, 0, 0), BLANK.size) - modeller.solid(BLANK, [cut])
    box = gone.bounding_box()
    assert (box[0], box[3]) == pytest.approx((90 - 31, 90 + 31), abs=0.01)
    plan = math.pi * 36 + 12 * 50
    assert BLANK.stock_volume - net_volume(BLANK, [cut]) == pytest.approx(plan * 20, rel=1e-11)
