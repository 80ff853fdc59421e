"""Round and relieved corners of mortises, and the tenons that go into them."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.joints import modeller
from tests.joints.modeller import same_place, stick
from tests.strategies import a_few, tenoned_pairs
from treenail.generators.solids import member_solid
from treenail.joints.corner_fit import corners_of
from treenail.joints.corners import (
    DIP,
    CornerKind,
    Corners,
    largest_cutter,
    pocket_outline,
    tenon_radius,
)
from treenail.joints.cuts import Haunch, Mortise, Rounding, TenonEnd
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.volumes import net_volume
from treenail.templates.figures import Loop
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame
from treenail.timber.member import Face

KINDS: list[CornerKind] = ["round", "relieved"]


@st.composite
def pockets(draw: st.DrawFn) -> Mortise:
    """Pockets in the middle of a stick's face side, every corner kind, one end or both."""
    length, width = draw(st.floats(20.0, 120.0)), draw(st.floats(6.0, 40.0))
    kind = draw(st.sampled_from(["round", "relieved"]))
    most = largest_cutter(kind, min(length, width))  # type: ignore[arg-type]
    ends = draw(st.sampled_from([(True, True), (True, False), (False, True)]))
    return Mortise(
        joint="j",
        purpose="mortise",
        face=Face.FACE_SIDE,
        frame=Frame((200.0, 60.0, 0.0)),
        length=length,
        width=width,
        depth=draw(st.floats(5.0, 45.0)),
        through=False,
        corners=Corners(kind, most / 2.0 * draw(st.floats(0.1, 0.999)), *ends),  # type: ignore[arg-type]
    )


def outline_area(cut: Mortise) -> float:
    return Loop(pocket_outline(cut.length, cut.width, cut.corners)).area()


@given(pockets())
def test_a_pocket_takes_its_outline_s_area(cut: Mortise) -> None:
    member = stick(400.0, 120.0, 60.0)
    gone = member.stock_volume - net_volume(member, [cut])
    assert gone == pytest.approx(outline_area(cut) * cut.depth, rel=1e-9)


@given(pockets())
def test_a_round_corner_leaves_a_square_less_a_quarter_circle(cut: Mortise) -> None:
    assert cut.corners is not None
    count = cut.corners.low * 2 + cut.corners.high * 2
    r, whole = cut.corners.radius, cut.length * cut.width
    if cut.corners.kind == "round":
        assert outline_area(cut) == pytest.approx(whole - count * (1 - math.pi / 4) * r * r)
        return
    # Beyond one wall a circle's segment; beyond both, the part around the corner counts once.
    c = DIP * r / math.sqrt(2.0)
    segment = r * r * math.acos(c / r) - c * math.sqrt(r * r - c * c)
    turn = math.acos(c / r) - math.asin(c / r)  # from the corner's wall to the arc, from centre
    both = r * r * turn / 2.0 - c * (math.sqrt(r * r - c * c) - c)
    assert outline_area(cut) == pytest.approx(whole + count * (2.0 * segment - both))


@a_few(8)
@given(pockets())
def test_two_modellers_agree_on_pockets(cut: Mortise) -> None:
    member = stick(400.0, 120.0, 60.0)
    low, high = modeller.bounds(member, [cut])
    volume = net_volume(member, [cut])
    assert low - 1e-3 <= volume <= high + 1e-3
    assert member_solid(member, [cut]).Volume() == pytest.approx(volume, rel=1e-9)


@given(pockets())
def test_a_relief_takes_the_corner_and_leaves_the_short_wall(cut: Mortise) -> None:
    corners = cut.corners
    assert corners is not None
    for x, y in corners.spots(cut.length, cut.width):
        to_corner = math.hypot(cut.length / 2 - abs(x), cut.width / 2 - abs(y))
        if corners.kind == "relieved":
            assert to_corner < corners.radius
            assert abs(x) + corners.radius - cut.length / 2 == pytest.approx(corners.beyond)
    assert cut.width - 2 * corners.of_wall > 0.0


