"""Joints on a workplane: volumes in closed form over ranges of sizes, faces and points."""

from __future__ import annotations

import copy
import inspect
import math
import pickle
from collections.abc import Callable
from typing import Any

import cadquery as cq
import pytest
from cadquery.occ_impl.shapes import check as kernel_check
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import a_few
from treenail import workplane
from treenail.joints.fits import FITS, get_fit
from treenail.registration import register
from treenail.workplane import METHODS, drawbore, mortise, pegHole, tenon

register()

INCH = 25.4
LONG, WIDE, THICK = 400.0, 90.0, 60.0
STOCK = LONG * WIDE * THICK

Joinery = Callable[[cq.Workplane], cq.Workplane]


def stock(length: float = LONG, width: float = WIDE, thickness: float = THICK) -> Any:
    """A piece along x, centred; Any, because type checkers don't know the methods."""
    return cq.Workplane().box(length, width, thickness)


def volume(result: Any) -> float:
    """Volume of the one shape on the stack, which must be sound."""
    shape = result.val()
    assert len(result.vals()) == 1
    assert kernel_check(shape)
    return float(shape.Volume())


def same(ours: cq.Shape, theirs: cq.Shape) -> None:
    """Same volume and empty symmetric difference."""
    assert ours.Volume() == pytest.approx(theirs.Volume(), rel=1e-9)
    assert ours.cut(theirs).Volume() == pytest.approx(0.0, abs=1e-6)
    assert theirs.cut(ours).Volume() == pytest.approx(0.0, abs=1e-6)


