"""Set-ups on a CNC router: every feature once, from a face that shows it, by a cutter that fits."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from tests.checks.shops import bench, found, machines, shop
from tests.joints import modeller
from tests.joints.modeller import stick
from tests.strategies import a_few, frame_specs, square_frames
from treenail.checks import load_rules
from treenail.checks.reach import Access, features_of
from treenail.checks.rules import Context, Finding
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.joints.base import Joint
from treenail.joints.corners import Corners
from treenail.joints.cuts import Bore, Cut, Mortise, Slot, TenonEnd
from treenail.joints.shaped_cuts import ConeSocket, Flanks, Gap, Kerf, ShapedEnd, TaperedMortise
from treenail.shop.cnc import CncPart, best_face, cnc_data, part_setups
from treenail.shop.machining import corners_of_face, machining_frame, read_corner
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, dot
from treenail.timber.member import Face, Member

CNC = {"cnc": True, "reach": 80.0}
PIECE = stick(400.0, 100.0, 60.0)


def pocket(face: Face = Face.FACE_SIDE, **changes: Any) -> Mortise:
    values: dict[str, Any] = {
        "joint": "j",
        "purpose": "mortise",
        "face": face,
        "frame": PIECE.face_frame(face).shifted((200.0, 30.0, 0.0)),
        "length": 50.0,
        "width": 20.0,
        "depth": 25.0,
    }
    return Mortise(**(values | changes))


def ways(*cuts: Cut, member: Member = PIECE) -> list[set[Face]]:
    return [{w.face for w in f.ways} for f in features_of(member, cuts)]


@given(frame_specs(), st.sampled_from(["square", "round", "relieved"]), st.floats(20.0, 200.0))
def test_every_feature_of_a_bench_is_cut_once(
    spec: FrameBenchSpec, corners: str, reach: float
) -> None:
    whole = build_bench(replace(spec, mortise_corners=corners, cutter=6.0))
    parts = cnc_data(whole, shop(router={"cnc": True, "reach": reach}))
    assert {n for p in parts for n in p.names} == {
        m.name for m in whole.timbers if whole.cuts[m.name]
    }
    for part in parts:
        assert part.unreached == ()
        features = features_of(whole.by_name[part.names[0]], whole.cuts[part.names[0]])
        once = [d for s in part.setups for d in s.done if not d.from_both]
        both = [d for s in part.setups for d in s.done if d.from_both]
        assert sum(len(d.joints) for d in once) + sum(len(d.joints) for d in both) / 2 == len(
            features
        )
        assert len({s.up for s in part.setups}) == len(part.setups)
        for d in both:
            assert d.within_reach
        for setup in part.setups:
            assert setup.depth == max(d.depth for d in setup.done)
            assert all(
                d.cutter is None or d.widest is None or d.cutter <= d.widest + 1e-6
                for d in setup.done
            )


@cache
def default_parts() -> dict[str, CncPart]:
    parts = cnc_data(bench(mortise_corners="round"), shop(router=CNC))
    return {n: p for p in parts for n in p.names}


def test_a_stretcher_lies_on_both_of_its_sides() -> None:
    part = default_parts()["stretcher_lower_front"]
    assert [s.up for s in part.setups] == [Face.FACE_SIDE, Face.BACK_SIDE]
    first, second = ({d.what: d for d in s.done} for s in part.setups)
    assert set(second) == {"tenon, cheek at the back side", "tenon, rounded edges at the back side"}
    assert first["tenon, rounded edges at the face side"].form == "round-over"
    assert first["tenon, cheek at the face side"].joints == (
        "lower_front_at_left",
        "lower_front_at_right",
    )
    assert first["tenon, shoulder at the back edge"].depth == pytest.approx(44.0)
    assert [str(f) for f in part.setups[0].zero] == ["near end", "face edge"]


def test_a_posts_mortises_take_the_cutter_of_their_corners() -> None:
    part = default_parts()["post_front_left"]
    done = [d for s in part.setups for d in s.done if d.what == "mortise"]
    assert {d.widest for d in done} == {12.7}
    assert {d.cutter for d in done} == {12.7}
    relieved = replace(pocket(), corners=Corners("relieved", 3.0))
    assert [f.widest for f in features_of(PIECE, (pocket(), relieved))] == [20.0, 6.0]


@a_few(8)
@given(
    st.sampled_from(list(Face)),
    st.booleans(),
    st.floats(2.0, 40.0),
    st.sampled_from([None, Corners("round", 3.0), Corners("relieved", 3.0)]),
)
def test_what_is_reached_has_nothing_above_it(
    face: Face, through: bool, deep: float, corners: Corners | None
) -> None:
    """Oracle: the pocket, drawn out upwards to beyond the face, meets no wood of the piece."""
    size = PIECE.face_size(face)
    depth = PIECE.extent(face) if through else deep
    cut = pocket(
        face,
        frame=PIECE.face_frame(face).shifted((size[0] / 2, size[1] / 2, 0.0)),
        length=30.0,
        width=14.0,
        depth=depth,
        through=through,
        corners=corners,
    )
    left = modeller.solid(PIECE, [cut])
    (feature,) = features_of(PIECE, (cut,))
    for way in feature.ways:
        for cutter in cut.cutters(PIECE):
            tool = modeller.cutter_solid(cutter)
            drawn = _hull(tool, tool.translate(tuple(500.0 * c for c in way.face.outward)))
            assert (drawn ^ left).volume() < 0.05  # of thousands
        assert way.depth == pytest.approx(depth)
    assert {w.face for w in feature.ways} == {face, face.opposite} if through else {face}


def _hull(*solids: Manifold) -> Manifold:
    return Manifold.hull_points(np.vstack([s.to_mesh().vert_properties[:, :3] for s in solids]))


@given(square_frames())
def test_turned_pockets_of_any_axis_are_reached_or_not(frame: Frame) -> None:
    cut = pocket(frame=Frame((200.0, 50.0, 30.0), frame.x, frame.y, frame.z))
    face = next(f for f in Face if dot(f.inward, frame.z) > 0.5)
    assert ways(cut) == [{face}]


def test_what_leans_or_widens_is_reached_from_no_face() -> None:
    a = math.radians(8.0)
    lean = Frame(
        (200.0, 50.0, 0.0),
        (math.cos(a), 0.0, -math.sin(a)),
        (0.0, 1.0, 0.0),
        (math.sin(a), 0.0, math.cos(a)),
    )
    assert ways(pocket(frame=lean)) == [set()]
    flared = TaperedMortise(
        joint="j",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=pocket().frame,
        length=40.0,
        width=20.0,
        depth=60.0,
        through=True,
        start=20.0,
        low_out=4.0,
        high_out=4.0,
    )
    assert ways(flared) == [{Face.BACK_SIDE}]
    assert ways(replace(flared, low_out=-4.0)) == [set()]
    assert ways(replace(flared, low_out=-4.0, high_out=0.0)) == [{Face.FACE_SIDE}]
    cone = ConeSocket(
        joint="j",
        purpose="socket",
        face=Face.FACE_SIDE,
        frame=pocket().frame,
        mouth=30.0,
        bottom=20.0,
        depth=40.0,
    )
    assert ways(cone, replace(cone, bottom=35.0)) == [{Face.FACE_SIDE}, set()]


def test_a_tenons_sides_show_on_long_faces_and_the_end() -> None:
    cut = ShapedEnd(
        joint="j",
        purpose="tenon",
        face=Face.FAR_END,
        frame=PIECE.face_frame(Face.FAR_END),
        x0=10.0,
        x1=90.0,
        y0=12.0,
        y1=45.0,
        length=50.0,
        gaps=(Gap("width", 40.0, 60.0),),
        kerfs=(Kerf(20.0, 2.0, 30.0),),
        flanks=Flanks(12.0, 45.0, 4.0),
    )
    found_ = {f.what.removeprefix("tenon, "): f for f in features_of(PIECE, (cut,))}
    depth = {(what, w.face): w.depth for what, f in found_.items() for w in f.ways}
    # The far end's frame has y from the back side.
    assert depth["cheek at the back side", Face.BACK_SIDE] == 12.0
    assert depth["cheek at the face side", Face.FACE_SIDE] == 15.0
    assert depth["shoulder at the face edge", Face.FACE_EDGE] == 10.0
    assert depth["shoulder at the back edge", Face.FACE_SIDE] == 60.0
    assert found_["gap"].widest == 20.0
    assert {w.form for w in found_["kerf"].ways} == {"saw"}
    assert {w.face for w in found_["dovetailed flanks"].ways} == {Face.BACK_SIDE, Face.FAR_END}


def test_a_deep_through_pocket_is_cut_half_from_each_face() -> None:
    through = pocket(depth=60.0, through=True)
    setups, _ = part_setups(PIECE, (through,), machines(router={"reach": 40.0}).router)
    assert {s.up for s in setups} == {Face.FACE_SIDE, Face.BACK_SIDE}
    halves = [d for s in setups for d in s.done]
    assert all(d.from_both and d.within_reach for d in halves)
    assert sum(d.depth for d in halves) >= 60.0
    setups, _ = part_setups(PIECE, (through,), machines(router={"reach": 20.0}).router)
    assert [d.within_reach for s in setups for d in s.done] == [False]


def test_large_pieces_and_the_best_face() -> None:
    narrow = shop(router=CNC | {"table_length": 1000.0})
    assert cnc_data(bench(), narrow)[-1].too_large
    assert not any(p.too_large for p in cnc_data(bench(), shop(router=CNC)))
    cuts = (pocket(Face.BACK_EDGE), pocket(Face.BACK_EDGE, joint="k"), pocket())
    assert best_face(PIECE, cuts, machines().router) is Face.BACK_EDGE
    assert best_face(PIECE, (), machines().router) is Face.FACE_SIDE


# --- rules


@dataclass(frozen=True, kw_only=True)
class Made(Joint):
    """A joint of given cuts on one member."""

    member: Member
    made: tuple[Cut, ...]

    @property
    def kind(self) -> str:
        return "cuts"

    @property
    def members(self) -> tuple[Member, ...]:
        return (self.member,)

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        return {self.member.name: self.made}


def with_cuts(*cuts: Cut) -> Bench:
    whole = bench()
    made = Made(name="made", member=whole.timbers[0], made=cuts)
    return replace(whole, joints=(*whole.joints, made))


def said(code: str, whole: Bench, **router: Any) -> list[Finding]:
    load_rules()
    return found(code, Context(bench=whole, shop=shop(router=router)))


def leaning() -> Bench:
    a = math.radians(5.0)
    lean = Frame(
        (300.0, 40.0, 0.0),
        (math.cos(a), 0.0, -math.sin(a)),
        (0.0, 1.0, 0.0),
        (math.sin(a), 0.0, math.cos(a)),
    )
    return with_cuts(pocket(joint="made", frame=lean))


def test_a_feature_that_no_face_shows_is_an_error_on_a_cnc_machine() -> None:
    (finding,) = said("cnc-unreachable", leaning(), **CNC)
    assert finding.severity == "error"
    assert finding.joint == "made"
    assert said("cnc-unreachable", leaning(), cnc=False) == []
    assert said("cnc-unreachable", bench(), **CNC) == []


def test_a_cutter_too_big_for_a_pocket_is_told_once_a_joint() -> None:
    sound = bench(mortise_corners="round", cutter=10.0)
    assert said("cutter-too-big", sound, **CNC, cutters=[10.0]) == []
    told = said("cutter-too-big", sound, **CNC, cutters=[10.5, 12.0])
    assert {f.severity for f in told} == {"warning"}
    assert {(f.measured, f.limit) for f in told if "mortise" in f.message} == {(10.5, 10.0)}
    assert len({(f.joint, f.message) for f in told}) == len(told)
    assert said("cutter-too-big", sound, cnc=False, cutters=[12.0]) == []
    (slot,) = said(
        "cutter-too-big",
        with_cuts(
            Slot(
                joint="made",
                purpose="slot",
                face=Face.FACE_SIDE,
                frame=Frame((300.0, 40.0, 0.0)),
                centres=20.0,
                width=4.0,
                depth=10.0,
            )
        ),
        **CNC,
        cutters=[6.0],
    )
    assert slot.limit == 4.0


# --- where a piece lies


@given(st.sampled_from(list(Face)), st.integers(0, 3))
def test_the_chosen_face_is_up_and_the_corner_is_zero(up: Face, which: int) -> None:
    corner = corners_of_face(up)[which]
    frame = machining_frame(PIECE, up, corner)
    assert frame.direction(up.outward) == pytest.approx((0.0, 0.0, 1.0))
    points = [
        frame.point((x, y, z)) for x in (0.0, 400.0) for y in (0.0, 100.0) for z in (0.0, 60.0)
    ]
    assert max(p[2] for p in points) == pytest.approx(0.0, abs=1e-9)
    assert min(p[2] for p in points) == pytest.approx(-PIECE.extent(up))
    # The corner's three faces meet at the origin.
    at = frame.local_point((0.0, 0.0, 0.0))
    for f in (up, *corner):
        assert dot(PIECE.face_frame(f).local_point(at), (0.0, 0.0, 1.0)) == pytest.approx(0.0)
    if not up.is_end:
        assert frame.direction((1.0, 0.0, 0.0)) == pytest.approx((1.0, 0.0, 0.0))


def test_corners_are_named_by_their_faces() -> None:
    assert read_corner(Face.FACE_SIDE, "") == (Face.NEAR_END, Face.FACE_EDGE)
    assert read_corner(Face.FACE_SIDE, "back edge and far end") == (Face.FAR_END, Face.BACK_EDGE)
    assert read_corner(Face.NEAR_END, "face edge, back side") == (Face.FACE_EDGE, Face.BACK_SIDE)
    with pytest.raises(SpecError, match="no corner") as caught:
        read_corner(Face.FACE_SIDE, "near end, face side")
    assert "near end, face edge" in str(caught.value.allowed)


def test_a_hole_in_a_counterbore_is_as_deep_as_it_lies() -> None:
    start = PIECE.face_frame(Face.FACE_SIDE).shifted((100.0, 50.0, 20.0))
    hole = Bore(
        joint="j",
        purpose="bolt hole",
        face=Face.FACE_SIDE,
        frame=start,
        diameter=9.0,
        depth=40.0,
        through=True,
    )
    (feature,) = features_of(PIECE, (hole,))
    assert feature.ways == (Access(Face.FACE_SIDE, 60.0), Access(Face.BACK_SIDE, 40.0))


def test_a_plain_tenon_end_needs_no_end_up() -> None:
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.NEAR_END,
        frame=PIECE.face_frame(Face.NEAR_END),
        x0=10.0,
        x1=90.0,
        y0=12.0,
        y1=45.0,
        length=50.0,
    )
    setups, _ = part_setups(PIECE, (cut,), machines(router={"reach": 70.0}).router)
    assert {s.up for s in setups} == {Face.FACE_SIDE, Face.BACK_SIDE}
    setups, _ = part_setups(PIECE, (cut,), machines(router={"reach": 20.0}).router)
    assert {s.up for s in setups} == {
        Face.FACE_SIDE,
        Face.BACK_SIDE,
        *((Face.FACE_EDGE, Face.BACK_EDGE)),
    }
