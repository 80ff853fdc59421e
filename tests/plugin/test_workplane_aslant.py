"""Angled tenons and bevelled ends on a workplane: the joint's own solids, and closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import cadquery as cq
import pytest

from tests.plugin.test_workplane_as_generated import on_plane, stock_in_place
from treenail import workplane as w
from treenail.compose import piece
from treenail.generators.solids import member_solid
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.cuts import Cut
from treenail.joints.mortise_tenon import Shoulders
from treenail.joints.skew import BevelledEnd, SkewLetIn
from treenail.joints.tenon_variants.make import angled_tenon
from treenail.joints.treenails import Treenails
from treenail.joints.volumes import net_volume
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import Frame, Vec, along, cross, dot, neg, scale, sub, unit
from treenail.timber.member import Face, Member
from treenail.timber.species import get_species

OAK = get_species("red_oak")
SLAB = piece("slab", 500, 300, 60, at=(-250, -150, 0), grain="right", face="down")
DOWN: Vec = (0.0, 0.0, -1.0)
EVEN = Shoulders(face_edge=12.0, back_edge=12.0, face_side=9.0, back_side=9.0)
UNEVEN = Shoulders(face_edge=20.0, back_edge=4.0, face_side=0.0, back_side=18.0)


def leg(axis: Vec, wide: Vec, length: float, shoulders: Shoulders) -> Member:
    """60 x 48 mm, its tenon's axis going down out of the slab's underside at the origin."""
    axis = unit(axis)
    wide = unit(sub(wide, scale(axis, dot(wide, axis))))
    thick = cross(axis, wide)
    s = shoulders
    at = along((0.0, 0.0, 0.0), axis, -length)
    at = along(at, wide, -(s.face_edge + 60.0 - s.back_edge) / 2.0)
    at = along(at, thick, -(s.face_side + 48.0 - s.back_side) / 2.0)
    return Member(
        name="leg",
        role="leg",
        length=400.0,
        width=60.0,
        thickness=48.0,
        species=OAK,
        placement=Frame(at, axis, wide, thick),
    )


def leans(m: Member) -> tuple[Vec, float, float]:
    """x on the slab's underside, to which the leg's thickness is square, and both leans."""
    f = m.placement
    x = unit(cross(f.z, DOWN))
    x = x if dot(x, f.y) > 0.0 else neg(x)
    y = cross(DOWN, x)
    run = dot(f.x, DOWN)
    lean_x, lean_y = (math.degrees(math.atan(dot(f.x, side) / run)) for side in (x, y))
    return x, lean_x, lean_y


def stock(m: Member) -> Any:
    """The uncut member as a box that leans."""
    box: Any = cq.Workplane().box(m.length, m.width, m.thickness, centered=False).val()
    return cq.Workplane(obj=box.moved(placed(m)))


def placed(m: Member) -> cq.Location:
    f = m.placement
    return cq.Location(cq.Plane(f.origin, f.x, f.z))


def stands_for(made: Any, member: Member, cuts: tuple[Cut, ...]) -> None:
    """The same solid as the joint's, and its closed-form volume."""
    solid = member_solid(member, cuts).moved(placed(member))
    taken = member.stock_volume * 1e-9
    assert made.val().Volume() == pytest.approx(net_volume(member, cuts), rel=1e-9)
    assert made.val().cut(solid).Volume() == pytest.approx(0.0, abs=taken)
    assert solid.cut(made.val()).Volume() == pytest.approx(0.0, abs=taken)


def both(made: AngledTenon, length: float, **options: Any) -> tuple[Any, Any]:
    """Slab and leg, cut on their own workplanes with the same sizes."""
    member = made.entering
    x, lean_x, lean_y = leans(member)
    sizes = (length, made.width, made.thickness)
    mouth = on_plane(stock_in_place(SLAB), cq.Plane((0, 0, 0), x, DOWN))
    slab = mouth.angledTenon(*sizes, part="receiver", leanX=lean_x, leanY=lean_y, **options)
    f = member.placement
    tip = cq.Plane(along((0.0, 0.0, 0.0), f.x, -length), f.y, neg(f.x))
    # y runs the other way round there.
    ends = on_plane(stock(member), tip).invoke(
        w.angledTenon(*sizes, part="entering", leanX=lean_x, leanY=-lean_y, **options)
    )
    return slab, ends


