"""A stand for a sailmaker's bolts of canvas: no bench, but every let-in joint is in it.

Invented for the tests, as the yard's whole workshop is.
"""

from __future__ import annotations

from treenail.generators.bench import Bench, Seasons
from treenail.joints.base import Joint
from treenail.timber.member import Member


def bench_of(*joints: Joint, timbers: tuple[Member, ...] | None = None) -> Bench:
    """A bench of the joints' members, asked to be as large as it is."""
    own = timbers or tuple({m.name: m for j in joints for m in j.members}.values())
    lows, highs = zip(*(m.bounds() for m in own), strict=True)
    asked = tuple(max(p[i] for p in highs) - min(p[i] for p in lows) for i in range(3))
    return Bench(
        name="canvas stand",
        family="by hand",
        units="mm",
        timbers=own,
        joints=joints,
        asked=(asked[0], asked[1], asked[2]),
        seasons=Seasons(at_build=9.0, driest=6.0, wettest=12.0),
    )
