"""Aprons pegged to posts: rails of the frame, held against turning by their treenails alone.

The pegs stand in single shear around their middle: K = k sum(r²), F = M r/sum(r²). A peg's slip
in one shear plane is half of that in two (``joint_stiffness``). An apron's notch is open at both
sides of the post, and glue across so wide a board won't last: neither counts, so that the joint
is as stiff worn as new. Capacity: the NDS's yield modes for a dowel in single shear (Table
12.3.1A, from memory), reduced as the other pegs'; steel's, so outside its scope.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.checks.strength.fasteners import SAFETY, SHORT_LOAD, dowel_strength
from treenail.checks.strength.joint_stiffness import (
    ACROSS_OVER_ALONG,
    MODEL,
    JointStiffness,
    peg_stiffness,
)
from treenail.checks.strength.loads import Figure
from treenail.joints.treenails import Treenails

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.generators.bench import Bench

__all__ = ["pairs_on_posts", "single_shear", "treenail_capacity", "treenail_figures", "turning"]


def turning(joint: Treenails) -> JointStiffness:
    """How stiffly the pegs hold the apron against turning on the post's face; N mm/rad.

    About the post's own axis the apron presses on the notch's floor, as a shoulder does.
    """
    post, apron = joint.receiver, joint.entering
    density = min(post.species.density(12.0), apron.species.density(12.0))
    peg = peg_stiffness(joint.diameter, density, joint.species.moe) / 2
    square = math.fsum(r * r for r in joint.radii())
    bed = ACROSS_OVER_ALONG * post.species.moe / (post.extent(joint.receiver_face) / 2)
    wide = next(s for s in post.face_size(joint.receiver_face) if s != post.length)
    return JointStiffness(
        joint.name,
        peg * square,
        peg * square,
        bed * apron.width * wide**3 / 12,
        math.inf,
        max(joint.radii()) / square if square > 0.0 else 0.0,
        glued=False,
    )


def pairs_on_posts(bench: Bench, posts: Mapping[str, object]) -> list[tuple[Treenails, Treenails]]:
    """The two joints of every member that is pegged to two posts, by the member's place."""
    ends: dict[str, list[Treenails]] = {}
    for joint in bench.joints:
        if isinstance(joint, Treenails) and joint.receiver.name in posts:
            ends.setdefault(joint.entering.name, []).append(joint)
    return [(pair[0], pair[1]) for pair in ends.values() if len(pair) == 2]


def single_shear(
    *, diameter: float, side: float, main: float, bearing: tuple[float, float], bending: float
) -> float:
    """Yield load in N of a dowel in single shear: the least of the NDS's six modes.

    Lengths in the side and the main member in mm, their bearing strengths and the dowel's
    bending strength in MPa.
    """
    f_s, f_m = bearing
    d, re, rt = diameter, f_m / f_s, main / side
    root = re + 2 * re * re * (1 + rt + rt * rt) + rt * rt * re**3
    k1 = (math.sqrt(root) - re * (1 + rt)) / (1 + re)
    bend = 2 * bending * d * d / (3 * f_m)
    k2 = -1 + math.sqrt(2 * (1 + re) + bend * (1 + 2 * re) / main**2)
    k3 = -1 + math.sqrt(2 * (1 + re) / re + bend * (2 + re) / side**2)
    return min(
        d * main * f_m,
        d * side * f_s,
        k1 * d * side * f_s,
        k2 * d * main * f_m / (1 + 2 * re),
        k3 * d * side * f_m / (2 + re),
        d * d * math.sqrt(2 * f_m * bending / (3 * (1 + re))),
    )


def treenail_capacity(joint: Treenails) -> float:
    """Advisory load in N on one peg for a short time; in the post it presses across the grain."""
    d, peg = joint.diameter, joint.species
    folds = single_shear(
        diameter=d,
        side=joint.thickness,
        main=joint.hold - joint.tip,
        bearing=(
            dowel_strength(joint.entering.species.g_0, d, along=False),
            dowel_strength(joint.receiver.species.g_0, d, along=False),
        ),
        bending=peg.mor,
    )
    return SHORT_LOAD * min(folds, math.pi * d * d / 4 * peg.shear) / SAFETY


def treenail_figures(
    bench: Bench, moments: Mapping[str, float], stiffness: Mapping[str, JointStiffness]
) -> tuple[Figure, ...]:
    """The hardest-worked treenail; ``moments`` in N mm by the pegged member's name."""
    rows = []
    for joint in bench.joints:
        if isinstance(joint, Treenails) and joint.name in stiffness:
            pull = moments.get(joint.entering.name, 0.0) * stiffness[joint.name].peg_pull
            rows.append((pull / treenail_capacity(joint), pull, joint))
    if not rows:
        return ()
    _, pull, joint = max(rows, key=lambda r: r[0])
    return (
        Figure(
            key="treenail-pull",
            title="pull on the hardest-worked treenail",
            load_case="a hard planing stroke, the pegs alone keep the apron from turning",
            value=pull,
            limit=treenail_capacity(joint),
            unit="N",
            source="NDS dowel equations in single shear with the peg's own bending and shear "
            f"strength, a quarter of the yield load times 1.6 for a short load, from memory; "
            f"{MODEL}",
            member=joint.entering.name,
            note=joint.name,
        ),
    )
