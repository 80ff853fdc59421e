"""What the joints on a workplane refuse: at once by its field, or when they are cut."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import cadquery as cq
import pytest

from treenail import workplane as w
from treenail.timber.errors import GeometryError, SpecError

AT_ONCE: dict[str, tuple[str, Callable[..., Any], tuple[Any, ...], dict[str, Any]]] = {
    "no part": ("twinTenons.part", w.twinTenons, (40, 60, 30), {"part": "post"}),
    "no width": ("twinTenons.width", w.twinTenons, (40,), {"part": "receiver"}),
    "one tenon": (
        "doubleTenons.count",
        w.doubleTenons,
        (40, 60, 30),
        {"part": "entering", "count": 1},
    ),
    "gap": ("twinTenons.gap", w.twinTenons, (40, 60, 30), {"part": "entering", "gap": 0}),
    "bare edge": (
        "bareFacedTenon.bare",
        w.bareFacedTenon,
        (40, 60, 30),
        {"part": "entering", "bare": "+x"},
    ),
    "long haunch": (
        "haunchedTenon.haunch",
        w.haunchedTenon,
        (40, 60, 30),
        {"part": "entering", "haunch": 40, "haunchWidth": 10},
    ),
    "no wedge": (
        "wedgedTenon.wedges",
        w.wedgedTenon,
        (60, 60, 30),
        {"part": "entering", "wedges": 0},
    ),
    "tusk without receiver": ("tuskTenon.receiver", w.tuskTenon, (150,), {"part": "entering"}),
    "no second tenon": (
        "slabTenons.thickness",
        w.slabTenons,
        (60, 80, 30),
        {"part": "entering", "dovetail": 15, "gap": 15},
    ),
    "flat cone": ("roundTenon.angle", w.roundTenon, (40, 30), {"part": "entering", "angle": 0}),
    "mitre to the shoulder": ("mitredTenon.cutBack", w.mitredTenon, (40, 60, 30), {"cutBack": 40}),
    "notch to the shoulder": (
        "notchedTenon.notchLength",
        w.notchedTenon,
        (40, 60, 30),
        {"notchWidth": 5, "notchLength": 41},
    ),
    "lap width": ("halfLap.width", w.halfLap, (-1,), {}),
    "fit": ("notch.fit", w.notch, (20, 10), {"fit": 3}),
    "one shoulder": (
        "housing.shoulders",
        w.housing,
        (10, 18),
        {"part": "entering", "shoulders": "4"},
    ),
    "trench without width": ("housing.thickness", w.housing, (10,), {"part": "receiver"}),
    "stop and length": ("housing.stop", w.housing, (10, 18, 90), {"part": "receiver", "stop": 5}),
    "stop side": ("housing.stopSide", w.housing, (10, 18), {"part": "receiver", "stopSide": "+y"}),
    "steep dovetail": (
        "slidingDovetail.rise",
        w.slidingDovetail,
        (8, 18),
        {"part": "receiver", "rise": 1},
    ),
    "rebate side": ("rebate.side", w.rebate, (10, 10), {"side": "+x"}),
    "no bolt": ("knockDownBolt.bolt", w.knockDownBolt, ("M7",), {"part": "post"}),
    "rail without post": ("knockDownBolt.post", w.knockDownBolt, (), {"part": "rail"}),
    "no pilot": ("lagBolt.pilot", w.lagBolt, ("3/8", 100), {"part": "top", "carrier": 60}),
}


@pytest.mark.parametrize("case", AT_ONCE)
def test_refused_at_once(case: str) -> None:
    field, factory, args, options = AT_ONCE[case]
    with pytest.raises(SpecError) as caught:
        factory(*args, **options)
    assert caught.value.field == field
    assert caught.value.allowed


def stock() -> Any:
    return cq.Workplane().box(400, 90, 60)


def end() -> Any:
    return stock().faces(">X").workplane(centerOption="CenterOfMass")


def face() -> Any:
    return stock().faces(">Z").workplane(centerOption="CenterOfMass")


CUT: dict[str, tuple[str, Callable[[], Any]]] = {
    "wide tenon": ("does not lie within", lambda: end().twinTenons(40, 95, 30, part="entering")),
    "two on one end": (
        "two points lie on one end",
        lambda: end().pushPoints([(0, 0), (5, 0)]).doubleTenons(40, 60, 30, part="entering"),
    ),
    "other thickness": (
        "60 mm thick behind the workplane, not 70",
        lambda: face().wedgedTenon(70, 60, 30, part="receiver", receiver=70),
    ),
    "off the middle": (
        "stands in the middle",
        lambda: end().center(0, 3).roundTenon(40, 30, part="entering"),
    ),
    "slab not flush": (
        "not flush",
        lambda: face().slabTenons(60, 80, 45, part="receiver", dovetail=15, gap=15),
    ),
    "deep lap": ("not less than the 60 mm", lambda: face().halfLap(50, 60)),
    "whole piece": ("stays whole", lambda: end().housing(10, part="entering")),
    "turn the piece": (
        "turn the workplane",
        lambda: end().transformed(rotate=(0, 0, 90)).tongueGroove(10, part="entering"),
    ),
    "turn the trench": (
        "turn the workplane",
        lambda: face().housing(10, 30, 20, part="receiver"),
    ),
    "another board": (
        "60 mm thick at the point",
        lambda: end().slidingDovetail(10, 50, part="entering"),
    ),
    "whole face": ("leaves nothing", lambda: face().rebate(90, 10)),
    "through trench": ("goes through", lambda: face().looseSpline(6, 60)),
    "short bolt": (
        "short of the far side of its nut",
        lambda: end().knockDownBolt(part="rail", post=60, length=80),
    ),
    "lag that misses": ("short of", lambda: face().lagBolt("3/8", 50, part="carrier")),
    "nothing behind": (
        "does not lie behind",
        lambda: stock().faces("<Z").workplane(invert=True).notch(20, 10),
    ),
}


@pytest.mark.parametrize("case", CUT)
def test_refused_when_it_is_cut(case: str) -> None:
    message, build = CUT[case]
    with pytest.raises(GeometryError, match=message):
        build()


def test_wood_in_front_of_the_workplane_is_left_alone() -> None:
    """A trench in an inner face beside a wall: its run-out at the mouth stays out of the wall."""
    step: Any = stock().union(cq.Workplane().box(400, 30, 60).translate((0, 30, 60)))
    cut = step.copyWorkplane(cq.Workplane("XY", origin=(0, 0, 30))).newObject([cq.Location()])
    made = cut.notch(50, 10)
    assert made.val().Volume() == pytest.approx(step.val().Volume() - 50.1016 * 90 * 10, rel=1e-9)


def test_several_points_take_a_joint_each() -> None:
    cut = face().pushPoints([(-100, 0), (100, 0)]).twinTenons(40, 60, 30, part="receiver")
    one = face().twinTenons(40, 60, 30, part="receiver")
    whole = stock().val().Volume()
    assert whole - cut.val().Volume() == pytest.approx(2 * (whole - one.val().Volume()), rel=1e-9)


def test_tools_alone_leave_the_solid_uncut() -> None:
    tools = end().bareFacedTenon(40, 60, 30, part="entering", combine=False)
    assert sum(t.Volume() for t in tools.vals()) > 40 * (90 * 60 - 60 * 30)  # they may overlap
