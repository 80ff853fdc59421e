"""Distances of convex pieces against closed forms and a second modeller; tenons against cuts."""

import math

import manifold3d
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from tests.joints.modeller import solid as cut_solid
from treenail.joints.convex import (
    Corners,
    bounds_gap,
    hull,
    reach,
    segment_distance,
    separation,
    tenon_pieces,
)
from treenail.joints.cuts import Haunch, MitredTip, NotchedTip, TenonEnd
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, cross, dot, neg, norm, scale, sub
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

sizes = st.floats(1.0, 100.0)
places = st.floats(-150.0, 150.0)
turns = st.floats(0.0, 2 * math.pi)


def box(low: Vec, high: Vec) -> Corners:
    return tuple(
        (x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])
    )


def turned(a: float, b: float, c: float, origin: Vec) -> Frame:
    """A frame turned about z, y and x by three angles."""
    sa, ca, sb, cb, sc, cc = (
        math.sin(a),
        math.cos(a),
        math.sin(b),
        math.cos(b),
        math.sin(c),
        math.cos(c),
    )
    x = (ca * cb, sa * cb, -sb)
    y = (ca * sb * sc - sa * cc, sa * sb * sc + ca * cc, cb * sc)
    return Frame(origin, x, y, cross(x, y))


@st.composite
def pieces(draw: st.DrawFn) -> Corners:
    """A box, or a box with one face slanted, anywhere."""
    size = (draw(sizes), draw(sizes), draw(sizes))
    slant = draw(st.floats(0.0, 0.9))
    frame = turned(
        draw(turns), draw(turns), draw(turns), (draw(places), draw(places), draw(places))
    )
    found = []
    for x, y, z in box((0.0, 0.0, 0.0), size):
        cut = slant * size[2] if y > 0.0 and z > 0.0 else 0.0
        found.append(frame.point((x, y, z - cut)))
    return tuple(found)


def solid(corners: Corners) -> Manifold:
    return Manifold.hull_points(np.array(corners))


def moved(corners: Corners, by: Vec) -> Corners:
    return tuple((p[0] + by[0], p[1] + by[1], p[2] + by[2]) for p in corners)


@given(
    st.tuples(sizes, sizes, sizes),
    st.tuples(sizes, sizes, sizes),
    st.tuples(places, places, places),
)
def test_upright_boxes(a: Vec, b: Vec, at: Vec) -> None:
    gaps = [max(at[i] - a[i], -(at[i] + b[i])) for i in range(3)]
    far = (at[0] + b[0], at[1] + b[1], at[2] + b[2])
    first, second = box((0.0, 0.0, 0.0), a), box(at, far)
    found = separation(first, second)
    if max(gaps) <= 0.0:
        assert found.distance == pytest.approx(max(gaps), abs=1e-9)
        assert bounds_gap(first, second) == 0.0
    else:
        want = math.hypot(*(max(g, 0.0) for g in gaps))
        assert found.distance == pytest.approx(want, abs=1e-9)
        assert bounds_gap(first, second) == pytest.approx(want, abs=1e-9)


@given(pieces(), pieces())
def test_distance_is_the_other_modellers(a: Corners, b: Corners) -> None:
    found = separation(a, b)
    assert separation(b, a).distance == pytest.approx(found.distance, abs=1e-9)
    assert norm(found.direction) == pytest.approx(1.0)
    gap = solid(a).min_gap(solid(b), 1000.0)
    assert max(found.distance, 0.0) == pytest.approx(gap, abs=1e-4)
    assert bounds_gap(a, b) <= max(found.distance, 0.0) + 1e-9


@given(pieces(), pieces(), st.floats(0.0, 0.5), turns, turns)
def test_depth_is_the_least_move_that_parts_them(
    a: Corners, b: Corners, share: float, longitude: float, latitude: float
) -> None:
    # Brought together so that their middles lie near each other.
    middle = [sum(p[i] for p in a) / 8 - sum(q[i] for q in b) / 8 for i in range(3)]
    b = moved(b, (middle[0], middle[1], middle[2]))
    b = moved(b, scale(sub(a[0], a[7]), share))
    found = separation(a, b)
    if found.distance >= -1e-3:
        return
    apart = separation(a, moved(b, scale(found.direction, -found.distance)))
    assert apart.distance == pytest.approx(0.0, abs=1e-6)
    other = (
        math.cos(longitude) * math.cos(latitude),
        math.sin(longitude) * math.cos(latitude),
        math.sin(latitude),
    )
    not_far_enough = moved(b, scale(other, -found.distance * 0.99))
    assert separation(a, not_far_enough).distance < 0.0