AXES: dict[str, tuple[Vec, Vec]] = {
    "upright": ((0.0, 0.0, -1.0), (1.0, 0.0, 0.0)),
    "along its width": ((0.25, 0.0, -1.0), (1.0, 0.0, 0.0)),
    "along its thickness": ((0.0, -0.3, -1.0), (1.0, 0.0, 0.0)),
    "both ways": ((-0.3, 0.2, -1.0), (1.0, 0.0, 0.0)),
    "turned": ((0.35, 0.4, -1.0), (0.5, -0.8, 0.3)),
}


@pytest.mark.parametrize("shoulders", [EVEN, UNEVEN], ids=["even", "uneven"])
@pytest.mark.parametrize("case", AXES)
def test_a_blind_tenon_is_that_of_the_joint(case: str, shoulders: Shoulders) -> None:
    axis, wide = AXES[case]
    member = leg(axis, wide, 35.0, shoulders)
    made = angled_tenon(
        SLAB, member, shoulders=shoulders, end=Face.NEAR_END, through=False, fit="easy"
    )
    if shoulders is EVEN:
        slab, end = both(made, 35.0, fit="easy")
        stands_for(end, member, made.cuts()["leg"])
        cheek, edge, bottom = made.fit.cheek.mid, made.fit.edge.mid, made.fit.bottom.mid
        hole = (36.0 + edge) * (30.0 + cheek) * (35.0 + bottom)  # the mouth's middle is its mean
        assert slab.val().Volume() == pytest.approx(500 * 300 * 60 - hole, rel=1e-9)
        left = 60 * 48 * 400 - (60 * 48 - 36 * 30) * 35
        assert end.val().Volume() == pytest.approx(left, rel=1e-9)
    else:
        slab, end = both(made, 35.0, fit="easy")
        stands_for(end, member, made.cuts()["leg"])
    stands_for(slab, SLAB, made.cuts()["slab"])


@pytest.mark.parametrize("wedges", [0, 1, 2])
@pytest.mark.parametrize("case", ["along its width", "turned"])
def test_a_through_tenon_is_that_of_the_joint(case: str, wedges: int) -> None:
    axis, wide = AXES[case]
    member = leg(axis, wide, 100.0, EVEN)
    made = angled_tenon(SLAB, member, shoulders=EVEN, end=Face.NEAR_END, wedges=wedges)
    options = {"through": True, "receiver": 60, "wedges": wedges}
    slab, end = both(made, 100.0, **options)
    stands_for(slab, SLAB, made.cuts()["slab"])
    stands_for(end, member, made.cuts()["leg"])
    if not wedges:
        over = math.hypot(1.0, *(c / unit(axis)[2] for c in unit(axis)[:2]))
        hole = (36.0 + made.fit.edge.mid) * (30.0 + made.fit.cheek.mid) * 60.0 * over
        assert slab.val().Volume() == pytest.approx(500 * 300 * 60 - hole, rel=1e-9)


def test_the_tenon_fits_its_mortise_and_lies_on_the_face() -> None:
    """The parts themselves: no wood shared, the shoulders in the face."""
    axis, wide = AXES["turned"]
    made = angled_tenon(
        SLAB, leg(axis, wide, 35.0, EVEN), shoulders=EVEN, end=Face.NEAR_END, through=False
    )
    slab, end = both(made, 35.0)
    assert slab.val().intersect(end.val()).Volume() == pytest.approx(0.0, abs=1e-6)
    assert slab.val().distance(end.val()) == pytest.approx(0.0, abs=1e-6)
    down = [f for f in end.faces().vals() if abs(f.Center().z) < 1e-6]
    cosine = -unit(axis)[2]
    area = (60 * 48 - 36 * 30) / cosine
    assert sum(f.Area() for f in down) == pytest.approx(area, rel=1e-9)


# -- bevels ----------------------------------------------------------------------------------------

BAR = piece("bar", 400, 90, 60, at=(0, -45, -30), grain="right", face="up")


def bar_end(dx: float = 0.0, dy: float = 0.0) -> Any:
    """On the bar's far end, x along y."""
    return on_plane(
        cq.Workplane().box(400, 90, 60).translate((200, 0, 0)),
        cq.Plane((400.0, dx, dy), (0, 1, 0), (1, 0, 0)),
    )


