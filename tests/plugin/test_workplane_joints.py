"""Every joint on a workplane: the solids of the same joint between placed pieces, both parts."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable
from typing import Any, NamedTuple

import cadquery as cq
import pytest

from tests.plugin import test_workplane_aslant as aslant
from tests.plugin import test_workplane_boards as boards
from tests.plugin.test_workplane_as_generated import on_plane, stock_in_place
from treenail import workplane as w
from treenail.compose import piece
from treenail.generators.solids import member_solid
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.base import Joint
from treenail.joints.corners import Corners, pocket_outline
from treenail.joints.cuts import MitredTip, NotchedTip
from treenail.joints.edges import LooseSpline, Rebate, TongueGroove
from treenail.joints.fits import FITS
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.mortise_tenon import MortiseTenon, Shoulders
from treenail.joints.tenon_variants import make
from treenail.joints.volumes import net_volume
from treenail.templates.figures import Loop
from treenail.timber.errors import SpecError
from treenail.timber.fasteners import lag_size
from treenail.timber.member import Face, Member

Vec = tuple[float, float, float]
Op = Callable[[cq.Workplane], cq.Workplane]
LEFT, RIGHT, UP, DOWN = (-1.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
BACK, FRONT = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)
FIT = FITS["hand press"]


class Part(NamedTuple):
    """One part on a workplane: where its plane lies, and what is cut there."""

    member: Member
    origin: Vec
    normal: Vec
    x: Vec
    op: Op


# -- tenons: a rail from the left into a post; the workplanes' x goes up ---------------------------

POST = piece("post", 500, 76, 70, grain="up", face="front")
EVEN = Shoulders(face_edge=20.0, back_edge=20.0, face_side=12.0, back_side=12.0)


def rail(tenon: float) -> Member:
    """100 x 54 mm, its face edge up and its face side to the front."""
    return piece("rail", 300 + tenon, 100, 54, at=(-300, 8, 340), grain="right", face="front")


def tenoned(
    joint: Joint, tenon: float, receiver: Op | None, entering: Op, mouth: tuple[float, float]
) -> tuple[Joint, list[Part]]:
    """The parts on the mouth at (y, z), and on the middle of the rail's end."""
    post, beam = joint.members
    parts = [Part(beam, (tenon, 35.0, 390.0), RIGHT, UP, entering)]
    if receiver is not None:
        parts.append(Part(post, (0.0, *mouth), LEFT, UP, receiver))
    return joint, parts


def twin() -> tuple[Joint, list[Part]]:
    joint = make.twin_tenons(POST, rail(50), shoulders=EVEN, gap=6.0)
    ops = [w.twinTenons(50, 60, 30, part=part, gap=6) for part in ("receiver", "entering")]
    return tenoned(joint, 50.0, ops[0], ops[1], (35.0, 390.0))


def round_twin() -> tuple[Joint, list[Part]]:
    joint = make.twin_tenons(POST, rail(50), shoulders=EVEN, corners="round", cutter=7.0)
    ops = [
        w.twinTenons(50, 60, 30, part=part, corners="round", cutter=7)
        for part in ("receiver", "entering")
    ]
    return tenoned(joint, 50.0, ops[0], ops[1], (35.0, 390.0))


def relieved_wedged() -> tuple[Joint, list[Part]]:
    joint = make.wedged_tenon(POST, rail(79), shoulders=EVEN, corners="relieved", cutter=10.0)
    ops = [
        w.wedgedTenon(79, 60, 30, part=part, receiver=76, corners="relieved", cutter=10)
        for part in ("receiver", "entering")
    ]
    return tenoned(joint, 79.0, ops[0], ops[1], (35.0, 390.0))


def three() -> tuple[Joint, list[Part]]:
    joint = make.twin_tenons(POST, rail(80), shoulders=EVEN, count=3, through=True)
    ops = [
        w.twinTenons(80, 60, 30, part=part, count=3, through=True)
        for part in ("receiver", "entering")
    ]
    return tenoned(joint, 80.0, ops[0], ops[1], (35.0, 390.0))


def double() -> tuple[Joint, list[Part]]:
    joint = make.double_tenons(POST, rail(50), shoulders=EVEN, fit="easy")
    ops = [w.doubleTenons(50, 60, 30, part=part, fit="easy") for part in ("receiver", "entering")]
    return tenoned(joint, 50.0, ops[0], ops[1], (35.0, 390.0))


def bare_faced() -> tuple[Joint, list[Part]]:
    shoulders = Shoulders(face_edge=20.0, back_edge=20.0, face_side=24.0, back_side=0.0)
    joint = make.bare_faced_tenon(POST, rail(50), shoulders=shoulders)
    return tenoned(
        joint,
        50.0,
        w.bareFacedTenon(50, 60, 30, part="receiver", bare="+y"),
        w.bareFacedTenon(50, 60, 30, part="entering", bare="-y"),
        (47.0, 390.0),
    )


