"""Does it shake: the natural frequency of sway, from stiffness and the mass that moves.

f = (1/2 pi) sqrt(k/m), k the push over the sway it makes. The bench sways about its feet nearly
in a straight line, so a piece at height z moves by z/H: the mass that counts is the sum of
m (z/H)² (Rayleigh's method; an upright post counts a third, as its (z/H)² averages).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench

__all__ = ["frequency", "swaying_mass"]


def frequency(stiffness: float, mass: float) -> float:
    """Natural frequency in Hz from N/mm and kg."""
    if not stiffness > 0.0:
        return 0.0
    return math.sqrt(stiffness * 1000.0 / mass) / (2 * math.pi)


def swaying_mass(bench: Bench, mass: MassData, head: float) -> float:
    """Mass in kg that moves with the posts' heads at ``head`` mm above the floor."""
    centres = {b.name: b for b in mass.bodies}
    floor = min((low[2] for low, _ in bench.bounds.values()), default=0.0)
    total = 0.0
    uprights = {m.name: m for m in bench.timbers if m.role == "post"}
    for name, body in centres.items():
        if name in uprights:
            low, high = bench.bounds[name]
            a, b = (low[2] - floor) / head, (high[2] - floor) / head
            total += body.mass * (a * a + a * b + b * b) / 3
        else:
            total += body.mass * min(1.0, (body.centre[2] - floor) / head) ** 2
    return total
