"""Do the posts stand: column stability by NDS eq. 3.7-1 with values from clear-wood averages.

C_P = (1 + a)/2c - sqrt(((1 + a)/2c)² - a/c), a = F_cE/F_c*, F_cE = 0.822 E_min/(l_e/d)².
Design values belong to graded lumber; a bench's wood isn't graded, so F_c* and E_min are
worked down from the Wood Handbook's averages, and the result only advises.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.checks.strength.loads import GRAVITY, Figure

if TYPE_CHECKING:
    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench

__all__ = ["column_figures", "column_stability", "euler_stress", "post_capacity"]

SLENDEREST = 50.0
"""Largest l_e/d that the NDS allows (section 3.7.1.4)."""

LENGTH_FACTOR = 2.4
"""l_e over the length of a post that turns at the foot and sways at the head (NDS Appendix G,
recommended value, from memory): nothing but the joints holds a bench against sway."""

POST_LOAD = 200.0
"""Load on one post beside its share of the bench, kg: two people, or a vise at work, over one
corner (our own choice)."""

# Average to design value: 5 % exclusion at 18 % variation, then 1.9 for duration and safety;
# E_min at 25 % variation with 1.66: NDS Appendix D and ASTM D245, from memory.
_FC_FACTOR = (1 - 1.645 * 0.18) / 1.9
_E_MIN_FACTOR = (1 - 1.645 * 0.25) * 1.03 / 1.66


def euler_stress(e_min: float, slenderness: float) -> float:
    """F_cE = 0.822 E_min/(l_e/d)², in the unit of ``e_min``: NDS section 3.7.1.5."""
    return 0.822 * e_min / slenderness**2


def column_stability(f_ce: float, f_c: float, c: float = 0.8) -> float:
    """C_P, the share of F_c* that a column of this slenderness keeps: NDS eq. 3.7-1.

    ``c`` is 0.8 for sawn lumber, 0.9 for glued laminated timber. Limits: F_cE to infinity
    gives 1, to 0 gives F_cE/F_c* (Euler).
    """
    alpha = f_ce / f_c
    if alpha == 0.0:
        return 0.0
    middle = (1 + alpha) / (2 * c)
    # (A - sqrt(A² - B)) as B/(A + sqrt(A² - B)): no cancellation at either end.
    return (alpha / c) / (middle + math.sqrt(middle * middle - alpha / c))


def post_capacity(side: float, other: float, length: float, f_c: float, e_min: float) -> float:
    """Load in N that a post may carry by its stability; ``side`` is the thinner size, mm."""
    slenderness = LENGTH_FACTOR * length / side
    f_ce = euler_stress(e_min, slenderness)
    return column_stability(f_ce, f_c) * f_c * side * other


def column_figures(bench: Bench, mass: MassData) -> tuple[Figure, ...]:
    """The weakest post's allowable load against what stands on it."""
    posts = [m for m in bench.timbers if m.role == "post"]
    if not posts:
        return ()
    load = (POST_LOAD + mass.total / len(posts)) * GRAVITY
    found = {
        m.name: post_capacity(
            min(m.width, m.thickness),
            max(m.width, m.thickness),
            m.length,
            m.species.cpar * _FC_FACTOR,
            m.species.moe * _E_MIN_FACTOR,
        )
        # A leg that leans carries more along itself than what stands on it.
        * abs(m.placement.x[2])
        for m in posts
    }
    name = min(found, key=lambda n: found[n])
    weakest = next(m for m in posts if m.name == name)
    slender = LENGTH_FACTOR * weakest.length / min(weakest.width, weakest.thickness)
    over = f"; l_e/d {slender:.0f} is over the NDS's 50" if slender > SLENDEREST else ""
    return (
        Figure(
            key="post-buckling",
            title="load that a post may carry",
            load_case=f"{POST_LOAD:g} kg over one corner, and a share of the bench",
            value=found[name],
            limit=load,
            at_least=True,
            unit="N",
            source="NDS eq. 3.7-1; F_c* and E_min worked down from the Wood Handbook's averages, "
            "effective length 2.4, from memory; load our own choice",
            member=name,
            note=f"slenderness l_e/d {slender:.1f}{over}; gross section, mortises not taken off",
        ),
    )
