"""Knock-down bolts in a frame: how stiffly they pull, how hard, and what gives first.

Our own model, as for pegs (``joint_stiffness``): the bolt pulls where pegs would. Its slip is
that of three springs in a row: the post's wood under the washer, E across the grain over the
grip, on the washer's ring without spread (the safe side); the barrel nut in the rail's end, two
planes of rho^1.5 d/23 (EN 1995-1-1 Table 7.1, from memory); the steel between them. Sizes in
mm, forces in N. All of it advises.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.checks.strength.loads import ACROSS_OVER_ALONG, Figure
from treenail.joints.barrel_bolt import BarrelBolt
from treenail.joints.mortise_tenon import MortiseTenon
from treenail.timber.fasteners import dowel_bearing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.checks.strength.joint_stiffness import JointStiffness
    from treenail.generators.bench import Bench

__all__ = ["bolt_capacity", "bolt_draw", "bolt_figures", "bolt_stiffness", "ring_area"]

STEEL_E = 210e3
"""MPa (from memory)."""

STEEL_YIELD = 240.0
"""The lowest property class sold, 4.6, MPa (ISO 898-1, from memory)."""

STRESS_AREA = 0.75
"""Of a thread, as a share of the full rod's: M8 36.6, M10 58 mm² (ISO 898-1, from memory)."""

WASHER_SAFETY = 1.67
"""Average crushing stress across the grain over the design value (ASTM D245, from memory)."""

SAFETY, SHORT_LOAD = 4.0, 1.6
"""Over averages in bearing and shear, and for a short load: as for pegs (NDS, from memory)."""


def ring_area(bolt: BarrelBolt) -> float:
    """What the washer presses on, mm²: its disc, less the hole in the wood."""
    return math.pi / 4 * (bolt.size.washer_od**2 - bolt.size.clearance_hole**2)


def _steel(bolt: BarrelBolt) -> float:
    return STRESS_AREA * math.pi / 4 * bolt.size.diameter**2


def bolt_stiffness(bolt: BarrelBolt) -> float:
    """Pull over slip of one bolt, N/mm."""
    post, rail, size = bolt.post.species, bolt.rail.species, bolt.size
    density = rail.density(12.0)
    washer = ACROSS_OVER_ALONG * post.moe * ring_area(bolt) / bolt.grip
    nut = 2.0 * density * math.sqrt(density) * size.nut_diameter / 23
    steel = STEEL_E * _steel(bolt) / (bolt.grip + bolt.setback)
    return 1.0 / (1.0 / washer + 1.0 / nut + 1.0 / steel)


def bolt_draw(bolt: BarrelBolt) -> float:
    """Its pull when it is tightened until the washer would begin to sink in, N (our own choice)."""
    return min(bolt.post.species.cperp * ring_area(bolt), STEEL_YIELD * _steel(bolt))


def bolt_capacity(bolt: BarrelBolt, end_wood: float) -> tuple[float, str]:
    """Advisory pull in N that one bolt may take for a short time, and how it would give.

    ``end_wood`` is the rail's full section from the nut's axis to its shoulder, mm: a stub tenon
    beyond is left out.
    """
    size, rail = bolt.size, bolt.rail.species
    bearing = dowel_bearing(rail.g_0, min(max(size.nut_diameter, 6.35), 25.4), grain="along")
    short = SHORT_LOAD / SAFETY
    rows = (
        (bolt.post.species.cperp * ring_area(bolt) / WASHER_SAFETY, "the washer sinks in"),
        (short * bearing * size.nut_diameter * size.nut_length, "the nut crushes the rail"),
        (short * 2.0 * rail.shear * end_wood * size.nut_length, "the nut shears out the end"),
        (STEEL_YIELD * _steel(bolt), "the bolt stretches"),
    )
    return min(rows, key=lambda r: r[0])


def bolt_figures(
    bench: Bench, moments: Mapping[str, float], stiffness: Mapping[str, JointStiffness]
) -> tuple[Figure, ...]:
    """The hardest-worked knock-down bolt under planing, worn; nothing without such bolts."""
    tenons = {
        (j.entering.name, j.receiver.name): j
        for j in bench.joints
        if isinstance(j, MortiseTenon) and j.name in stiffness
    }
    rows = []
    for bolt in bench.joints:
        if not isinstance(bolt, BarrelBolt):
            continue
        joint = tenons.get((bolt.rail.name, bolt.post.name))
        if joint is None:
            continue
        force, words = bolt_capacity(bolt, bolt.setback - joint.length)
        pull = moments.get(bolt.rail.name, 0.0) * stiffness[joint.name].peg_pull
        rows.append((pull / force, pull, force, words, bolt))
    if not rows:
        return ()
    _, pull, force, words, bolt = max(rows, key=lambda r: r[0])
    return (
        Figure(
            key="bolt-pull",
            title="pull on the hardest-worked knock-down bolt",
            load_case="a hard planing stroke, joints worn so that the bolts alone hold them",
            value=pull,
            limit=force,
            unit="N",
            source="average crushing across the grain over 1.67, bearing (NDS) and shear over 4 "
            "times 1.6 for a short load, property class 4.6: from memory; our own joint model",
            member=bolt.rail.name,
            note=f"{bolt.name}; overloaded, {words}; tighten the bolts again after the first dry "
            "season",
        ),
    )
