"""How stiff a tusk tenon is against rotation: our own model beside the pegged tenon's, advisory.

The wedge draws the shoulder home as pegs do, but at the receiver's far face, where it stands out
of the tenon on both sides. **Tight**, the shoulder is closed over its whole area. **Worn**, the
wedge has slackened to springs: the shoulder opens on one side, and the tenon pulls at the wedge.
An upright wedge bears above and below, so it is two springs at the tenon's two edges; a level one
bears on both sides of the middle, and is one spring there.

Each end as a spring: it presses into the receiver's side grain (the shoulder's own bed modulus),
is squeezed across its own grain, and the wedge bends between both, loaded evenly by the tenon
(FPL-GTR-190 Eq. 9-2). The end grain beyond its hole is stiffer by far and left out. How hard it
draws: until the wood under it is pressed to its strength across the grain, as a wedge set by a
mallet does (our own choice); half of that relaxes, as with pegs. Sizes in mm, forces in N.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.checks.strength.beams import E_OVER_G, deflection

if TYPE_CHECKING:
    from treenail.joints.tenon_variants.tusk import TuskTenon

__all__ = ["wedge_bearing", "wedge_draw", "wedge_springs"]


def wedge_bearing(joint: TuskTenon) -> tuple[float, float]:
    """Areas in mm² over which the wedge bears on the receiver: at its head and at its tail."""
    play = (joint.fit.edge.mid if _upright(joint) else joint.fit.cheek.mid) / 2
    head, tail = (joint.wedge_thickness * max(0.0, x - play) for x in (joint.head, joint.tail))
    return head, tail


def _upright(joint: TuskTenon) -> bool:
    """Whether the wedge goes through the tenon's width."""
    return joint.wedge_face.inward[1] != 0.0


def wedge_springs(
    joint: TuskTenon, bed: float, across_over_along: float
) -> tuple[float, tuple[float, ...]]:
    """(Pull over slip of each in N/mm, their places along the end frame's x in mm).

    ``bed`` is the receiver's side grain as an elastic bed, N/mm³. Of two springs that differ both
    are taken as the softer; where a wedge bears on nothing there are none.
    """
    area, wide = min(wedge_bearing(joint)), joint.wedge_width
    if area <= 0.0:
        return 0.0, ()
    e = joint.wedge_species.moe
    start, stop = joint.drive_span
    inertia = joint.wedge_thickness * wide**3 / 12
    sheared = e / E_OVER_G * 5 / 6 * joint.wedge_thickness * wide
    bends = deflection("simple uniform", 1.0, stop - start, e * inertia, sheared)
    each = 1.0 / (1.0 / (bed * area) + wide / (across_over_along * e * area) + 2 * bends)
    x0, x1, _, _ = joint.section
    return (each, (x0, x1)) if _upright(joint) else (2 * each, ((x0 + x1) / 2,))


def wedge_draw(joint: TuskTenon) -> float:
    """Force in N with which a well-set wedge draws the shoulder home, fresh."""
    strength = min(joint.receiver.species.cperp, joint.wedge_species.cperp)
    return strength * 2 * min(wedge_bearing(joint))