def haunched(*, sloped: bool) -> tuple[Joint, list[Part]]:
    shoulders = Shoulders(face_edge=20.0, back_edge=20.0, face_side=12.0, back_side=12.0)
    joint = make.haunched_tenon(
        POST, rail(50), shoulders=shoulders, sloped=sloped, width=14.0, length=11.0
    )
    ops = [
        w.haunchedTenon(50, 60, 30, part=part, haunch=11, haunchWidth=14, sloped=sloped)
        for part in ("receiver", "entering")
    ]
    return tenoned(joint, 50.0, ops[0], ops[1], (35.0, 390.0))


def wedged() -> tuple[Joint, list[Part]]:
    joint = make.wedged_tenon(POST, rail(79), shoulders=EVEN)
    ops = [w.wedgedTenon(79, 60, 30, part=part, receiver=76) for part in ("receiver", "entering")]
    return tenoned(joint, 79.0, ops[0], ops[1], (35.0, 390.0))


def tusk() -> tuple[Joint, list[Part]]:
    joint = make.tusk_tenon(POST, rail(150), shoulders=EVEN)  # driven from the face edge: from up
    return tenoned(
        joint,
        150.0,
        w.tuskTenon(150, 60, 30, part="receiver", receiver=76),
        w.tuskTenon(150, 60, 30, part="entering", receiver=76, wedgeSide="+x"),
        (35.0, 390.0),
    )


def cone() -> tuple[Joint, list[Part]]:
    joint = make.round_tenon(POST, rail(50), diameter=40.0, angle=math.radians(8.0))
    ops = [w.roundTenon(50, 40, part=part, angle=8) for part in ("receiver", "entering")]
    return tenoned(joint, 50.0, ops[0], ops[1], (35.0, 390.0))


def tipped(tip: MitredTip | NotchedTip, op: Op) -> tuple[Joint, list[Part]]:
    beam = rail(50)
    joint = MortiseTenon(
        name="tipped",
        receiver=POST,
        entering=beam,
        end=Face.FAR_END,
        shoulders=EVEN,
        fit=FIT,
        tip=tip,
    )
    return tenoned(joint, 50.0, w.mortise(60, 30, 50, fit="hand press"), op, (35.0, 390.0))


def slab() -> tuple[Joint, list[Part]]:
    top = piece("top", 600, 300, 80, at=(0, 0, 700), grain="right", face="down")
    post = piece("leg", 780, 100, 80, at=(100, 0, 0), grain="up", face="front")
    joint = make.slab_tenons(top, post, dovetail=18.0, gap=22.0)
    return joint, [
        Part(
            top,
            (150.0, 30.0, 700.0),
            DOWN,
            RIGHT,
            w.slabTenons(80, 100, 60, part="receiver", outer="+y", dovetail=18, gap=22),
        ),
        Part(
            post,
            (150.0, 40.0, 780.0),
            UP,
            RIGHT,
            w.slabTenons(80, None, 60, part="entering", outer="-y", dovetail=18, gap=22),
        ),
    ]


# -- laps, housings, edges -------------------------------------------------------------------------

SIDE = piece("side", 400, 200, 20, grain="up", face="right")
SHELF = piece("shelf", 300, 200, 18, at=(12, 0, 150), grain="right", face="up")
BAR = piece("bar", 400, 60, 40, grain="right", face="up")


def cross_lap() -> tuple[Joint, list[Part]]:
    other = piece("other", 300, 50, 40, at=(150, -100, 0), grain="back", face="up")
    joint = HalfLap(name="lap", receiver=BAR, entering=other)
    return joint, [
        Part(BAR, (175.0, 30.0, 40.0), UP, RIGHT, w.halfLap(50)),
        Part(other, (175.0, 30.0, 0.0), DOWN, BACK, w.halfLap(60)),
    ]


def corner_lap() -> tuple[Joint, list[Part]]:
    other = piece("other", 300, 50, 40, at=(350, 0, 0), grain="back", face="up")
    joint = HalfLap(name="lap", receiver=BAR, entering=other, share=0.4)
    return joint, [
        Part(BAR, (375.0, 30.0, 40.0), UP, RIGHT, w.halfLap(50, 16)),
        Part(other, (375.0, 30.0, 0.0), DOWN, BACK, w.halfLap(60, 24)),
    ]


def notched() -> tuple[Joint, list[Part]]:
    other = piece("other", 300, 50, 40, at=(150, -100, 25), grain="back", face="up")
    joint = Notch(name="notch", receiver=BAR, entering=other)
    return joint, [Part(BAR, (175.0, 30.0, 40.0), UP, RIGHT, w.notch(50, 15))]


