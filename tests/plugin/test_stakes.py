"""Staked legs: cones that lean two ways, by hand, by another modeller, on the kernel, on paper."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.joints.modeller import bounds
from treenail.api import Bench
from treenail.checks.solids import solid_findings
from treenail.compose import compose, piece
from treenail.joints.angled_cuts import FLUSH
from treenail.joints.tenon_variants.tapered_round import TaperedRound
from treenail.joints.volumes import net_volume
from treenail.shop.setups import setups
from treenail.stakes import stake
from treenail.templates.dxf import member_dxf
from treenail.templates.dxf_read import compare_dxf
from treenail.timber.angles import LegAngles
from treenail.timber.errors import GeometryError, SpecError
from treenail.timber.frames import dot
from treenail.timber.member import Member

leans = st.floats(-22.0, 22.0)


def seat(thickness: float = 48.0) -> Member:
    return piece("seat", 620, 300, thickness, at=(0, 0, 400), face="down", role="top section")


def one(splay: float = 12.0, rake: float = -11.0, **how: object) -> TaperedRound:
    how.setdefault("size", 44)
    joint = stake("leg", seat(), at=(310, 150), splay=splay, rake=rake, **how)[1][0]  # type: ignore[arg-type]
    assert isinstance(joint, TaperedRound)
    return joint


@cache
def stool(*, through: bool = True) -> Bench:
    top, parts = seat(), []
    for i, (sx, sy) in enumerate([(-1, -1), (1, -1), (-1, 1), (1, 1)], start=1):
        at = (310 + 210 * sx, 150 + 85 * sy)
        made = stake(f"leg_{i}", top, at=at, splay=12 * sx, rake=11 * sy, size=44, through=through)
        parts.append(made)
    joints = [joint for _, fitted in parts for joint in fitted]
    return compose("staked stool", [top, *(leg for leg, _ in parts)], joints)


@settings(max_examples=8)
@given(leans, leans, st.booleans(), st.floats(5.0, 14.0))
def test_cone_and_socket_are_the_modellers_and_lie_in_each_other(
    splay: float, rake: float, through: bool, angle: float
) -> None:
    joint = one(splay, rake, through=through, angle=angle, size=60)
    angles = LegAngles(abs(math.radians(splay)), abs(math.radians(rake)))
    assert joint.tilt == pytest.approx(angles.resultant, abs=1e-9)
    cuts = joint.cuts()
    for member in joint.members:
        low, high = bounds(member, cuts[member.name])
        assert low - 1e-3 <= net_volume(member, cuts[member.name]) <= high + 1e-3
    # One cone: the same axis, and the same diameter where the leg meets the seat's underside.
    axis = joint.receiver.placement.direction(joint.socket.frame.z)
    assert dot(axis, joint.insertion()) == pytest.approx(1.0, abs=1e-11)
    start = joint.receiver.placement.point(joint.socket.frame.origin)
    assert start == pytest.approx((310.0, 150.0, 400.0), abs=1e-6)
    at_face = joint.tenon.base - joint.taper * joint.standoff
    assert at_face == pytest.approx(joint.socket.mouth if joint.tilt else joint.diameter)
    if joint.tilt:
        # The shoulder's lowest corner clears the seat by the four millimetres that are left.
        corner = max(
            dot(joint.end_frame.point((x, y, joint.tenon.length)), (0.0, 0.0, 1.0))
            for x in (0.0, 60.0)
            for y in (0.0, 60.0)
        )
        assert corner == pytest.approx(400.0 - 4.0 * math.cos(joint.tilt), abs=1e-6)


@given(leans, leans)
def test_a_through_socket_is_a_difference_of_two_oblique_cones(splay: float, rake: float) -> None:
    joint = one(splay, rake, size=60)
    gone = joint.receiver.stock_volume - net_volume(joint.receiver, [joint.socket])
    k, m = joint.taper / 2.0, math.tan(joint.tilt)
    high = joint.socket.mouth / 2.0 / k
    low = high - 48.0 * math.hypot(1.0, m)
    whole = math.pi * k * k / (3.0 * (1.0 - (k * m) ** 2) ** 1.5) * (high**3 - low**3)
    assert gone == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize("through", [True, False])
def test_a_staked_stool_stands_its_checks(through: bool) -> None:
    bench = stool(through=through)
    solids = bench.solids()
    assert solids.problems() == []
    for member in bench.members:
        volume = solids.local(member.name).Volume()
        assert volume == pytest.approx(bench.volumes[member.name], rel=1e-9)
    assert [f.message for f in solid_findings(solids)] == []
    found = bench.check(numbers_only=True).findings
    warned = {f.rule for f in found if f.severity != "advice"}
    # Short in the seat, the legs turn more in their sockets under a planing stroke.
    assert warned <= (set() if through else {"sways"})
    assert bench.asked == pytest.approx((635.0, 372.1, 448.0), abs=0.1)
    assert compare_dxf(bench, "seat", member_dxf(bench, "seat")) == []


def test_papers_tell_the_angles() -> None:
    bench = stool()
    sheets = {s.machine: s for s in setups(bench).sheets}
    bored = next(u for u in sheets["drill press"].setups if u.work.startswith("conical"))
    told = {s.name: s.text for s in bored.settings}
    assert (told["resultant"], told["sight angle"]) == ("16.07°", "42.44°")
    assert told["leans"].startswith("toward the ")
    flush = [u for s in setups(bench).sheets for u in s.setups if "cut flush" in u.work]
    assert [u.work for u in flush] == ["ends to be cut flush"]
    numbers = bench.joints[0].numbers()
    angles = LegAngles(math.radians(12.0), math.radians(11.0))
    assert numbers["resultant_degrees"] == pytest.approx(math.degrees(angles.resultant), abs=1e-4)
    assert numbers["sight_degrees"] == pytest.approx(math.degrees(angles.sight), abs=1e-4)
    assert bench.joints[0].kind == "through leaning round tapered tenon"
    assert [c.purpose for c in bench.cuts["leg_1"]] == ["tenon", FLUSH, "foot bevel"]


def test_a_socket_that_leans_out_of_the_seat() -> None:
    top = seat()
    for at, splay, says in (
        ((560.0, 150.0), -25.0, "beside or behind the conical socket"),
        ((30.0, 150.0), 25.0, "breaks out of seat"),
    ):
        leg, joints = stake("leg", top, at=at, splay=splay, size=44)
        found = compose("edge", [top, leg], joints).check(numbers_only=True).findings
        walls = [f.message for f in found if f.rule == "socket-wall"]
        assert bool(walls) == (at[0] < 100.0)
        assert not walls or says in walls[0]


def test_refusals() -> None:
    with pytest.raises(SpecError, match="between -45 and 45 degrees"):
        stake("leg", seat(), at=(310, 150), splay=46)
    with pytest.raises(SpecError, match="size"):
        stake("leg", seat(), at=(310, 150), size="thick")
    joint = one()
    for change, says in (
        ({"standoff": 1.0}, "its shoulder meets the face"),
        ({"diameter": 43.5}, "its base is"),
        ({"entering": replace(joint.entering, length=joint.entering.length - 12.0)}, "all around"),
    ):
        with pytest.raises(GeometryError, match=says):
            replace(joint, **change)
