"""Round and relieved corners at the closed ends of trenches: by hand, kernel, other modeller."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.joints import modeller
from treenail.checks import load_rules
from treenail.checks.rules import RULES, Context
from treenail.compose import compose, piece
from treenail.generators.solids import build_solids
from treenail.joints.base import Joint
from treenail.joints.corners import CornerKind, Corners, pocket_outline
from treenail.joints.housings import Housing, SlidingDovetail
from treenail.joints.laps import HalfLap, Notch
from treenail.joints.meetings import LetIn
from treenail.joints.trenches import Trench
from treenail.joints.volumes import net_volume
from treenail.templates.dxf import member_dxf
from treenail.templates.dxf_read import compare_dxf
from treenail.templates.figures import Loop
from treenail.timber.errors import GeometryError

SIDE = piece("side", 400, 200, 20, grain="up", face="right")
SHELF = piece("shelf", 300, 200, 18, at=(12, 0, 150), grain="right", face="up")
NARROW = piece("shelf", 300, 90, 18, at=(12, 55, 150), grain="right", face="up")
BAR = piece("bar", 400, 60, 40, grain="right", face="up")
TEE = piece("tee", 300, 50, 40, at=(150, 20, 0), grain="back", face="up")
DEEP = piece("deep", 300, 50, 40, at=(150, 20, 25), grain="back", face="up")


def stopped(kind: CornerKind, cutter: float) -> Housing:
    at = SIDE.face_towards((0.0, 1.0, 0.0))
    return Housing(
        name="j", receiver=SIDE, entering=SHELF, stop=15.0, stop_at=at, corners=kind, cutter=cutter
    )


def closed(kind: CornerKind, cutter: float) -> Housing:
    return Housing(name="j", receiver=SIDE, entering=NARROW, corners=kind, cutter=cutter)


def tee_lap(kind: CornerKind, cutter: float) -> HalfLap:
    return HalfLap(name="j", receiver=BAR, entering=TEE, corners=kind, cutter=cutter)


def tee_notch(kind: CornerKind, cutter: float) -> Notch:
    return Notch(name="j", receiver=BAR, entering=DEEP, corners=kind, cutter=cutter)


MAKE = {"stopped": stopped, "closed": closed, "tee lap": tee_lap, "tee notch": tee_notch}
CASES = [
    (name, kind)
    for name in MAKE
    for kind in ("relieved", "round")
    if kind == "relieved" or "tee" not in name
]


def own(joint: LetIn) -> Trench:
    cut = joint.cuts()[joint.receiver.name][0]
    assert isinstance(cut, Trench)
    return cut


@pytest.mark.parametrize("name, kind", CASES)
@given(cutter=st.integers(20, 120).map(lambda n: n / 10))
def test_a_trench_takes_its_outline(name: str, kind: CornerKind, cutter: float) -> None:
    joint = MAKE[name](kind, cutter)
    cut = own(joint)
    assert cut.corners is not None
    assert cut.corners.low + cut.corners.high == (2 if name == "closed" else 1)
    gone = joint.receiver.stock_volume - net_volume(joint.receiver, [cut])
    outline = Loop(pocket_outline(cut.length, cut.width, cut.corners)).area()
    assert gone == pytest.approx(outline * cut.depth, rel=1e-9)
    if kind == "round":  # a square less a quarter circle at each corner
        count = 4 if name == "closed" else 2
        less = count * (1.0 - math.pi / 4.0) * (cutter / 2.0) ** 2
        assert outline == pytest.approx(cut.length * cut.width - less, rel=1e-9)


@pytest.mark.parametrize("name, kind", CASES)
def test_kernel_modeller_template_and_rooms(name: str, kind: CornerKind) -> None:
    joint: Joint = MAKE[name](kind, 8.0)
    bench = compose("two", joint.members, [joint])
    solids = build_solids(bench)
    assert solids.problems() == []
    receiver, entering = joint.members
    cut = bench.cuts[receiver.name]
    volume = solids.local(receiver.name).Volume()
    assert volume == pytest.approx(bench.volumes[receiver.name], rel=1e-9)
    low, high = modeller.bounds(receiver, cut)
    assert low - 1e-3 <= volume <= high + 1e-3
    for member in joint.members:
        assert compare_dxf(bench, member, member_dxf(bench, member)) == []
    # The square piece clears every corner.
    shared = solids.placed[receiver.name].intersect(solids.placed[entering.name])
    assert shared.Volume() == pytest.approx(0.0, abs=1e-6)
    load_rules()
    context = Context(bench=bench, solids=solids)
    assert [*RULES["measured-room"].check(context), *RULES["let-in-clearance"].check(context)] == []


def test_the_round_ends_lie_beyond_the_piece() -> None:
    square, made = closed("square", 8.0), closed("round", 8.0)
    assert own(made).length == pytest.approx(own(square).length + 8.0)
    # Stopped, the trench ends where it did; the tongue stops short of it instead.
    before, after = stopped("square", 8.0), stopped("round", 8.0)
    assert own(after).length == own(before).length
    assert after.tongue_run[1] == pytest.approx(before.tongue_run[1] - 4.0)


def test_open_and_sloped_trenches_have_none() -> None:
    through = Housing(name="j", receiver=SIDE, entering=SHELF, corners="round")
    assert own(through).corners is None
    with pytest.raises(GeometryError, match="square corners"):
        SlidingDovetail(name="j", receiver=SIDE, entering=SHELF, corners="relieved")
    with pytest.raises(GeometryError, match="stand in the way of tee"):
        tee_lap("round", 8.0)
    with pytest.raises(GeometryError, match="don't fit"):
        closed("round", 20.0)
    assert Corners("round", 4.0).low