def sizes(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths in mm, to the hundredth."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


# -- mortises and holes --------------------------------------------------------------------------

# Face selector: (extent along the workplane's x, along its y, through the piece).
FACES = {
    ">X": (WIDE, THICK, LONG),
    "<X": (WIDE, THICK, LONG),
    ">Y": (LONG, THICK, WIDE),
    "<Y": (LONG, THICK, WIDE),
    ">Z": (LONG, WIDE, THICK),
    "<Z": (LONG, WIDE, THICK),
}


@pytest.mark.parametrize("face", FACES)
@a_few(6)
@given(length=sizes(1, 50), width=sizes(1, 50), depth=st.none() | sizes(0.5, 50))
def test_a_mortise_takes_its_own_volume(
    face: str, length: float, width: float, depth: float | None
) -> None:
    cut = stock().faces(face).workplane(centerOption="CenterOfMass").mortise(length, width, depth)
    taken = length * width * (FACES[face][2] if depth is None else depth)
    assert volume(cut) == pytest.approx(STOCK - taken, rel=1e-9)


@pytest.mark.parametrize("face", FACES)
def test_a_mortise_lies_along_the_workplanes_axes(face: str) -> None:
    placed = stock().faces(face).workplane(centerOption="CenterOfMass")
    tool = placed.mortise(40, 20, 10, combine=False)
    local = tool.val().moved(placed.plane.location.inverse).BoundingBox()
    assert (local.xmin, local.xmax) == pytest.approx((-20, 20), abs=1e-6)
    assert (local.ymin, local.ymax) == pytest.approx((-10, 10), abs=1e-6)
    assert (local.zmin, local.zmax) == pytest.approx((-10, 0), abs=1e-6)


@a_few(10)
@given(
    diameter=sizes(1, 30),
    depth=st.none() | sizes(0.5, 50),
    spots=st.lists(st.integers(-4, 4), min_size=1, max_size=5, unique=True),
)
def test_a_peg_hole_stands_at_each_point(
    diameter: float, depth: float | None, spots: list[int]
) -> None:
    points = [(40.0 * n, 5.0 * n) for n in spots]
    cut = stock().faces(">Z").workplane().pushPoints(points).pegHole(diameter, depth)
    hole = math.pi * diameter**2 / 4 * (THICK if depth is None else depth)
    assert volume(cut) == pytest.approx(STOCK - len(points) * hole, rel=1e-9)


def test_a_peg_hole_is_where_cadquery_would_bore_it() -> None:
    placed = stock().faces("<Y").workplane().rarray(60, 20, 4, 2)
    same(placed.pegHole(9.5, 30).val(), placed.hole(9.5, 30).val())


def test_mortises_that_overlap_are_counted_once() -> None:
    # One compound of overlapping tools would take the overlap twice.
    cut = stock().faces(">Z").workplane().pushPoints([(0, 0), (20, 0)]).mortise(40, 10, 15)
    assert volume(cut) == pytest.approx(STOCK - 60 * 10 * 15)


def test_a_through_mortise_starts_at_an_offset_workplane() -> None:
    cut = stock().faces(">Z").workplane(offset=-20).mortise(40, 10)
    assert volume(cut) == pytest.approx(STOCK - 40 * 10 * (THICK - 20))
    far = stock().faces(">Z").workplane(offset=5000).mortise(40, 10)
    assert volume(far) == pytest.approx(STOCK - 40 * 10 * THICK)


@pytest.mark.parametrize("name", FITS)
@a_few(6)
@given(length=sizes(5, 50), width=sizes(5, 30), depth=st.none() | sizes(5, 40))
def test_a_fit_opens_the_mortise_by_its_mid_limits(
    name: str, length: float, width: float, depth: float | None
) -> None:
    fit = get_fit(name)
    deep = THICK if depth is None else depth + fit.bottom.mid
    taken = (length + fit.edge.mid) * (width + fit.cheek.mid) * deep
    for given_fit in (name, fit):
        cut = stock().faces(">Z").workplane().mortise(length, width, depth, fit=given_fit)
        assert volume(cut) == pytest.approx(STOCK - taken, rel=1e-9)


def test_lengths_may_bring_their_unit() -> None:
    placed = stock().faces(">Z").workplane()
    cut = placed.mortise('1 9/16"', "1.5 cm", "3/4 in")
    assert volume(cut) == pytest.approx(STOCK - 1.5625 * INCH * 15 * 0.75 * INCH)


def test_a_face_on_the_stack_is_the_workplane() -> None:
    direct = stock().faces("<X").mortise(40, 20, 10)
    placed = stock().faces("<X").workplane().mortise(40, 20, 10)
    same(direct.val(), placed.val())
    assert volume(direct) == pytest.approx(STOCK - 40 * 20 * 10)


def test_a_workplane_in_the_face_keeps_its_direction() -> None:
    turned = stock().faces(">Z").workplane().transformed(rotate=(0, 0, 90))
    tool = turned.add(stock().faces(">Z")).mortise(40, 20, 10, combine=False)
    assert tool.val().BoundingBox().ylen == pytest.approx(40, abs=1e-6)


def test_several_faces_of_one_plane_are_several_points() -> None:
    legs: Any = cq.Workplane().rarray(300, 200, 2, 2).rect(60, 60).extrude(500)
    cut = legs.faces(">Z").pegHole(10, 30)
    assert len(cut.val().Solids()) == 4
    assert volume(cut) == pytest.approx(4 * (60 * 60 * 500 - math.pi * 25 * 30))


def test_points_in_a_polar_array_turn_the_mortise() -> None:
    disc: Any = cq.Workplane().circle(100).extrude(20).faces(">Z").workplane()
    cut = disc.polarArray(60, 0, 360, 8).mortise(30, 10, 15)
    whole = math.pi * 100**2 * 20
    assert volume(cut) == pytest.approx(whole - 8 * 30 * 10 * 15, rel=1e-9)


def test_tools_can_be_had_by_themselves() -> None:
    placed = stock().faces(">Z").workplane().pushPoints([(-50, 0), (50, 0)])
    tools = placed.mortise(40, 20, 10, combine=False)
    assert [s.Volume() for s in tools.vals()] == pytest.approx([8000, 8000])
    bare: Any = cq.Workplane()
    assert bare.mortise(40, 20, 10, combine=False).val().Volume() == pytest.approx(8000)
    assert bare.pegHole(10, 7, combine=False).val().Volume() == pytest.approx(math.pi * 25 * 7)


@pytest.mark.parametrize("combine", [True, "cut", "s"])
def test_cadquerys_words_for_cutting_all_cut(combine: Any) -> None:
    assert volume(stock().faces(">Z").mortise(40, 20, 10, combine=combine)) < STOCK


def test_clean_merges_what_a_cut_leaves() -> None:
    split = stock(200).union(stock(200).translate((200, 0, 0)), clean=False)
    placed = split.faces(">Z").workplane(centerOption="CenterOfMass")
    assert len(placed.pegHole(10, 5, clean=False).faces(">Z").vals()) == 2
    assert len(placed.pegHole(10, 5).faces(">Z").vals()) == 1


def test_the_chain_goes_on() -> None:
    cut = stock().tag("stock").faces(">Z").workplane().mortise(40, 20, 10)
    assert cut.faces("<Z").workplane().mortise(40, 20, 10).val().Volume() < cut.val().Volume()
    assert volume(cut.end(3)) == pytest.approx(STOCK)


# -- tenons --------------------------------------------------------------------------------------

ENDS = ["<X", ">X"]


@pytest.mark.parametrize("end", ENDS)
@a_few(6)
@given(length=sizes(1, 150), width=st.none() | sizes(2, 85), thickness=st.none() | sizes(2, 55))
def test_a_tenon_stands_on_the_end(
    end: str, length: float, width: float | None, thickness: float | None
) -> None:
    if width is None and thickness is None:
        width = 40.0
    cut = stock().faces(end).workplane().tenon(length, width=width, thickness=thickness)
    section = (WIDE if width is None else width) * (THICK if thickness is None else thickness)
    assert volume(cut) == pytest.approx(WIDE * THICK * (LONG - length) + section * length, rel=1e-9)
    box = cut.val().BoundingBox()
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx((LONG, WIDE, THICK), abs=1e-6)


@pytest.mark.parametrize("end", ENDS)
@a_few(6)
@given(
    length=sizes(5, 150),
    sides=st.tuples(sizes(0, 40), sizes(0, 40), sizes(0, 25), sizes(0, 25)).filter(any),
)
def test_shoulders_are_measured_from_the_sides(
    end: str, length: float, sides: tuple[float, float, float, float]
) -> None:
    placed = stock().faces(end).workplane()
    cut = placed.tenon(length, shoulders=sides)
    section = (WIDE - sides[0] - sides[1]) * (THICK - sides[2] - sides[3])
    assert volume(cut) == pytest.approx(WIDE * THICK * (LONG - length) + section * length, rel=1e-9)
    tip = cut.faces(end).val().moved(placed.plane.location.inverse).BoundingBox()
    assert (tip.xmin, tip.xmax) == pytest.approx(
        (-WIDE / 2 + sides[0], WIDE / 2 - sides[1]), abs=1e-6
    )
    assert (tip.ymin, tip.ymax) == pytest.approx(
        (-THICK / 2 + sides[2], THICK / 2 - sides[3]), abs=1e-6
    )


@pytest.mark.parametrize(
    "given_shoulders, four",
    [(10, (10, 10, 10, 10)), ("1 cm", (10, 10, 10, 10)), ((5, "1 cm"), (5, 5, 10, 10))],
)
def test_shoulders_alike_are_given_once(given_shoulders: Any, four: Any) -> None:
    assert tenon(50, shoulders=given_shoulders) == tenon(50, shoulders=four)


@pytest.mark.parametrize("side", ["+x", "-x"])
@a_few(6)
@given(
    shoulder=sizes(1, 40), out=sizes(0.5, 49), part=st.none() | st.sampled_from([0.25, 0.5, 1.0])
)
def test_a_haunch_stands_in_its_shoulder(
    side: Any, shoulder: float, out: float, part: float | None
) -> None:
    wide = None if part is None else shoulder * part
    placed = stock().faces(">X").workplane()
    cut = placed.tenon(
        50,
        shoulders=(shoulder, shoulder, 20, 20),
        haunch=out,
        haunchWidth=wide,
        haunchSide=side,
    )
    tenons = (WIDE - 2 * shoulder) * 20 * 50 + (shoulder if wide is None else wide) * 20 * out
    assert volume(cut) == pytest.approx(WIDE * THICK * (LONG - 50) + tenons, rel=1e-9)
    y = cut.val().Center().y  # the workplane's +x is +y here
    assert y > 0 if side == "+x" else y < 0


def test_twin_tenons_share_one_end() -> None:
    cut = stock().faces(">X").workplane().rarray(1, 30, 1, 2).tenon(50, width=60, thickness=10)
    assert volume(cut) == pytest.approx(WIDE * THICK * (LONG - 50) + 2 * 60 * 10 * 50)
    assert len(cut.faces(">X").vals()) == 2


def test_all_four_legs_get_their_tenon() -> None:
    legs: Any = cq.Workplane().rarray(300, 200, 2, 2).rect(60, 60).extrude(500)
    cut = legs.faces(">Z").tenon(40, shoulders=15)
    assert volume(cut) == pytest.approx(4 * (60 * 60 * 460 + 30 * 30 * 40))


def test_the_rest_of_a_frame_is_left_alone() -> None:
    frame: Any = (
        cq.Workplane()
        .box(400, 60, 60)
        .union(cq.Workplane().pushPoints([(-170, 0), (170, 0)]).box(60, 60, 500))
    )
    before = frame.val().Volume()
    cut = frame.faces(">Z").faces(">X").tenon(50, width=30, thickness=20)
    assert volume(cut) == pytest.approx(before - (60 * 60 - 30 * 20) * 50)
    assert cut.val().BoundingBox().zlen == pytest.approx(500, abs=1e-6)


def test_a_round_piece_gets_a_square_tenon() -> None:
    rod: Any = cq.Workplane().circle(30).extrude(300)
    cut = rod.faces(">Z").tenon(40, width=30, thickness=20)
    assert volume(cut) == pytest.approx(math.pi * 900 * 260 + 30 * 20 * 40, rel=1e-9)


def test_a_chamfered_end_has_the_whole_section() -> None:
    cut = stock().faces(">X").chamfer(3).faces(">X").tenon(50, shoulders=(20, 20, 15, 15))
    assert volume(cut) == pytest.approx(WIDE * THICK * (LONG - 50) + 50 * 30 * 50, rel=1e-9)


@given(angle=st.sampled_from([10.0, 33.0, 45.0, 90.0, 200.0]), tilt=st.sampled_from([0.0, 12.0]))
def test_a_piece_that_stands_askew_is_cut_alike(angle: float, tilt: float) -> None:
    askew = stock().rotate((0, 0, 0), (0, 0, 1), angle).rotate((0, 0, 0), (0, 1, 0), tilt)
    end = cq.Workplane(cq.Plane((0, 0, 0))).add(askew.val())
    turn = cq.Location(cq.Vector(), cq.Vector(0, 1, 0), tilt) * cq.Location(
        cq.Vector(), cq.Vector(0, 0, 1), angle
    )
    mid = turn * cq.Location(cq.Plane((LONG / 2, 0, 0), (0, 1, 0), (1, 0, 0)))
    placed: Any = end.copyWorkplane(cq.Workplane(cq.Plane(mid))).newObject([cq.Location()])
    cut = placed.tenon(50, shoulders=(20, 10, 8, 16), haunch=10)
    wanted = WIDE * THICK * (LONG - 50) + (60 * 36 * 50 + 10 * 36 * 10)
    assert volume(cut) == pytest.approx(wanted, rel=1e-9)


def test_the_waste_can_be_had_by_itself() -> None:
    waste = stock().faces(">X").tenon(50, width=40, thickness=20, combine=False)
    assert sum(s.Volume() for s in waste.vals()) == pytest.approx((WIDE * THICK - 40 * 20) * 50)


# -- drawbored pegs ------------------------------------------------------------------------------

HOMES = {"+x": (1, 0), "-x": (-1, 0), "+y": (0, 1), "-y": (0, -1)}


@pytest.mark.parametrize("home", HOMES)
@a_few(6)
@given(offset=sizes(0, 2), setback=sizes(9, 30))
def test_holes_of_the_two_parts_lie_the_offset_apart(
    home: Any, offset: float, setback: float
) -> None:
    placed = stock().faces(">Z").workplane().pushPoints([(-50, 5), (60, -5)])
    for part, away in (("receiver", setback), ("tenon", setback - offset)):
        tools = placed.drawbore(9.5, offset, setback, 40, part=part, home=home, combine=False)
        for tool, (x, y) in zip(tools.vals(), [(-50, 5), (60, -5)], strict=True):
            centre = tool.Center().toTuple()
            dx, dy = HOMES[home]
            assert centre == pytest.approx((x + dx * away, y + dy * away, THICK / 2 - 20), abs=1e-9)
            assert tool.Volume() == pytest.approx(math.pi * 9.5**2 / 4 * 40)


def test_drawbore_goes_through_without_a_depth() -> None:
    cut = stock().faces(">Z").workplane().drawbore(9.5, 1.6, 19, part="receiver")
    assert volume(cut) == pytest.approx(STOCK - math.pi * 9.5**2 / 4 * THICK, rel=1e-9)


# -- methods and factories -----------------------------------------------------------------------

CALLS: list[tuple[str, Callable[..., Joinery], tuple[Any, ...], dict[str, Any]]] = [
    ("mortise", mortise, (40, "1/2 in"), {}),
    (
        "mortise",
        mortise,
        (40, 12, 30),
        {"fit": "easy", "haunch": 8, "haunchWidth": 10, "haunchSide": "-x"},
    ),
    ("tenon", tenon, (50,), {"width": 40, "thickness": 20}),
    ("tenon", tenon, (50,), {"shoulders": (20, 10, 8, 16), "haunch": 10, "clean": False}),
    ("pegHole", pegHole, (9.5,), {}),
    ("drawbore", drawbore, (9.5, 1.6, 19, 30), {"part": "tenon", "home": "-y"}),
]


@pytest.mark.parametrize("name, factory, args, options", CALLS)
def test_invoke_does_what_the_method_does(
    name: str, factory: Callable[..., Joinery], args: tuple[Any, ...], options: dict[str, Any]
) -> None:
    placed = stock().faces(">X").workplane()
    method = getattr(placed, name)(*args, **options)
    make: Any = factory(*args, **options)
    invoked = placed.invoke(make)
    same(method.val(), invoked.val())
    same(method.val(), make(placed).val())
    assert type(invoked) is cq.Workplane


@pytest.mark.parametrize("name, factory, args, options", CALLS)
def test_operations_and_what_they_make_are_pickled(
    name: str, factory: Callable[..., Joinery], args: tuple[Any, ...], options: dict[str, Any]
) -> None:
    made: Any = factory(*args, **options)
    again = pickle.loads(pickle.dumps(made))
    assert again == made
    assert hash(again) == hash(made)
    assert copy.deepcopy(made) == made
    placed = stock().faces(">X").workplane()
    result = placed.invoke(again)
    same(pickle.loads(pickle.dumps(result)).val(), made(placed).val())


@pytest.mark.parametrize("name", METHODS)
def test_a_method_shows_its_factorys_help(name: str) -> None:
    method = getattr(cq.Workplane, name)
    factory: Any = getattr(workplane, name)
    assert method.__doc__ == factory.__doc__
    shown = list(inspect.signature(method).parameters)
    assert shown == ["self", *inspect.signature(factory).parameters]