def housed(joint: Joint, receiver: Op, entering: Op | None) -> tuple[Joint, list[Part]]:
    parts = [Part(SIDE, (20.0, 100.0, 159.0), RIGHT, BACK, receiver)]
    if entering is not None:
        parts.append(Part(SHELF, (12.0, 100.0, 159.0), LEFT, BACK, entering))
    return joint, parts


def housing() -> tuple[Joint, list[Part]]:
    joint = Housing(name="housing", receiver=SIDE, entering=SHELF)
    return housed(joint, w.housing(8, 18, part="receiver"), None)


def tongued_housing() -> tuple[Joint, list[Part]]:
    joint = Housing(
        name="housing",
        receiver=SIDE,
        entering=SHELF,
        shoulder=4.0,
        back_shoulder=6.0,
        stop=15.0,
        stop_at=SIDE.face_towards(BACK),
    )
    # The face side is up: the receiver's +y, the shelf's -y.
    return housed(
        joint,
        w.housing(8, 18, part="receiver", shoulders=(6, 4), stop=15),
        w.housing(8, 18, part="entering", shoulders=(4, 6), stop=15),
    )


def routed_housing() -> tuple[Joint, list[Part]]:
    joint = Housing(
        name="housing",
        receiver=SIDE,
        entering=SHELF,
        stop=30.0,
        stop_at=SIDE.face_towards(BACK),
        corners="round",
        cutter=9.0,
    )
    ops = [
        w.housing(8, 18, part=part, stop=30, corners="round", cutter=9)
        for part in ("receiver", "entering")
    ]
    return housed(joint, ops[0], ops[1])


def dovetail(stop: float) -> tuple[Joint, list[Part]]:
    at = SIDE.face_towards(FRONT) if stop else None
    joint = SlidingDovetail(name="dt", receiver=SIDE, entering=SHELF, stop=stop, stop_at=at)
    return housed(
        joint,
        w.slidingDovetail(8, 18, part="receiver", stop=stop, stopSide="-x"),
        w.slidingDovetail(8, 18, part="entering", stop=stop, stopSide="-x"),
    )


def short_housing() -> tuple[Joint, list[Part]]:
    narrow = piece("shelf", 300, 90, 18, at=(12, 55, 150), grain="right", face="up")
    joint = Housing(name="housing", receiver=SIDE, entering=narrow)
    return joint, [
        Part(SIDE, (20.0, 100.0, 159.0), RIGHT, BACK, w.housing(8, 18, 90, part="receiver"))
    ]


def tongue_and_groove() -> tuple[Joint, list[Part]]:
    first = piece("first", 400, 100, 22, grain="right", face="up")
    second = piece("second", 400, 100, 22, at=(0, 92, 0), grain="right", face="up")
    joint = TongueGroove(name="tg", receiver=first, entering=second, open_by=1.0)
    return joint, [
        Part(
            first,
            (200.0, 100.0, 11.0),
            BACK,
            RIGHT,
            w.tongueGroove(8, 22, part="receiver", openBy=1),
        ),
        Part(
            second, (200.0, 92.0, 11.0), FRONT, RIGHT, w.tongueGroove(8, part="entering", openBy=1)
        ),
    ]


def rebated() -> tuple[Joint, list[Part]]:
    panel = piece("panel", 400, 100, 15, at=(0, 45, 30), grain="right", face="front")
    joint = Rebate(name="rebate", receiver=BAR, entering=panel)
    return joint, [Part(BAR, (200.0, 30.0, 40.0), UP, RIGHT, w.rebate(15, 10))]


def spline() -> tuple[Joint, list[Part]]:
    strip = piece("strip", 300, 30, 6, at=(50, 45, 17), grain="right", face="up")
    joint = LooseSpline(name="spline", receiver=BAR, entering=strip)
    # The bar's face side is up: its own z, on whose high side the play is, goes down.
    return joint, [
        Part(BAR, (200.0, 60.0, 20.0), BACK, RIGHT, w.looseSpline(6, 15, 300, playSide="+y"))
    ]


# -- bolts -----------------------------------------------------------------------------------------


def knock_down() -> tuple[Joint, list[Part]]:
    beam = rail(0)
    joint = BarrelBolt(name="bolt", rail=beam, post=POST)  # the nut goes in from the back
    return joint, [
        Part(
            beam, (0.0, 35.0, 390.0), RIGHT, UP, w.knockDownBolt(part="rail", post=76, nutSide="-y")
        ),
        Part(POST, (76.0, 35.0, 390.0), RIGHT, UP, w.knockDownBolt(part="post")),
    ]