@pytest.mark.parametrize("kind", KINDS)
def test_corners_that_run_together_are_refused(kind: CornerKind) -> None:
    most = largest_cutter(kind, 20.0)
    fields = {
        "joint": "j",
        "purpose": "mortise",
        "face": Face.FACE_SIDE,
        "frame": Frame(),
        "length": 60.0,
        "width": 20.0,
        "depth": 10.0,
    }
    assert kind != "square"
    Mortise(**fields, corners=Corners(kind, most / 2 - 1e-6))  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="don't fit"):
        Mortise(**fields, corners=Corners(kind, most / 2 + 1e-6))  # type: ignore[arg-type]


@given(
    st.floats(0.5, 12.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 40.0),
    st.floats(0.0, 40.0),
)
def test_the_gap_around_a_round_corner_is_never_less_than_the_smaller_clearance(
    corner: float, edge: float, cheek: float, more_width: float, more_thickness: float
) -> None:
    """Walked around the tenon's quarter circle, from the mortise's centre of curvature."""
    length, wide = 2 * corner + more_width + edge, 2 * corner + more_thickness + cheek
    a, b = length - edge, wide - cheek
    r = tenon_radius(corner, edge=edge, cheek=cheek, width=a, thickness=b)
    assert 0.0 <= r <= corner + 1e-9
    least = min(edge, cheek) / 2.0
    for i in range(19):
        t = math.pi / 2 * i / 18
        x, y = a / 2 - r + r * math.cos(t), b / 2 - r + r * math.sin(t)
        u, v = x - (length / 2 - corner), y - (wide / 2 - corner)
        gap = min(length / 2 - x, wide / 2 - y)
        if u > 0.0 and v > 0.0:
            gap = min(gap, corner - math.hypot(u, v))
        assert gap >= least - 1e-6


@st.composite
def rounded_ends(draw: st.DrawFn) -> TenonEnd:
    member = stick(400.0, 100.0, 50.0)
    end = draw(st.sampled_from([Face.NEAR_END, Face.FAR_END]))
    stub = draw(st.sampled_from([None, Face.FACE_EDGE, Face.BACK_EDGE]))
    return TenonEnd(
        joint="j",
        purpose="tenon",
        face=end,
        frame=member.face_frame(end),
        x0=draw(st.sampled_from([0.0, 12.0, 30.0])),
        x1=draw(st.sampled_from([70.0, 85.0, 100.0])),
        y0=draw(st.sampled_from([0.0, 8.0, 15.0])),
        y1=draw(st.sampled_from([35.0, 42.0, 50.0])),
        length=40.0,
        haunch=Haunch(stub, draw(st.sampled_from([10.0, 12.0])), 11.0) if stub else None,
        rounding=Rounding(draw(st.floats(0.5, 9.9)), haunch=draw(st.booleans())),
    )


@a_few(8)
@given(rounded_ends())
def test_rounded_edges_are_a_square_less_a_quarter_circle_each(cut: TenonEnd) -> None:
    member = stick(400.0, 100.0, 50.0)
    assert cut.rounding is not None
    plain = net_volume(member, [replace(cut, rounding=None)])
    whole = net_volume(member, [cut])
    spandrel = (1 - math.pi / 4) * cut.rounding.radius**2
    stub = cut.haunch
    shoulder = 0.0
    if stub:
        shoulder = cut.x0 if stub.edge is Face.FACE_EDGE else member.width - cut.x1
    runs = 4 * cut.length - (2 * stub.length if stub else 0.0)
    if stub and cut.rounding.haunch:
        runs += 2 * stub.length
    if not stub or shoulder > 0.0 or cut.rounding.haunch:
        assert plain - whole == pytest.approx(spandrel * runs, rel=1e-9)
    low, high = modeller.bounds(member, [cut])
    assert low - 1e-3 <= whole <= high + 1e-3
    assert member_solid(member, [cut]).Volume() == pytest.approx(whole, rel=1e-9)


