"""Net volumes against a second modeller, numeric integration and closed forms by hand."""

import math
from itertools import pairwise
from random import Random
from typing import cast

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection
from scipy import integrate, special

from tests.joints import modeller
from tests.joints.modeller import raw, stick
from treenail.joints.cuts import Bore, Cut, FootChamfer, Mortise, Slot
from treenail.joints.cutters import (
    BoreCutter,
    BoxCutter,
    Cutter,
    FilletCutter,
    PrismCutter,
    SlotCutter,
)
from treenail.joints.volumes import (
    NoClosedForm,
    circle_rectangle_area,
    clear_opening,
    crescent_area,
    lens_area,
    net_volume,
    stadium_rectangle_area,
)
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec
from treenail.timber.member import Face, Member

STOCK = stick(300.0, 90.0, 70.0)
AXES: dict[str, Frame] = {
    "x": Frame(x=(0, 1, 0), y=(0, 0, 1), z=(1, 0, 0)),
    "-x": Frame(x=(0, 1, 0), y=(0, 0, -1), z=(-1, 0, 0)),
    "y": Frame(x=(1, 0, 0), y=(0, 0, -1), z=(0, 1, 0)),
    "z": Frame(),
    "-z": Frame(x=(0, 1, 0), y=(1, 0, 0), z=(0, 0, -1)),
}


def removed(cutters: list[Cutter], member: Member = STOCK) -> float:
    cuts = [raw(c, name=f"cut {i}") for i, c in enumerate(cutters)]
    return member.stock_volume - net_volume(member, cuts)


def at(frame: Frame, *origin: float) -> Frame:
    return Frame(cast("Vec", origin), frame.x, frame.y, frame.z)


@st.composite
def places(draw: st.DrawFn, *, margin: float = 15.0) -> Vec:
    """A point in the stock or a little way out of it."""
    return tuple(draw(st.floats(-margin, size + margin)) for size in STOCK.size)  # type: ignore[return-value]


@st.composite
def boxes(draw: st.DrawFn) -> BoxCutter:
    frame = at(draw(st.sampled_from(list(AXES.values()))), *draw(places()))
    size = tuple(draw(st.floats(1.0, 80.0)) for _ in range(3))
    return BoxCutter(frame, size)  # type: ignore[arg-type]


@st.composite
def turned(draw: st.DrawFn, axes: tuple[str, ...] = tuple(AXES)) -> Frame:
    """A frame whose z lies along a member axis; turned about it or not."""
    base = AXES[draw(st.sampled_from(axes))]
    angle = draw(st.sampled_from([0.0, math.pi / 2]) | st.floats(0.0, math.pi))
    c, s = math.cos(angle), math.sin(angle)
    spin = Frame(x=(c, s, 0), y=(-s, c, 0))
    return at(base.place(spin), *draw(places()))


@st.composite
def sweeps(draw: st.DrawFn, axes: tuple[str, ...] = tuple(AXES)) -> Cutter:
    frame = draw(turned(axes))
    depth = draw(st.floats(5.0, 150.0))
    match draw(st.integers(0, 3)):
        case 0:
            return SlotCutter(frame, draw(st.floats(0.0, 60.0)), draw(st.floats(4.0, 40.0)), depth)
        case 1:
            top, wide, lean = (draw(st.floats(3.0, 40.0)) for _ in range(3))
            points = ((-wide, -5.0), (wide, -5.0), (wide, top), (-wide, lean))
            return PrismCutter(frame, points, depth)
        case _:
            return BoreCutter(frame, draw(st.floats(4.0, 50.0)), depth)


# --- boxes


@given(st.lists(boxes(), max_size=7))
def test_union_of_boxes_is_the_modellers(cutters: list[Cutter]) -> None:
    expected = modeller.solid(STOCK, [raw(*cutters)]).volume()
    assert net_volume(STOCK, [raw(*cutters)]) == pytest.approx(expected, rel=1e-11, abs=1e-5)


@given(st.lists(boxes(), min_size=1, max_size=4), st.randoms())
def test_neither_order_nor_repetition_matters(cutters: list[Cutter], random: Random) -> None:
    shuffled = cutters + cutters[:2]
    random.shuffle(shuffled)
    assert removed(shuffled) == pytest.approx(removed(cutters), rel=1e-12, abs=1e-6)


