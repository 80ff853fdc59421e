"""What holds the joints: lag bolts by the NDS, pegs by its dowel equations. Both advise only.

Lag bolts: withdrawal W = 1800 G^1.5 D^0.75 lb/in (NDS-2018 section 12.2.1). Pegs: the NDS's
yield modes for a dowel in double shear (Table 12.3.1A, from memory), with the peg's own bending
strength, and a mode that steel has no need of: the peg shears off on both sides of the tenon.
The NDS's modes were made for steel; wooden pegs are outside its scope.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.strength.joint_stiffness import MODEL, JointStiffness
from treenail.checks.strength.loads import GRAVITY, PERSON, Figure
from treenail.generators.tops import TOP_ROLES
from treenail.joints.lag_bolt import LagBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.fasteners import (
    dowel_bearing,
    lag_thread_length,
    lag_tip_length,
    lag_withdrawal,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench

__all__ = [
    "PegModes",
    "dowel_strength",
    "fastener_figures",
    "lag_capacity",
    "peg_capacity",
    "peg_modes",
]

SAFETY = 4.0
"""Reduction of a peg's yield load: the NDS's R_d for bearing, 4 K_theta with the load along the
grain (Table 12.3.1B, from memory), taken for every mode."""

SHORT_LOAD = 1.6
"""Load duration factor for loads up to ten minutes: a planing stroke (NDS Table 2.3.2, from
memory)."""


@dataclass(frozen=True, slots=True)
class PegModes:
    """Yield load in N of one peg in double shear, by mode (before any reduction).

    ``tenon`` and ``post``: the wood is crushed there (modes I_m and I_s); ``bends_once`` and
    ``bends_twice``: the peg folds (III_s and IV); ``shears``: it shears off on both sides.
    """

    tenon: float
    post: float
    bends_once: float
    bends_twice: float
    shears: float

    @property
    def least(self) -> tuple[float, str]:
        """The governing load and what happens, in shop words."""
        rows = (
            (self.tenon, "the tenon's hole is crushed"),
            (self.post, "the post's holes are crushed"),
            (self.bends_once, "the peg folds in the tenon"),
            (self.bends_twice, "the peg folds in tenon and post"),
            (self.shears, "the peg shears off"),
        )
        return min(rows, key=lambda r: r[0])


def peg_modes(
    *,
    diameter: float,
    tenon: float,
    wall: float,
    bearing_tenon: float,
    bearing_post: float,
    bending: float,
    shear: float,
) -> PegModes:
    """Yield modes of a dowel in double shear; sizes in mm, stresses in MPa.

    ``tenon`` is the tenon's thickness, ``wall`` the peg's length in the thinner wall beside it,
    ``bending`` and ``shear`` the peg's own strength.
    """
    d, r = diameter, bearing_tenon / bearing_post
    ratio = bending / bearing_tenon
    k3 = -1 + math.sqrt(2 * (1 + r) / r + 2 * ratio * (2 + r) * d * d / (3 * wall * wall))
    return PegModes(
        tenon=d * tenon * bearing_tenon,
        post=2 * d * wall * bearing_post,
        bends_once=2 * k3 * d * wall * bearing_tenon / (2 + r),
        bends_twice=2 * d * d * math.sqrt(2 * bearing_tenon * bending / (3 * (1 + r))),
        shears=2 * math.pi * d * d / 4 * shear,
    )


def dowel_strength(g_0: float, diameter: float, *, along: bool) -> float:
    """Dowel bearing strength, MPa; the nearest diameter of the NDS's range is taken."""
    d = min(max(diameter, 6.35), 25.4)
    return dowel_bearing(g_0, d, grain="along" if along else "across")