def lag(slot: float) -> tuple[Joint, list[Part]]:
    top = piece("top", 400, 200, 60, at=(0, 0, 90), grain="right", face="up")
    carrier = piece("carrier", 300, 60, 90, at=(50, 60, 0), grain="right", face="down")
    joint = LagBolt(
        name="lag",
        top=top,
        carrier=carrier,
        point=(200.0, 90.0, 0.0),
        direction=UP,
        size=lag_size("3/8"),
        length=114.3,
        counterbore=20.0,
        pilot=6.5,
        slot=slot,
    )
    return joint, [
        Part(
            carrier,
            (200.0, 90.0, 0.0),
            DOWN,
            BACK,
            w.lagBolt("3/8", 114.3, part="carrier", counterbore=20, slot=slot),
        ),
        Part(
            top,
            (200.0, 90.0, 90.0),
            DOWN,
            BACK,
            w.lagBolt("3/8", 114.3, part="top", carrier=90, counterbore=20, pilot=6.5, slot=slot),
        ),
    ]


CASES: dict[str, Callable[[], tuple[Joint, list[Part]]]] = {
    "twin tenons": twin,
    "twin tenons, round corners": round_twin,
    "wedged tenon, relieved corners": relieved_wedged,
    "three through tenons": three,
    "double tenons": double,
    "bare-faced tenon": bare_faced,
    "haunched tenon": lambda: haunched(sloped=False),
    "sloped haunch": lambda: haunched(sloped=True),
    "wedged tenon": wedged,
    "tusk tenon": tusk,
    "round tenon": cone,
    "mitred tenon": lambda: tipped(
        MitredTip(Face.BACK_SIDE, 18.0, 0.5),
        w.mitredTenon(50, 60, 30, cutBack=18, lead=0.5, shortSide="-y"),
    ),
    "notched tenon": lambda: tipped(
        NotchedTip(Face.FACE_EDGE, 22.0, 9.0),
        w.notchedTenon(50, 60, 30, notchWidth=22, notchLength=9),
    ),
    "slab tenons": slab,
    "cross lap": cross_lap,
    "corner lap": corner_lap,
    "notch": notched,
    "housing": housing,
    "stopped housing with tongue": tongued_housing,
    "stopped housing, round end": routed_housing,
    "housing closed at both ends": short_housing,
    "sliding dovetail": lambda: dovetail(0.0),
    "stopped sliding dovetail": lambda: dovetail(30.0),
    "tongue and groove": tongue_and_groove,
    "rebate": rebated,
    "loose spline": spline,
    "knock-down bolt": knock_down,
    "lag bolt": lambda: lag(0.0),
    "lag bolt in a slot": lambda: lag(6.0),
}


@pytest.mark.parametrize("case", CASES)
def test_both_parts_are_those_of_the_joint(case: str) -> None:
    joint, parts = CASES[case]()
    cuts = joint.cuts()
    for part in parts:
        own = cuts[part.member.name]
        plane = cq.Plane(part.origin, part.x, part.normal)
        made: Any = on_plane(stock_in_place(part.member), plane).invoke(part.op)
        f = part.member.placement
        solid = member_solid(part.member, own).moved(cq.Location(cq.Plane(f.origin, f.x, f.z)))
        # Where two cylinders cross, the kernel measures a little less exactly.
        near = 1e-7 if case == "knock-down bolt" else 1e-9
        taken = part.member.stock_volume * near
        assert made.val().Volume() == pytest.approx(net_volume(part.member, own), rel=near)
        assert made.val().cut(solid).Volume() == pytest.approx(0.0, abs=taken)
        assert solid.cut(made.val()).Volume() == pytest.approx(0.0, abs=taken)


@pytest.mark.parametrize("kind", ["round", "relieved"])
def test_a_mortise_with_corners_is_a_pocket_with_them(kind: Any) -> None:
    made: Any = cq.Workplane().box(400, 90, 60).faces(">Z")
    cut = made.invoke(w.mortise(70, 24, 20, corners=kind, cutter=12))
    outline = pocket_outline(70.0, 24.0, Corners(kind, 6.0))
    taken = Loop(outline).area() * 20.0
    assert cut.val().Volume() == pytest.approx(400 * 90 * 60 - taken, rel=1e-9)
    with pytest.raises(SpecError) as caught:
        w.mortise(70, 24, 20, corners=kind, cutter=25)
    assert caught.value.field == "mortise.cutter"


def test_every_method_is_tried_here_or_with_the_plain_ones() -> None:
    modules = (inspect.getmodule(twin), aslant, boards)
    here = "".join(inspect.getsource(module) for module in modules if module)
    plain = {"mortise", "tenon", "pegHole", "drawbore"}
    assert [name for name in w.METHODS if name not in plain and f"w.{name}(" not in here] == []