# --- plane areas

coordinate = st.floats(-30.0, 30.0)


@given(st.floats(0.5, 40.0), coordinate, coordinate, coordinate, coordinate)
def test_circle_and_rectangle_agree_with_numeric_integration(
    d: float, x: float, y: float, u: float, v: float
) -> None:
    rect = (min(x, u), min(y, v), max(x, u), max(y, v))
    r = d / 2
    centre = (3.0, -2.0)

    def chord(s: float) -> float:
        half = math.sqrt(max(r * r - (s - centre[0]) ** 2, 0.0))
        return max(min(centre[1] + half, rect[3]) - max(centre[1] - half, rect[1]), 0.0)

    low, high = max(rect[0], centre[0] - r), min(rect[2], centre[0] + r)
    kinks = [
        centre[0] + sign * math.sqrt(max(r * r - (edge - centre[1]) ** 2, 0.0))
        for edge in (rect[1], rect[3])
        for sign in (-1, 1)
    ]
    marks = sorted({low, high, *(k for k in kinks if low < k < high)})
    expected = 0.0
    if low < high:
        for a, b in pairwise(marks):
            expected += integrate.quad(chord, a, b, epsabs=1e-11, epsrel=1e-11)[0]
    assert circle_rectangle_area(d, centre, rect) == pytest.approx(expected, abs=1e-8)


@given(st.floats(1.0, 20.0), coordinate, coordinate, coordinate, coordinate)
def test_stadium_and_rectangle_lie_between_polygons(
    width: float, x: float, y: float, u: float, v: float
) -> None:
    start, end = (-8.0, 1.0), (u, v)
    rect = (min(x, 0.0), min(y, 2.0), max(x, 5.0), max(y, 12.0))
    got = stadium_rectangle_area(width, start, end, rect)
    window = CrossSection.square((rect[2] - rect[0], rect[3] - rect[1])).translate(rect[:2])
    r, n = width / 2, 512

    def shared(radius: float) -> float:
        disc = CrossSection.circle(radius, n)
        hull = CrossSection.batch_hull([disc.translate(start), disc.translate(end)])
        return float((hull ^ window).area())

    assert shared(r) - 1e-6 <= got <= shared(r / math.cos(math.pi / n)) + 1e-6


@given(st.floats(1.0, 20.0), coordinate, coordinate, coordinate)
def test_a_stadiums_parts_make_the_whole(width: float, u: float, v: float, split: float) -> None:
    whole = (-200.0, -200.0, 200.0, 200.0)
    full = math.pi * width**2 / 4 + width * math.hypot(u, v)

    def area(*rect: float) -> float:
        return stadium_rectangle_area(width, (0.0, 0.0), (u, v), rect)  # type: ignore[arg-type]

    assert area(*whole) == pytest.approx(full, rel=1e-13)
    left = area(-200, -200, split, 200) + area(split, -200, 200, 200)
    assert left == pytest.approx(full, rel=1e-11, abs=1e-9)
    level = area(-200, -200, 200, split) + area(-200, split, 200, 200)
    assert level == pytest.approx(full, rel=1e-11, abs=1e-9)


@given(d=st.floats(1.0, 40.0), part=st.floats(0.0, 1.0))
def test_lens_is_twice_a_circular_segment(d: float, part: float) -> None:
    e = part * d
    segment = circle_rectangle_area(d, (0.0, 0.0), (e / 2, -d, d, d))
    assert lens_area(d, e) == pytest.approx(2 * segment, rel=1e-9, abs=1e-9)
    assert crescent_area(d, e) == pytest.approx(math.pi * d * d / 4 - 2 * segment, abs=1e-8)


def test_holes_wholly_apart_leave_no_opening() -> None:
    assert lens_area(8.0, 9.0) == 0.0
    assert clear_opening(8.0, 9.0) == 0.0
    assert clear_opening(8.0, -1.5) == 6.5


@pytest.mark.parametrize(("d", "e"), [(0.0, 1.0), (-1.0, 0.0), (math.nan, 0.0), (1.0, math.inf)])
def test_a_lens_needs_real_sizes(d: float, e: float) -> None:
    with pytest.raises(GeometryError, match="diameter above 0"):
        lens_area(d, e)


# --- all cutters together