@pytest.mark.parametrize(
    "x, y", [(-35.0, 0.0), (20.0, 0.0), (0.0, -12.0), (0.0, 30.0), (-35.0, 30.0), (20.0, -12.0)]
)
@pytest.mark.parametrize("marked", [False, True])
def test_a_bevel_is_that_of_the_joint(x: float, y: float, marked: bool) -> None:
    made = bar_end().bevelledEnd(x, y, marked=marked)
    tx, ty = (math.tan(math.radians(a)) for a in (x, y))
    if marked:
        down = unit((1.0, tx, ty))
    else:
        # The plane's normal in the bar: a line along x in the plane is square to the thickness.
        n, m = math.sqrt(1.0 + tx * tx + ty * ty), math.sqrt(1.0 + ty * ty)
        down = (1.0 / n, tx / n / m, ty / m)
    sx, sy = down[1] / down[0], down[2] / down[0]
    deep = abs(sx) * 45.0 + abs(sy) * 30.0
    joint = BevelledEnd(
        name="bevel",
        member=BAR,
        end=Face.FAR_END,
        point=(400.0 - deep, 0.0, 0.0),
        outward=unit(down),
    )
    stands_for(made, BAR, joint.cuts()["bar"])
    assert made.val().Volume() == pytest.approx(90 * 60 * (400 - deep), rel=1e-9)
    assert made.val().BoundingBox().xmax == pytest.approx(400.0, abs=1e-6)


def test_a_bevel_at_a_depth_and_a_square_cut() -> None:
    mitred = bar_end(5.0, -3.0).bevelledEnd(45, 0, 60)
    # Over the middle of the bar it lies 5 mm less deep than at the point.
    assert mitred.val().Volume() == pytest.approx(90 * 60 * (400 - 55), rel=1e-9)
    square = bar_end().bevelledEnd(depth="1 in")
    assert square.val().Volume() == pytest.approx(90 * 60 * (400 - 25.4), rel=1e-9)


def test_a_leg_stands_level() -> None:
    """Its foot lies in a plane parallel to its shoulders', with the leans that its doc names."""
    axis, wide = AXES["turned"]
    made = angled_tenon(
        SLAB, leg(axis, wide, 35.0, EVEN), shoulders=EVEN, end=Face.NEAR_END, through=False
    )
    _, lean_x, lean_y = leans(made.entering)
    _, end = both(made, 35.0)
    f = made.entering.placement
    foot = cq.Plane(along((0.0, 0.0, 0.0), f.x, 365.0), f.y, f.x)
    # both() had -lean_y on the upper end.
    standing = on_plane(end, foot).bevelledEnd(-lean_x, -lean_y)
    lowest = min(standing.faces().vals(), key=lambda face: face.Center().z)
    assert lowest.normalAt().toTuple() == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
    assert lowest.Area() == pytest.approx(60 * 48 / -unit(axis)[2], rel=1e-9)


@pytest.mark.parametrize("angle", [-45.0, -17.0, 0.0, 30.0])
def test_a_skew_notch_is_that_of_the_joint(angle: float) -> None:
    turn = math.radians(angle)
    along_it, aside = (math.sin(turn), math.cos(turn), 0.0), (math.cos(turn), -math.sin(turn), 0.0)
    corner = along(along((180.0, 10.0, 14.0), along_it, -200.0), aside, -25.0)
    rail = Member(
        name="rail",
        role="rail",
        length=400.0,
        width=50.0,
        thickness=40.0,
        species=OAK,
        placement=Frame(corner, along_it, aside, cross(along_it, aside)),
    )
    if rail.placement.z[2] < 0.0:  # its face side lies up: 40 mm down from there
        rail = replace(rail, placement=replace(rail.placement, origin=(*corner[:2], 54.0)))
    joint = SkewLetIn(name="skew", receiver=BAR, entering=rail)
    plane = cq.Plane((180.0, 10.0, 30.0), (1, 0, 0), (0, 0, 1))
    made: Any = on_plane(stock_in_place(BAR), plane).invoke(w.skewNotch(50, 16, angle))
    stands_for(made, BAR, joint.cuts()["bar"])
    hole = (50.0 + joint.fit.cheek.mid) * 90.0 / math.cos(turn) * 16.0
    assert made.val().Volume() == pytest.approx(90 * 60 * 400 - hole, rel=1e-9)