@a_few(8)
@given(tenoned_pairs(), st.sampled_from(KINDS), st.floats(0.2, 0.95))
def test_the_tenon_goes_into_its_mortise(
    joint: MortiseTenon, kind: CornerKind, share: float
) -> None:
    most = largest_cutter(kind, min(joint.mortise.width, joint.mortise.length))
    made = replace(joint, corners=kind, cutter=most * share)
    post, rail = made.receiver, made.entering
    cuts = made.cuts()
    receiver = modeller.solid(post, [*made.mortises])
    tenon = modeller.solid(rail, [made.tenon])
    there = modeller._placed(receiver, post.placement)
    here = modeller._placed(tenon, rail.placement)
    # Polygons stand for arcs: some of the wood between chord and arc is shared at no clearance.
    assert (there ^ here).volume() <= 4 * made.cutter**2 * made.length * 2e-4
    assert corners_of(made) is not None
    assert cuts[post.name][0].cutters(post)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("edge", [Face.FACE_EDGE, Face.BACK_EDGE])
@given(joint=tenoned_pairs())
def test_a_haunch_s_socket_has_such_corners_at_its_outer_end_only(
    joint: MortiseTenon, edge: Face, kind: CornerKind
) -> None:
    shoulders = replace(joint.shoulders, face_edge=14.0, back_edge=14.0)
    narrow = min(joint.thickness, joint.entering.width - 28.0)
    assume(narrow > 1.0)
    cutter = 0.9 * largest_cutter(kind, narrow)
    made = replace(
        joint, shoulders=shoulders, haunch=Haunch(edge, 9.0, 8.0), corners=kind, cutter=cutter
    )
    socket = made.haunch_socket
    assert socket is not None
    assert socket.corners is not None
    assert socket.corners.low != socket.corners.high
    x = socket.length / 2 * (1.0 if socket.corners.high else -1.0)
    at = made.mortise.frame.local_point(socket.frame.point((x, 0.0, 0.0)))
    assert abs(at[0]) > made.mortise.length / 2
    assert made.tenon.rounding == (
        None
        if kind == "relieved"
        else Rounding(made.tenon.rounding.radius if made.tenon.rounding else 0.0, haunch=True)
    )


def test_an_open_socket_stays_square() -> None:
    from tests.checks.benches import frame

    joint = next(j for j in frame().joints if j.name == "upper_front_at_left")
    assert isinstance(joint, MortiseTenon)
    made = replace(joint, corners="round")
    assert made.haunch_socket is not None
    assert made.haunch_socket.corners is None
    assert made.tenon.rounding is not None
    assert not made.tenon.rounding.haunch


def test_the_place_of_a_rounded_tenon() -> None:
    member = stick(400.0, 100.0, 50.0)
    cut = TenonEnd(
        joint="j",
        purpose="tenon",
        face=Face.FAR_END,
        frame=member.face_frame(Face.FAR_END),
        x0=20.0,
        x1=80.0,
        y0=10.0,
        y1=40.0,
        length=30.0,
        rounding=Rounding(6.0),
    )
    body = modeller.box_solid((0.0, 0.0, 0.0), (370.0, 100.0, 50.0))
    outline = [
        (
            20.0 + (0 if x < 0 else 60.0) - x * 6.0 + 6.0 * math.cos(t),
            10.0 + (0 if y < 0 else 30.0) - y * 6.0 + 6.0 * math.sin(t),
        )
        for x, y in ((1, 1), (-1, 1), (-1, -1), (1, -1))
        for i in range(65)
        for t in [math.atan2(y, x) - math.pi / 4 + math.pi / 2 * i / 64]
    ]
    tenon = modeller._swept(outline, 30.0)
    # The outline's plane is the piece's y and z; its axis the grain.
    grain = Frame((370.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    wanted = body + modeller._placed(tenon, grain)
    assert same_place(modeller.solid(member, [cut]), wanted, within=1.0)
