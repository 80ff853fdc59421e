"""Benches on splayed legs: closed form, frame analysis, a plane stiffness method, whole benches."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import treenail
from tests.checks.strength.frames import joint
from treenail.api import Bench
from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.data import strength_of
from treenail.checks.strength.splayed import (
    Splayed,
    SplayedLeg,
    leg_forces,
    read_splayed,
    splayed_sway,
)
from treenail.checks.strength.splayed_frame import analyse_splayed
from treenail.compose import compose, piece
from treenail.joints.base import Joint
from treenail.stakes import stake
from treenail.timber.frames import cross, unit

WOOD = 12000.0
outs, ups = st.floats(0.0, 150.0), st.floats(300.0, 700.0)
stiff = st.floats(1e6, 1e9)


def splayed(
    s: float = 80.0,
    r: float = 110.0,
    high: float = 450.0,
    *,
    heads: tuple[float, float] = (300.0, 80.0),
    size: tuple[float, float] = (57.0, 57.0),
    k: float = 4e7,
    top: tuple[float, float, float, float] = (900.0, 280.0, 50.0, WOOD),
) -> Splayed:
    """Four legs, their heads so far from the middle, their feet farther out by ``s`` and ``r``."""
    legs = []
    for i, (sx, sy) in enumerate([(-1, -1), (1, -1), (-1, 1), (1, 1)]):
        head = (sx * heads[0], sy * heads[1])
        up = unit((-sx * s, -sy * r, high))
        y = unit(cross((0.0, 1.0, 0.0), up))
        legs.append(
            SplayedLeg(
                f"leg_{i}", (head[0] + sx * s, head[1] + sy * r), head, high, *size,
                y, cross(up, y), WOOD, 100.0, 4000.0, joint(k),
            )
        )  # fmt: skip
    return Splayed(tuple(legs), top, high)


def plane_frame(frame: Splayed, push: float) -> tuple[float, float]:
    """(sway, moment at a leg's head) along x of a frame that leans along x only, by stiffness.

    Half of it: two legs with shear, springs under the top, stiff pieces up to its middle plane.
    """
    a, b = frame.spacing(0)
    leg, (_, depth, thick, e) = frame.legs[0], frame.top
    h, z = frame.under, frame.push_height
    spots = [(-b, 0.0), (-a, h), (-a, h), (-a, z), (b, 0.0), (a, h), (a, h), (a, z)]
    big = 1e4
    inertia, area = leg.thick * leg.wide**3 / 12.0, leg.area
    bars = [
        (i, j, WOOD * inertia, WOOD * area, WOOD / E_OVER_G * 5 / 6 * area)
        for i, j in ((0, 1), (4, 5))
    ]
    bars += [(i, j, WOOD * inertia * big, WOOD * area * big, math.inf) for i, j in ((2, 3), (6, 7))]
    wide = depth / 2.0
    bars.append((3, 7, e * wide * thick**3 / 12.0, e * wide * thick, math.inf))
    k = np.zeros((24, 24))
    for i, j, ei, ea, ga in bars:
        (x0, y0), (x1, y1) = spots[i], spots[j]
        long = math.hypot(x1 - x0, y1 - y0)
        c, n = (x1 - x0) / long, (y1 - y0) / long
        phi = 12.0 * ei / (ga * long**2) if math.isfinite(ga) else 0.0
        f, g = ei / (long**3 * (1.0 + phi)), ea / long
        fl = f * long**2
        own = np.array(
            [
                [g, 0, 0, -g, 0, 0],
                [0, 12 * f, 6 * f * long, 0, -12 * f, 6 * f * long],
                [0, 6 * f * long, (4 + phi) * fl, 0, -6 * f * long, (2 - phi) * fl],
                [-g, 0, 0, g, 0, 0],
                [0, -12 * f, -6 * f * long, 0, 12 * f, -6 * f * long],
                [0, 6 * f * long, (2 - phi) * fl, 0, -6 * f * long, (4 + phi) * fl],
            ]
        )  # fmt: skip
        turn = np.array([[c, n, 0], [-n, c, 0], [0, 0, 1]])
        both = np.kron(np.eye(2), turn)
        at = [3 * i, 3 * i + 1, 3 * i + 2, 3 * j, 3 * j + 1, 3 * j + 2]
        k[np.ix_(at, at)] += both.T @ own @ both
    tied = 1e12
    for i, j in ((1, 2), (5, 6)):
        for dof, value in ((0, tied), (1, tied), (2, leg.joint.tight)):
            p, q = 3 * i + dof, 3 * j + dof
            k[np.ix_([p, q], [p, q])] += value * np.array([[1, -1], [-1, 1]])
    free = [d for d in range(24) if d not in (0, 1, 12, 13)]
    load = np.zeros(24)
    load[9] = load[21] = push / 4.0
    moved = np.zeros(24)
    moved[free] = np.linalg.solve(k[np.ix_(free, free)], load[free])
    turned = abs(moved[5] - moved[8]) * leg.joint.tight
    return float(moved[9] + moved[21]) / 2.0, float(turned)


@given(outs, ups, stiff, st.floats(30.0, 90.0))
def test_the_closed_form_is_the_plane_stiffness_method(
    s: float, high: float, k: float, thick: float
) -> None:
    frame = splayed(s, 0.0, high, k=k, size=(60.0, thick))
    sway, moment = plane_frame(frame, 500.0)
    assert leg_forces(frame, 0, 500.0).moment == pytest.approx(moment, rel=2e-3)
    assert splayed_sway(frame, 0, 500.0, "tight") == pytest.approx(sway, rel=0.02)


@given(outs, outs, ups)
def test_statics_of_each_leg(s: float, r: float, high: float) -> None:
    frame = splayed(s, r, high, top=(900.0, 280.0, 1e-9, WOOD))
    (a, b), n, push = frame.spacing(0), 4, 500.0
    found = leg_forces(frame, 0, push)
    # Pushed where the legs end, the moment is that of upright ones times heads over feet.
    more = math.sqrt(1.0 + r * r / (high * high + s * s))
    assert found.moment == pytest.approx(push * high / n * a / b * more, rel=1e-9)
    assert found.upright * 2.0 * b * 2.0 == pytest.approx(push * high)


def test_upright_legs_are_the_portal_of_the_textbooks() -> None:
    frame = splayed(0.0, 0.0, k=1e15, top=(900.0, 280.0, 1e-6, 1e40))
    leg = frame.legs[0]
    ei = WOOD * leg.wide**4 / 12.0
    ga = WOOD / E_OVER_G * 5.0 / 6.0 * leg.area
    bent = 125.0 * 450.0**3 / (3.0 * ei) + 125.0 * 450.0 / ga
    axial = 4.0 * (500.0 * 450.0 / 1200.0) ** 2 * 450.0 / (WOOD * leg.area) / 500.0
    assert splayed_sway(frame, 0, 500.0, "tight") == pytest.approx(bent + axial, rel=1e-6)


@settings(max_examples=5)
@given(outs, outs, ups, stiff, st.sampled_from([(57.0, 57.0), (80.0, 45.0), (45.0, 80.0)]))
def test_the_frame_analysis_bears_it_out(
    s: float, r: float, high: float, k: float, size: tuple[float, float]
) -> None:
    frame = splayed(s, r, high, k=k, size=size)
    answers = analyse_splayed(frame, "tight", 500.0, 300.0, off_centre=False)
    for axis, (push, answer) in enumerate(zip((500.0, 300.0), answers, strict=True)):
        assert answer.balanced
        quick = splayed_sway(frame, axis, push, "tight")
        assert quick == pytest.approx(answer.sway, rel=0.06)
        for moment in answer.moments.values():
            assert leg_forces(frame, axis, push).moment == pytest.approx(moment, rel=0.06)


def saw() -> Bench:
    return treenail.saw_bench(units="mm")


def test_a_saw_bench_has_sway_and_leg_forces() -> None:
    bench = saw()
    frame = read_splayed(bench)
    assert frame is not None
    assert len(frame.legs) == 4
    for full in (False, True):
        found = strength_of(bench, frame=full)
        assert found.method == ("frame analysis" if full else "closed form")
        keys = {f.key for f in found.figures}
        assert keys >= {"sway-along", "sway-across", "frequency-along", "leg-bending", "leg-force"}
        assert all(f.holds for f in found.figures if f.key != "slide")
    along = strength_of(bench).figure("leg-force")
    assert along is not None
    weight = (100.0 + strength_of(bench).mass.total / 4.0) * 9.80665
    assert along.value == pytest.approx(weight / math.cos(math.radians(16.98)), rel=1e-4)
    assert "pushed outward" in along.note


def test_more_splay_sways_less_until_the_heads_come_together() -> None:
    by = [splayed_sway(splayed(s, 50.0), 0, 500.0, "tight") for s in (0.0, 50.0, 100.0)]
    assert by[0] > by[1] > by[2]


def staked(size: float) -> Bench:
    top = piece("seat", 900, 290, 48, at=(0, 0, 402), face="down", role="top section")
    legs = []
    joints: list[Joint] = []
    for i, (sx, sy) in enumerate([(-1, -1), (1, -1), (-1, 1), (1, 1)], start=1):
        at = (450 + 320 * sx, 145 + 80 * sy)
        leg, fitted = stake(f"leg_{i}", top, at=at, splay=14 * sx, rake=11 * sy, size=size)
        legs.append(leg)
        joints += fitted
    return compose("staked", [top, *legs], joints)


def test_thin_cones_break() -> None:
    good = staked(46).check(numbers_only=True).findings
    assert {f.severity for f in good} <= {"advice"}
    found = [f for f in staked(20).check(numbers_only=True).findings if f.rule == "post-buckles"]
    assert any(f.message.startswith("Bending of a leg at its joint") for f in found)


def test_what_is_no_such_frame() -> None:
    assert read_splayed(treenail.frame_bench()) is None
    three = staked(46)
    gone = three.joints_of("leg_4")
    left = [j for j in three.joints if j not in gone]
    others = [m for m in three.timbers if m.name != "leg_4"]
    assert read_splayed(compose("three legs", others, left)) is None