def test_a_treenail_is_a_peg_hole_in_each_piece() -> None:
    front = piece("front", 300, 90, 30, at=(20, -45, 30), grain="right", face="up")
    joint = Treenails(
        name="pins",
        receiver=BAR,
        entering=front,
        direction=DOWN,
        points=((100.0, 20.0, 0.0), (200.0, -20.0, 0.0)),
        diameter=12.0,
        species=OAK,
        hold=40.0,
    )
    spots = [(100.0, 20.0), (200.0, -20.0)]
    for member, top, depth in ((BAR, 30.0, 40.0), (front, 60.0, None)):
        plane = cq.Plane((0.0, 0.0, top), (1, 0, 0), (0, 0, 1))
        made = on_plane(stock_in_place(member), plane).pushPoints(spots).pegHole(12, depth)
        stands_for(made, member, joint.cuts()[member.name])


# -- refusals --------------------------------------------------------------------------------------

AT_ONCE: dict[str, tuple[str, Callable[[], object]]] = {
    "steep": ("angledTenon.leanX", lambda: w.angledTenon(40, 40, 30, part="receiver", leanX=46)),
    "text": ("angledTenon.leanY", lambda: w.angledTenon(40, part="entering", leanY="5")),  # type: ignore[arg-type]
    "not a number": (
        "angledTenon.leanY",
        lambda: w.angledTenon(40, part="entering", leanY=math.nan),
    ),
    "steep in all": (
        "angledTenon",
        lambda: w.angledTenon(40, 40, 30, part="receiver", leanX=40, leanY=40),
    ),
    "wedged blind": (
        "angledTenon.wedges",
        lambda: w.angledTenon(40, 40, 30, part="receiver", leanX=5, wedges=1),
    ),
    "no receiver": (
        "angledTenon.receiver",
        lambda: w.angledTenon(70, part="entering", leanX=5, through=True),
    ),
    "no thickness": ("angledTenon.thickness", lambda: w.angledTenon(40, 40, part="receiver")),
    "no bevel": ("bevelledEnd", w.bevelledEnd),
    "steep bevel": ("bevelledEnd.leanX", lambda: w.bevelledEnd(61, marked=True)),
    "steep compound": ("bevelledEnd", lambda: w.bevelledEnd(55, 55, marked=True)),
    "skew": ("skewNotch.angle", lambda: w.skewNotch(50, 16, 50)),
    "no depth": ("bevelledEnd.depth", lambda: w.bevelledEnd(5, depth=0)),
}


@pytest.mark.parametrize("case", AT_ONCE)
def test_refused_at_once(case: str) -> None:
    field, make = AT_ONCE[case]
    with pytest.raises(SpecError) as caught:
        make()
    assert caught.value.field == field
    assert caught.value.allowed


def face() -> Any:
    return on_plane(stock_in_place(SLAB), cq.Plane((0, 0, 0), (1, 0, 0), DOWN))


def stepped() -> Any:
    """An end of 60 x 60 mm that is 90 mm wide 20 mm farther on."""
    return bar_end().tenon(20, shoulders=(15, 15, 0, 0)).faces(">X").workplane()


CUT: dict[str, tuple[str, Callable[[], Any]]] = {
    "floor comes through": (
        "comes through a receiver 60 mm",
        lambda: face().angledTenon(58, 40, 30, part="receiver", leanX=20),
    ),
    "deep notch": (
        "not less than the 60 mm",
        lambda: face().skewNotch(50, 60, 10),
    ),
    "too short": (
        "too short to come out",
        lambda: face().angledTenon(62, 40, 30, part="receiver", leanX=20, through=True),
    ),
    "other thickness": (
        "60 mm thick behind the workplane, not 50",
        lambda: face().angledTenon(80, 40, 30, part="receiver", through=True, receiver=50),
    ),
    "wide": ("does not lie within", lambda: bar_end().angledTenon(40, 95, part="entering")),
    "longer than the bar": (
        "leave nothing of a piece 400 mm",
        lambda: bar_end().angledTenon(390, 40, 30, part="entering", leanX=30),
    ),
    "plane misses a corner": ("too short for the bevel", lambda: bar_end().bevelledEnd(30, 0, 5)),
    "nothing left": ("leaves nothing", lambda: bar_end().bevelledEnd(30, 0, 390)),
    "a step": ("is not 60 x 60 mm throughout", lambda: stepped().bevelledEnd(30)),
    "behind": (
        "goes on in front",
        lambda: on_plane(bar_end(), cq.Plane((370, 0, 0), (0, 1, 0), (1, 0, 0))).bevelledEnd(10),
    ),
}


@pytest.mark.parametrize("case", CUT)
def test_refused_when_it_is_cut(case: str) -> None:
    message, build = CUT[case]
    with pytest.raises(GeometryError, match=message):
        build()
