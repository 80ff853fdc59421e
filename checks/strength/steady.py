"""Does it tip, does it slide: statics of a rigid bench on its feet.

A push F at height h tips the bench about the edge of its feet when F h = W a, with a the
horizontal distance from the centre of mass to that edge. For a bench whose centre of mass is
midway that is F = W (b/2)/h.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.strength.loads import (
    FLOOR_FRICTION,
    GRAVITY,
    KNEE,
    KNEE_HIGH,
    PERSON,
    STEADY_PUSH,
    Figure,
)
from treenail.generators.fittings.site import FITTINGS
from treenail.joints.features import ChamferedFoot
from treenail.joints.held_down import HeldDown
from treenail.joints.levelling import LevellingFoot

if TYPE_CHECKING:
    from treenail.checks.strength.mass import MassData
    from treenail.generators.bench import Bench

__all__ = ["Stance", "stance", "steady_figures", "tipping_force"]

_STATICS = "statics of a rigid body; the load is our own choice"


@dataclass(frozen=True, slots=True)
class Stance:
    """What stands on the floor, and the top above it: ranges in the bench's x and y, mm."""

    feet_x: tuple[float, float]
    feet_y: tuple[float, float]
    top_x: tuple[float, float]
    top_y: tuple[float, float]
    height: float


def tipping_force(weight: float, lever: float, height: float) -> float:
    """Horizontal force in N at ``height`` mm that tips ``weight`` N about an edge.

    ``lever`` is the horizontal distance of the centre of mass from that edge, mm; 0 or less
    means that it has tipped already (0 N).
    """
    return max(0.0, weight * lever / height)


def stance(bench: Bench) -> Stance | None:
    """Feet and top of a bench; None if nothing stands on the floor or it has no height."""
    chamfer = {j.member.name: j.leg for j in bench.joints if isinstance(j, ChamferedFoot)}
    bounds = bench.bounds
    # A chop or guide may hang lower than posts on levelling feet, and stands on nothing.
    standing = {m.name: bounds[m.name] for m in bench.timbers if m.assembly != FITTINGS}
    if not standing:
        return None
    floor = min(low[2] for low, _ in standing.values())
    height = max(high[2] for _, high in bounds.values())
    pads = [j for j in bench.joints if isinstance(j, LevellingFoot)]
    feet = [_pad(j) for j in pads] or [
        (low[0] + c, high[0] - c, low[1] + c, high[1] - c)
        for name, (low, high) in standing.items()
        if low[2] - floor < 1e-6
        for c in (chamfer.get(name, 0.0),)
    ]
    high = [m for m in bench.timbers if height - bounds[m.name][1][2] < 1e-6]
    # Legs that come up through the top end as high as it does, and are none of it.
    tops = [bounds[m.name] for m in [m for m in high if m.assembly == "top"] or high]
    if height - floor <= 0.0:
        return None
    return Stance(
        (min(f[0] for f in feet), max(f[1] for f in feet)),
        (min(f[2] for f in feet), max(f[3] for f in feet)),
        (min(low[0] for low, _ in tops), max(high[0] for _, high in tops)),
        (min(low[1] for low, _ in tops), max(high[1] for _, high in tops)),
        height - floor + (pads[0].standing if pads else 0.0),
    )


def _pad(foot: LevellingFoot) -> tuple[float, float, float, float]:
    (item,) = foot.hardware()
    x, y, _ = item.placement.origin
    return x - foot.pad / 2, x + foot.pad / 2, y - foot.pad / 2, y + foot.pad / 2


def steady_figures(bench: Bench, mass: MassData) -> tuple[Figure, ...]:
    """Tipping along and across, somebody's weight at the top's edges, and sliding."""
    stand = stance(bench)
    if stand is None:
        return ()
    w, knee = mass.weight, ""
    if any(isinstance(j, HeldDown) for j in bench.joints):
        return (_clamps(w, mass, stand),)
    if stand.height <= KNEE_HIGH:
        # Over the middle of the feet or inward of it: the centre of mass is taken to stay.
        w, knee = w + KNEE * GRAVITY, f", {KNEE:g} kg of a knee on the work"
    found = []
    for key, words, axis, feet in (
        ("tip-along", "along the bench", 0, stand.feet_x),
        ("tip-across", "across the bench", 1, stand.feet_y),
    ):
        lever = min(mass.centre[axis] - feet[0], feet[1] - mass.centre[axis])
        found.append(
            Figure(
                key=key,
                title=f"push that tips it {words}",
                load_case=f"a steady push of {STEADY_PUSH:g} N at the top's edge, {words}{knee}",
                value=tipping_force(w, lever, stand.height),
                limit=STEADY_PUSH,
                at_least=True,
                unit="N",
                source=_STATICS,
            )
        )
    found += [_edge_figure(mass.weight, mass, stand, axis) for axis in (0, 1)]
    found.append(
        Figure(
            key="slide",
            title="push at which it slides",
            load_case=f"a steady push of {STEADY_PUSH:g} N, floor friction {FLOOR_FRICTION:g}"
            f"{knee}",
            value=FLOOR_FRICTION * w,
            limit=STEADY_PUSH,
            at_least=True,
            unit="N",
            source=f"F = mu W; mu {FLOOR_FRICTION:g} from memory; the load is our own choice",
            note="a rough or rubber underlay, weight on the shelf or a stop at the wall hold it",
        )
    )
    return tuple(found)


def _clamps(weight: float, mass: MassData, stand: Stance) -> Figure:
    """What holds a bench that stands on another one: its clamps, not its own weight."""
    lever = min(mass.centre[1] - stand.feet_y[0], stand.feet_y[1] - mass.centre[1])
    wide = stand.feet_y[1] - stand.feet_y[0]
    return Figure(
        key="clamp-pull",
        title="pull of the clamps that keeps it from tipping",
        load_case=f"a steady push of {STEADY_PUSH:g} N at the top's edge, across the bench",
        value=max(0.0, (STEADY_PUSH * stand.height - weight * lever) / wide),
        limit=None,
        unit="N",
        source=_STATICS,
        note="it stands on another bench: pins keep it from sliding, clamps from tipping; whether "
        "that bench stands is for that one's own check",
    )


def _edge_figure(weight: float, mass: MassData, stand: Stance, axis: int) -> Figure:
    """Load in kg that tips the bench when it stands on the worse edge of the top."""
    feet, top = (stand.feet_x, stand.top_x) if axis == 0 else (stand.feet_y, stand.top_y)
    at = mass.centre[axis]
    loads = []
    for lever, beyond in ((at - feet[0], feet[0] - top[0]), (feet[1] - at, top[1] - feet[1])):
        loads.append(weight * max(0.0, lever) / beyond if beyond > 1e-9 else float("inf"))
    where = "end" if axis == 0 else "front or back edge"
    return Figure(
        key="tip-end" if axis == 0 else "tip-edge",
        title=f"load on the top's {where} that tips it",
        load_case=f"a person of {PERSON:g} kg at the top's {where}",
        value=min(loads) / GRAVITY,
        limit=PERSON,
        at_least=True,
        unit="kg",
        source=_STATICS,
    )