@settings(suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(st.lists(boxes(), max_size=4), st.lists(sweeps(), min_size=1, max_size=3))
def test_any_mixture_lies_between_the_modellers_bounds(
    some: list[Cutter], others: list[Cutter]
) -> None:
    cuts = [raw(c, name=f"c{i}") for i, c in enumerate([*some, *others])]
    try:
        got = net_volume(STOCK, cuts)
    except NoClosedForm:
        assume(False)
        raise
    low, high = modeller.bounds(STOCK, cuts)
    assert low - 1e-3 <= got <= high + 1e-3


@given(st.lists(boxes(), max_size=3), st.lists(sweeps(("z", "-z")), min_size=1, max_size=5))
def test_parallel_sweeps_always_have_a_closed_form(
    some: list[Cutter], others: list[Cutter]
) -> None:
    cuts = [raw(*some, *others)]
    low, high = modeller.bounds(STOCK, cuts)
    assert low - 1e-3 <= net_volume(STOCK, cuts) <= high + 1e-3


@given(st.lists(boxes(), max_size=3), sweeps(("x", "-x")), sweeps(("y",)))
def test_two_sweeps_that_cross_always_have_one(
    some: list[Cutter], one: Cutter, other: Cutter
) -> None:
    cuts = [raw(*some, one, other)]
    low, high = modeller.bounds(STOCK, cuts)
    assert low - 1e-3 <= net_volume(STOCK, cuts) <= high + 1e-3


def bore(face: Face, x: float, y: float, diameter: float, depth: float, **more: bool) -> Bore:
    frame = STOCK.face_frame(face).shifted((x, y, 0.0))
    return Bore(
        joint=f"hole at {x:g}",
        purpose="bore",
        face=face,
        frame=frame,
        diameter=diameter,
        depth=depth,
        **more,
    )


@given(d=st.floats(2.0, 30.0), part=st.floats(0.0, 1.5))
def test_two_parallel_holes_remove_two_circles_less_the_lens(d: float, part: float) -> None:
    e = d * part
    holes = [bore(Face.FACE_SIDE, x, 45.0, d, 40.0) for x in (120.0, 120.0 + e)]
    gone = STOCK.stock_volume - net_volume(STOCK, holes)
    plan = math.pi * d * d / 2 - lens_area(d, e)
    assert gone == pytest.approx(40.0 * plan, rel=1e-9)


def test_counterbore_over_a_through_hole() -> None:
    hole = bore(Face.FACE_SIDE, 100, 40, 10, 70, through=True)
    sink = bore(Face.FACE_SIDE, 100, 40, 26, 12)
    gone = STOCK.stock_volume - net_volume(STOCK, [hole, sink])
    assert gone == pytest.approx(math.pi * (13**2 * 12 + 5**2 * 58), rel=1e-12)


def test_slot_over_a_hole_and_holes_at_its_ends() -> None:
    frame = STOCK.face_frame(Face.FACE_SIDE).shifted((100, 40, 0))
    slot = Slot(
        joint="s",
        purpose="slot",
        face=Face.FACE_SIDE,
        frame=frame,
        centres=20.0,
        width=10.0,
        depth=30.0,
    )
    hole = bore(Face.FACE_SIDE, 100, 40, 8, 70, through=True)
    ends = [bore(Face.FACE_SIDE, x, 40, 10, 30) for x in (90, 110)]
    gone = STOCK.stock_volume - net_volume(STOCK, [slot, hole, *ends])
    plan = math.pi * 25 + 200
    assert gone == pytest.approx(plan * 30 + math.pi * 16 * 40, rel=1e-12)


@given(small=st.floats(2.0, 20.0), more=st.floats(1e-9, 20.0))
def test_unequal_holes_that_cross_share_the_elliptic_volume(small: float, more: float) -> None:
    """Axes meeting at right angles: (8 a / 3) ((a² + b²) E - (a² - b²) K), modulus b / a."""
    big = small + more
    one = bore(Face.FACE_SIDE, 150, 45, big, 70, through=True)
    other = bore(Face.FACE_EDGE, 150, 35, small, 90, through=True)
    gone = STOCK.stock_volume - net_volume(STOCK, [one, other])
    a, b = big / 2, small / 2
    m = (b / a) ** 2
    elliptic = (a * a + b * b) * special.ellipe(m) - (a * a - b * b) * special.ellipk(m)
    apart = math.pi * (a * a * 70 + b * b * 90)
    assert gone == pytest.approx(apart - 8 * a / 3 * elliptic, rel=1e-9)


def mortise(face: Face, x: float, y: float, size: Vec, *, through: bool = False) -> Mortise:
    frame = STOCK.face_frame(face).shifted((x, y, 0.0))
    return Mortise(
        joint="m",
        purpose="mortise",
        face=face,
        frame=frame,
        length=size[0],
        width=size[1],
        depth=size[2],
        through=through,
    )


@given(
    d=st.floats(3.0, 20.0),
    wide=st.floats(20.0, 40.0),
    deep=st.floats(20.0, 90.0),
    offset=st.floats(-5.0, 5.0),
)
def test_a_peg_hole_removes_only_what_the_mortise_left(
    d: float, wide: float, deep: float, offset: float
) -> None:
    pocket = mortise(Face.FACE_EDGE, 150, 35, (60, wide, deep), through=deep == 90)
    hole = bore(Face.FACE_SIDE, 150 + offset, deep / 2, d, 70, through=True)
    gone = STOCK.stock_volume - net_volume(STOCK, [pocket, hole])
    circle = math.pi * d * d / 4
    assume(d / 2 < deep / 2)
    assert gone == pytest.approx(60 * wide * deep + circle * (70 - wide), rel=1e-11)


def test_holes_that_cross_inside_a_mortise_share_nothing_more() -> None:
    pocket = mortise(Face.FACE_EDGE, 150, 35, (60, 30, 60))
    one = bore(Face.FACE_SIDE, 150, 30, 10, 70, through=True)
    other = bore(Face.FACE_EDGE, 150, 35, 10, 90, through=True)
    gone = STOCK.stock_volume - net_volume(STOCK, [pocket, one, other])
    assert gone == pytest.approx(60 * 30 * 60 + math.pi * 25 * (40 + 30), rel=1e-12)


def test_holes_that_cross_half_inside_a_mortise_share_half() -> None:
    # The mortise's bottom is the plane of symmetry of the crossing.
    pocket = mortise(Face.FACE_EDGE, 150, 35, (60, 30, 30))
    one = bore(Face.FACE_SIDE, 150, 30, 10, 70, through=True)
    other = bore(Face.FACE_EDGE, 150, 35, 10, 90, through=True)
    gone = STOCK.stock_volume - net_volume(STOCK, [pocket, one, other])
    # Outside: the half circle over 30, the full one over 40, the other hole's last 60.
    outside = math.pi * 25 * (15 + 40 + 60) - 8 * 125 / 3
    assert gone == pytest.approx(60 * 30 * 30 + outside, rel=1e-12)


@given(st.floats(0.05, 1.5), st.floats(5.0, 30.0), st.floats(5.0, 40.0))
def test_a_mortise_aslant_in_one_plane(tilt: float, length: float, width: float) -> None:
    """Through the thickness at an angle: its mouth is longer by 1 / sin."""
    big = 2000.0
    c, s = math.cos(tilt), math.sin(tilt)
    along = Frame(x=(s, 0, -c), y=(0, 1, 0), z=(c, 0, s))
    long = stick(5000.0, 90.0, 70.0)
    middle = at(along, 2500, 45, 35).shifted((-length / 2, -width / 2, -big))
    cutter = BoxCutter(middle, (length, width, 2 * big))
    assert removed([cutter], long) == pytest.approx(length / s * width * 70, rel=1e-8)


# --- bevelled feet


def foot(member: Member, face: Face, leg: float) -> FootChamfer:
    frame = member.face_frame(face)
    return FootChamfer(joint="foot", purpose="bevel", face=face, frame=frame, leg=leg)


@given(
    face=st.sampled_from([Face.NEAR_END, Face.FAR_END]),
    leg=st.floats(0.5, 12.0),
    width=st.floats(24.0, 120.0),
    thickness=st.floats(24.0, 120.0),
)
def test_foot_bevel_is_the_modellers(
    face: Face, leg: float, width: float, thickness: float
) -> None:
    member = stick(200.0, width, thickness)
    cut = foot(member, face, leg)
    expected = modeller.solid(member, [cut]).volume()
    assert net_volume(member, [cut]) == pytest.approx(expected, rel=1e-12)


def test_a_bolt_may_enter_between_the_bevels() -> None:
    hole = bore(Face.NEAR_END, 45, 35, 10, 60)
    bevels = [foot(STOCK, Face.NEAR_END, 6.0), foot(STOCK, Face.FAR_END, 6.0)]
    gone = STOCK.stock_volume - net_volume(STOCK, [*bevels, hole])
    assert gone == pytest.approx(2 * 36 * (160 - 8) + math.pi * 25 * 60, rel=1e-12)


def test_a_mortise_at_the_end_of_a_bevel_does_not_touch_it() -> None:
    pocket = mortise(Face.FACE_EDGE, 26, 35, (40, 20, 30))
    bevel = foot(STOCK, Face.NEAR_END, 6.0)
    gone = STOCK.stock_volume - net_volume(STOCK, [bevel, pocket])
    assert gone == pytest.approx(36 * 152 + 40 * 20 * 30, rel=1e-12)


# --- what has no closed form


def test_no_closed_form_names_member_and_cuts() -> None:
    holes: list[Cut] = [
        bore(Face.FACE_SIDE, 150, 45, 10, 70, through=True),
        bore(Face.FACE_EDGE, 152, 35, 10, 90, through=True),
        bore(Face.NEAR_END, 45, 35, 10, 300, through=True),
    ]
    with pytest.raises(NoClosedForm, match=r"stick: .* cross, because hole at .* bore"):
        net_volume(STOCK, holes)
    with pytest.raises(NoClosedForm, match="foot bevel"):
        net_volume(STOCK, [foot(STOCK, Face.NEAR_END, 6.0), bore(Face.FACE_EDGE, 5, 35, 8, 20)])
    with pytest.raises(NoClosedForm, match="legs that meet"):
        net_volume(STOCK, [foot(STOCK, Face.NEAR_END, 36.0)])
    with pytest.raises(NoClosedForm, match="leaves the stock"):
        net_volume(stick(300, 80, 70), [raw(*foot(STOCK, Face.NEAR_END, 6).cutters(STOCK))])


def test_no_closed_form_for_an_edge_rounded_aslant() -> None:
    c, s = math.cos(0.3), math.sin(0.3)
    tilt = Frame(x=(c, 0, -s), z=(s, 0, c)).place(Frame(y=(0, c, s), z=(0, -s, c)))
    with pytest.raises(NoClosedForm, match="raw cut, which lies aslant"):
        net_volume(STOCK, [raw(FilletCutter(at(tilt, 150, 45, 20), 8, 30))])


def test_three_holes_that_cross_in_a_mortise_have_one() -> None:
    pocket = mortise(Face.FACE_EDGE, 150, 35, (60, 30, 60))
    holes = [
        bore(Face.FACE_SIDE, 150, 30, 10, 70, through=True),
        bore(Face.FACE_EDGE, 150, 35, 10, 90, through=True),
        bore(Face.NEAR_END, 30, 35, 10, 300, through=True),
    ]
    gone = STOCK.stock_volume - net_volume(STOCK, [pocket, *holes])
    assert gone == pytest.approx(60 * 30 * 60 + math.pi * 25 * (40 + 30 + 240), rel=1e-12)


def test_a_profile_must_be_convex() -> None:
    dent = ((0.0, 0.0), (40.0, 0.0), (10.0, 10.0), (0.0, 40.0))
    with pytest.raises(GeometryError, match="convex"):
        net_volume(STOCK, [raw(PrismCutter(at(Frame(), 50, 20, 10), dent, 20.0))])


def test_pegs_have_their_stock_volume_and_no_cuts() -> None:
    peg = Member(
        name="peg",
        role="peg",
        length=100.0,
        width=10.0,
        thickness=10.0,
        species=STOCK.species,
        round_section=True,
        tip_length=20.0,
        tip_diameter=6.0,
    )
    cone = math.pi * 20 / 3 * (25 + 15 + 9)
    assert net_volume(peg, []) == pytest.approx(math.pi * 25 * 80 + cone, rel=1e-14)
    with pytest.raises(NoClosedForm, match=r"peg: .* round peg"):
        net_volume(peg, [raw()])
