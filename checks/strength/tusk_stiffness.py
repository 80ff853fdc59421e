"""How stiff a tusk tenon is against rotation: our own model beside the pegged tenon's, advisory.

The wedge draws the shoulder home as pegs do, but from the middle of the tenon and at the far
face. **Tight**, the shoulder is closed over its whole area. **Worn**, the wedge has slackened to
a spring: the shoulder opens on one side, and the tenon pulls at the wedge half-way across it.

The wedge as a spring: it presses into the receiver's side grain where it stands out of the
tenon (the shoulder's own bed modulus), is squeezed across its own grain, and bends between the
two places where it bears, loaded evenly by the tenon (FPL-GTR-190 Eq. 9-2). The end grain beyond
its hole is stiffer by far and left out. How hard it draws: until the wood under it is pressed to
its strength across the grain, as a wedge set by a mallet does (our own choice); half of that
relaxes, as with pegs. Sizes in mm, forces in N.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.checks.strength.beams import E_OVER_G, deflection

if TYPE_CHECKING:
    from treenail.joints.tenon_variants.tusk import TuskTenon

__all__ = ["wedge_bearing", "wedge_draw", "wedge_stiffness"]


def wedge_bearing(joint: TuskTenon) -> float:
    """Area in mm² over which the wedge bears on the receiver, both sides of the tenon."""
    deep = joint.wedge_face.inward[1] != 0.0
    play = (joint.fit.edge.mid if deep else joint.fit.cheek.mid) / 2
    return joint.wedge_thickness * sum(max(0.0, x - play) for x in (joint.head, joint.tail))


def wedge_stiffness(joint: TuskTenon, bed: float, across_over_along: float) -> float:
    """Pull over slip in N/mm; 0 where the wedge bears on nothing.

    ``bed`` is the receiver's side grain as an elastic bed, N/mm³.
    """
    area, wide = wedge_bearing(joint), joint.wedge_width
    if area <= 0.0:
        return 0.0
    e = joint.wedge_species.moe
    start, stop = joint.drive_span
    inertia = joint.wedge_thickness * wide**3 / 12
    sheared = e / E_OVER_G * 5 / 6 * joint.wedge_thickness * wide
    bends = deflection("simple uniform", 1.0, stop - start, e * inertia, sheared)
    return 1.0 / (1.0 / (bed * area) + wide / (across_over_along * e * area) + bends)


def wedge_draw(joint: TuskTenon) -> float:
    """Force in N with which a well-set wedge draws the shoulder home, fresh."""
    return wedge_bearing(joint) * min(joint.receiver.species.cperp, joint.wedge_species.cperp)