def peg_capacity(joint: MortiseTenon) -> tuple[float, str] | None:
    """Advisory pull in N that one peg may take for a short time, and how it would give.

    None: the joint has no pegs.

    The pull is along the stretcher's grain, across the post's.
    """
    draw = joint.draw
    if draw is None or draw.count == 0:
        return None
    s = joint.shoulders
    depth = joint.receiver.extent(joint.drive_face)
    # The post's walls: as the tenon stands in the post, the stopped side by the peg's length.
    near = _near_wall(joint)
    far = max(0.0, min(depth, joint.peg_hole_depth) - near - joint.thickness)
    wall = min(near, far) or max(s.face_side, s.back_side, 1.0)
    modes = peg_modes(
        diameter=draw.diameter,
        tenon=joint.thickness,
        wall=wall,
        bearing_tenon=dowel_strength(joint.entering.species.g_0, draw.diameter, along=True),
        bearing_post=dowel_strength(joint.receiver.species.g_0, draw.diameter, along=False),
        bending=draw.species.mor,
        shear=draw.species.shear,
    )
    force, words = modes.least
    return SHORT_LOAD * force / SAFETY, words


def _near_wall(joint: MortiseTenon) -> float:
    """Post's wood between the drive face and the tenon's nearer cheek, mm."""
    from treenail.timber.frames import dot, sub

    drive = joint.drive_direction
    post = joint.receiver
    surface = post.placement.point(post.face_frame(joint.drive_face).origin)
    _, _, y0, y1 = joint.section
    levels = [dot(sub(joint.mouth_point(0.0, y), surface), drive) for y in (y0, y1)]
    return max(0.0, min(levels))


def lag_capacity(bolt: LagBolt) -> float:
    """NDS reference withdrawal value of a lag bolt in the top's side grain, N."""
    whole = lag_thread_length(bolt.length)
    tip = lag_tip_length(bolt.size.diameter)
    thread = max(0.0, min(bolt.embedment, whole) - tip)
    return lag_withdrawal(bolt.top.species.g_0, bolt.size.diameter, thread)


def fastener_figures(
    bench: Bench,
    mass: MassData,
    moments: Mapping[str, float],
    stiffness: Mapping[str, JointStiffness],
) -> tuple[Figure, ...]:
    """The lag bolts when the bench is lifted by its top, and the worst peg under planing.

    ``moments`` are the joints' moments in N mm by joint or by stretcher, worn state.
    """
    found: list[Figure] = []
    bolts = [j for j in bench.joints if isinstance(j, LagBolt)]
    if bolts:
        found.append(_lag_figure(bench, mass, bolts))
    rows = []
    for joint in bench.joints:
        if not isinstance(joint, MortiseTenon) or joint.name not in stiffness:
            continue
        capacity = peg_capacity(joint)
        if capacity is not None:
            moment = moments.get(joint.name, moments.get(joint.entering.name, 0.0))
            pull = moment * stiffness[joint.name].peg_pull
            rows.append((pull / capacity[0], pull, capacity, joint))
    if rows:
        _, pull, (force, words), joint = max(rows, key=lambda r: r[0])
        assert joint.draw is not None
        found.append(
            Figure(
                key="peg-pull",
                title="pull on the hardest-worked peg",
                load_case="a hard planing stroke, joints worn so that the pegs alone hold them",
                value=pull,
                limit=force,
                unit="N",
                source="NDS dowel equations in double shear with the peg's own bending and shear "
                f"strength, a quarter of the yield load times 1.6 for a short load, from memory; "
                f"{MODEL}",
                member=joint.entering.name,
                note=f"{joint.name}; overloaded, {words}; the draw's own force comes on top",
            )
        )
    return tuple(found)


def _lag_figure(bench: Bench, mass: MassData, bolts: list[LagBolt]) -> Figure:
    tops = sum(mass.of(m.name) for m in bench.timbers if m.role in TOP_ROLES)
    below = (mass.total - tops) * GRAVITY
    # Lifted at one end by the top, half of the bolts work; somebody leans on the lower shelf.
    pull = (below + 0.5 * PERSON * GRAVITY) / max(1.0, len(bolts) / 2)
    weakest = min(bolts, key=lag_capacity)
    return Figure(
        key="lag-withdrawal",
        title="pull that a lag bolt may take",
        load_case=f"the bench lifted by its top, half of the bolts at work, with {PERSON / 2:g} kg "
        "on the shelf",
        value=lag_capacity(weakest),
        limit=pull,
        at_least=True,
        unit="N",
        source="NDS-2018 section 12.2.1, reference value; thread and point lengths from memory; "
        "load our own choice",
        member=weakest.carrier.name,
        note=f"bolt {weakest.name}: {weakest.embedment:.0f} mm in the top, point included",
    )
