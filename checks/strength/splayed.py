"""A bench on splayed legs, read as a frame; its sway and its legs' forces in closed form.

Each leg is hinged on the floor and held by its joint under the top, which ties the heads. Along
one axis, with heads 2a and feet 2b apart, n legs and the push P at the height z over the heads at
h, statics alone give the moment at each head, as the legs' lean lets the feet's upright forces
V = P z/(n b) take part of it:

    M = P h/n - V (b - a)            (z = h: M = P h a/(n b); upright legs: P h/n)

Where the legs lean the other way, too, each pair pushes its feet apart, as much as leaves the least
work: the moment is then M sqrt(1 + r²/(h² + s²)), with s = b - a and r the same across. By virtual
work, over all legs, with L their length, E I, A and the joint's K, and the top between the heads:

    P u = sum of M² (1/K + L/(3 E I)) + (M/L)² L/(G A') + N² L/(E A), and of the top's bending

It serves checks without solids, and cross-checks the frame analysis (``splayed_frame``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.strength.beams import E_OVER_G
from treenail.checks.strength.joint_stiffness import (
    ACROSS_OVER_ALONG,
    JointStiffness,
    leaning_stiffness,
)
from treenail.checks.strength.loads import (
    FLOOR_FRICTION,
    GRAVITY,
    PERSON,
    PUSH_ACROSS,
    PUSH_ALONG,
    Figure,
)
from treenail.generators.tops import TOP_ROLES
from treenail.joints.angled_tenon import AngledTenon
from treenail.joints.tenon_variants.tapered_round import TaperedRound

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.checks.strength.frame_quick import State
    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = [
    "LegForces",
    "Splayed",
    "SplayedLeg",
    "leg_figures",
    "leg_forces",
    "read_splayed",
    "splayed_sway",
]

#: Average bending strength to what a short load may use: 5 % exclusion at 16 % variation, 2.1 for
#: duration and safety, 1.6 for a load that soon passes (ASTM D245 and NDS, from memory).
_BENDING = (1.0 - 1.645 * 0.16) / 2.1 * 1.6
#: Legs count as mirrored if their places agree to this, mm.
_SAME = 1.0


@dataclass(frozen=True, slots=True)
class SplayedLeg:
    """One leg: its axis from the floor to the top's underside, its section, its joint; mm, MPa.

    ``wide`` and ``thick`` are its sizes along the unit vectors ``y`` and ``z``; ``section`` is the
    modulus of what is left at the joint, mm³, the weaker way.
    """

    name: str
    foot: tuple[float, float]
    head: tuple[float, float]
    high: float
    wide: float
    thick: float
    y: Vec
    z: Vec
    e: float
    mor: float
    section: float
    joint: JointStiffness

    @property
    def length(self) -> float:
        """Along the axis, mm."""
        out = math.dist(self.foot, self.head)
        return math.hypot(out, self.high)

    @property
    def area(self) -> float:
        """Section, mm²."""
        return self.wide * self.thick

    @property
    def lean(self) -> float:
        """Tangent of its resultant lean."""
        return math.dist(self.foot, self.head) / self.high

    def shares(self, axis: int) -> tuple[float, float]:
        """How a moment that turns it along x (0) or y (1) falls on its wide and thin way."""
        first, second = self.y[axis] ** 2, self.z[axis] ** 2
        return first / (first + second), second / (first + second)

    def turns(self, axis: int, state: State) -> float:
        """How far its head turns for each unit of moment, with its joint, 1/(N mm)."""
        strong = self.thick * self.wide**3 / 12.0
        weak = self.wide * self.thick**3 / 12.0
        tight: tuple[float, float] = (getattr(self.joint, state), self.joint.side)
        return sum(
            share * (1.0 / k + self.length / (3.0 * self.e * inertia))
            for share, k, inertia in zip(self.shares(axis), tight, (strong, weak), strict=True)
        )


@dataclass(frozen=True, slots=True)
class Splayed:
    """Legs under a top: (length, depth, thickness in mm, MOE in MPa), its underside at ``under``.

    ``under`` is measured from the floor.
    """

    legs: tuple[SplayedLeg, ...]
    top: tuple[float, float, float, float]
    under: float

    @property
    def push_height(self) -> float:
        """The middle of the top above the floor, where pushes come in, mm."""
        return self.under + self.top[2] / 2.0

    def spacing(self, axis: int) -> tuple[float, float]:
        """Half of the distance between heads, and between feet, along one axis, mm."""
        found = []
        for places in ([leg.head for leg in self.legs], [leg.foot for leg in self.legs]):
            along = [p[axis] for p in places]
            found.append((max(along) - min(along)) / 2.0)
        return found[0], found[1]

    @property
    def mirrored(self) -> bool:
        """Four legs, alike and mirrored about two planes, as the closed form takes them."""
        if len(self.legs) != 4:
            return False
        middle = [sum(leg.foot[i] for leg in self.legs) / 4.0 for i in (0, 1)]
        for axis in (0, 1):
            for places in ([leg.head for leg in self.legs], [leg.foot for leg in self.legs]):
                off = sorted(abs(p[axis] - middle[axis]) for p in places)
                if off[-1] - off[0] > _SAME or off[0] < _SAME:
                    return False
        return True


def read_splayed(bench: Bench) -> Splayed | None:
    """The bench as a top on splayed legs; None where a post isn't tenoned into the top so."""
    posts = {m.name: m for m in bench.timbers if m.role == "post"}
    heads = {
        j.entering.name: j
        for j in bench.joints
        if isinstance(j, AngledTenon | TaperedRound)
        and j.entering.name in posts
        and j.receiver.role in TOP_ROLES
    }
    tops = [m for m in bench.timbers if m.role in TOP_ROLES]
    if not posts or heads.keys() != posts.keys() or not tops:
        return None
    floor = min(low[2] for low, _ in bench.bounds.values())
    low = [min(m.bounds()[0][i] for m in tops) for i in range(3)]
    high = [max(m.bounds()[1][i] for m in tops) for i in range(3)]
    size = (high[0] - low[0], high[1] - low[1], high[2] - low[2], tops[0].species.moe)
    under = low[2] - floor
    legs = tuple(_leg(m, heads[name], floor, under) for name, m in posts.items())
    found = Splayed(legs, size, under)
    return found if found.mirrored else None