@given(
    st.tuples(places, places, places),
    st.tuples(places, places, places),
    st.tuples(places, places, places),
    st.tuples(places, places, places),
)
def test_segments_are_as_near_as_their_nearest_points(p: Vec, q: Vec, r: Vec, s: Vec) -> None:
    found = segment_distance((p, q), (r, s))
    grid = np.linspace(0.0, 1.0, 41)[:, None]
    one = np.array(p) + grid * (np.array(q) - np.array(p))
    two = np.array(r) + grid * (np.array(s) - np.array(r))
    nearest = np.linalg.norm(one[:, None, :] - two[None, :, :], axis=2).min()
    step = (norm(sub(q, p)) + norm(sub(s, r))) / 40
    assert found.distance <= nearest + 1e-9
    assert found.distance >= nearest - step


def test_an_axis_runs_through_a_box_or_past_it() -> None:
    block = box((0.0, 0.0, 0.0), (10.0, 20.0, 30.0))
    past = separation(((15.0, 5.0, -10.0), (15.0, 5.0, 50.0)), block)
    assert past.distance == pytest.approx(5.0)
    assert past.direction == pytest.approx((-1.0, 0.0, 0.0))
    through = separation(((8.0, 5.0, -10.0), (8.0, 5.0, 50.0)), block)
    assert through.distance == pytest.approx(-2.0)
    short = separation(((5.0, 5.0, 32.0), (5.0, 5.0, 50.0)), block)
    assert short.distance == pytest.approx(2.0)


def test_flat_points_are_no_piece() -> None:
    with pytest.raises(GeometryError, match="four corners"):
        hull(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 1.0, 0.0)))
    with pytest.raises(GeometryError, match="four corners"):
        hull(((0.0, 0.0, 0.0),))


@given(pieces())
def test_a_box_has_six_planes_and_twelve_edges(piece: Corners) -> None:
    found = hull(piece)
    assert len(found.planes) == 6
    assert len(found.edges) == 12
    for normal, level in found.planes:
        assert reach(piece, normal)[1] == pytest.approx(level, abs=1e-6)
        assert dot(neg(normal), normal) == pytest.approx(-1.0)


tips = st.one_of(
    st.none(),
    st.builds(
        MitredTip,
        short_cheek=st.sampled_from([Face.FACE_SIDE, Face.BACK_SIDE]),
        cut_back=st.floats(5.0, 34.0),
        lead=st.floats(0.5, 4.0),
    ),
    st.builds(
        NotchedTip,
        edge=st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]),
        width=st.floats(5.0, 50.0),
        length=st.floats(5.0, 30.0),
    ),
)
haunches = st.one_of(
    st.none(),
    st.builds(
        Haunch,
        edge=st.sampled_from([Face.FACE_EDGE, Face.BACK_EDGE]),
        width=st.floats(5.0, 30.0),
        length=st.floats(4.0, 15.0),
    ),
)


@given(st.sampled_from([Face.NEAR_END, Face.FAR_END]), tips, haunches)
def test_tenon_bodies_are_what_the_cut_leaves(
    end: Face, tip: MitredTip | NotchedTip | None, haunch: Haunch | None
) -> None:
    """A second modeller cuts the rail; what stands beyond the shoulder is the bodies' union."""
    rail = Member(
        name="rail",
        role="stretcher",
        length=300.0,
        width=120.0,
        thickness=40.0,
        species=get_species("white_ash"),
    )
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=end,
        frame=rail.face_frame(end),
        x0=20.0,
        x1=95.0,
        y0=8.0,
        y1=30.0,
        length=50.0,
        haunch=haunch,
        tip=tip,
    )
    bodies = [tuple(cut.frame.point(p) for p in piece) for piece in tenon_pieces(cut, rail.width)]
    kept = Manifold.batch_boolean([solid(b) for b in bodies], manifold3d.OpType.Add)
    start = 0.0 if end is Face.NEAR_END else rail.length - 50.0
    beyond = cut_solid(rail, [cut]) ^ Manifold.cube([50.0, 120.0, 40.0]).translate(
        [start, 0.0, 0.0]
    )
    assert kept.volume() == pytest.approx(beyond.volume(), rel=1e-6)
    assert (kept - beyond).volume() == pytest.approx(0.0, abs=0.05)


def test_a_mitre_that_reaches_the_shoulder_leaves_a_wedge() -> None:
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.NEAR_END,
        frame=Frame(),
        x0=0.0,
        x1=10.0,
        y0=0.0,
        y1=20.0,
        length=15.0,
        tip=MitredTip(short_cheek=Face.FACE_SIDE, cut_back=30.0, lead=0.0),
    )
    (wedge,) = tenon_pieces(cut, 10.0)
    # Half of the 20 mm is left at the shoulder, 15 mm long: a triangle swept over 10 mm.
    assert solid(wedge).volume() == pytest.approx(0.5 * 10.0 * 15.0 * 10.0, rel=1e-6)


def test_nothing_is_left_of_a_tenon_that_is_all_cut_away() -> None:
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.NEAR_END,
        frame=Frame(),
        x0=0.0,
        x1=10.0,
        y0=0.0,
        y1=20.0,
        length=15.0,
        tip=MitredTip(short_cheek=Face.FACE_SIDE, cut_back=30.0, lead=16.0),
    )
    assert tenon_pieces(cut, 10.0) == []