def _leg(m: Member, joint: AngledTenon | TaperedRound, floor: float, under: float) -> SplayedLeg:
    start = m.placement.point((0.0, m.width / 2.0, m.thickness / 2.0))
    x = m.placement.x

    def at(z: float) -> tuple[float, float]:
        run = (z - start[2]) / x[2]
        return start[0] + run * x[0], start[1] + run * x[1]

    if isinstance(joint, AngledTenon):
        w, t = joint.width, joint.thickness
        section = w * t * min(w, t) / 6.0
    else:
        section = math.pi * joint.diameter**3 / 32.0
    return SplayedLeg(
        m.name,
        at(floor),
        at(floor + under),
        under,
        m.width,
        m.thickness,
        m.placement.y,
        m.placement.z,
        m.species.moe,
        m.species.mor,
        section,
        leaning_stiffness(joint),
    )


@dataclass(frozen=True, slots=True)
class LegForces:
    """What a push does to each leg: moment at its head (N mm), axial and upright force (N)."""

    moment: float
    axial: float
    upright: float


def leg_forces(frame: Splayed, axis: int, push: float) -> LegForces:
    """The forces in each of four mirrored legs under a push along x (0) or y (1)."""
    n, h = len(frame.legs), frame.under
    (a, b), (c, d) = frame.spacing(axis), frame.spacing(1 - axis)
    s, r = b - a, d - c
    upright = push * frame.push_height / (n * b)
    flat = push * h / n - upright * s
    moment = flat * math.sqrt(1.0 + r * r / (h * h + s * s))
    # What lies along the leg: its share of the push, the upright force, and its pair's thrust.
    turned = -flat * s * r / (h * h + s * s)
    thrust = (upright * r - turned) / h
    long = math.sqrt(h * h + s * s + r * r)
    axial = (push / n * s + upright * h + thrust * r) / long
    return LegForces(abs(moment), axial, upright)


def splayed_sway(frame: Splayed, axis: int, push: float, state: State) -> float:
    """Sway in mm of the top's middle plane under ``push`` N along x (0) or y (1)."""
    forces = leg_forces(frame, axis, push)
    a, _ = frame.spacing(axis)
    work = 0.0
    for leg in frame.legs:
        ga = leg.e / E_OVER_G * 5.0 / 6.0 * leg.area
        work += forces.moment**2 * leg.turns(axis, state)
        work += (forces.moment / leg.length) ** 2 * leg.length / ga
        work += forces.axial**2 * leg.length / (leg.e * leg.area)
    length, depth, thick, e = frame.top
    wide, moe = (depth, e) if axis == 0 else (length, ACROSS_OVER_ALONG * e)
    # The top turns with each head: half of its width to a row, both ends of a row alike. At its
    # middle plane the moment is more by the push's share over half of its thickness.
    rows = len(frame.legs) / 2.0
    inertia = wide / rows * thick**3 / 12.0
    at_top = push * frame.push_height / len(frame.legs) * a / frame.spacing(axis)[1]
    work += rows * at_top**2 * 2.0 * a / (3.0 * moe * inertia)
    return work / push


def leg_figures(frame: Splayed, mass: MassData, moments: Mapping[str, float]) -> tuple[Figure, ...]:
    """A leg's bending at its joint under a stroke, and the force along it under a person."""
    legs = {leg.name: leg for leg in frame.legs}
    stress = {name: m / legs[name].section for name, m in moments.items()}
    worst = legs[max(stress, key=lambda name: stress[name])]
    weight = (PERSON + mass.total / len(legs)) * GRAVITY
    steep = max(frame.legs, key=lambda leg: leg.lean)
    thrust, grip = weight * steep.lean, weight * FLOOR_FRICTION
    rest = max(0.0, thrust - grip) * frame.under / 1000.0
    held = (
        f"the rest bends the joint with {rest:.1f} Nm"
        if rest > 0.0
        else "so that it stays where it is"
    )
    return (
        Figure(
            key="leg-bending",
            title="bending of a leg at its joint",
            load_case=f"a planing stroke of {PUSH_ALONG:g} N along the bench, or of "
            f"{PUSH_ACROSS:g} N across it",
            value=stress[worst.name],
            limit=worst.mor * _BENDING,
            unit="MPa",
            source="statics of the splayed frame over the tenon's section; limit worked down from "
            "the Wood Handbook's average strength, factors from memory; loads our own choice",
            member=worst.name,
            note=f"a moment of {moments[worst.name] / 1000.0:.1f} Nm where the leg enters the top",
        ),
        Figure(
            key="leg-force",
            title="force along a leg",
            load_case=f"a person of {PERSON:g} kg over one leg, and a share of the bench",
            value=weight * math.hypot(1.0, steep.lean),
            limit=None,
            unit="N",
            source="statics; the load is our own choice",
            member=steep.name,
            note=f"its foot is pushed outward with {thrust:.0f} N; floor friction of "
            f"{FLOOR_FRICTION:g} takes {min(thrust, grip):.0f} N of it, {held}",
        ),
    )
