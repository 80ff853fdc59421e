"""Bought parts whose sizes the user measures: vise screws, guide rods, levelling feet; mm.

They are round, and known by the rings along their axis. No catalogue stands behind them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

from treenail.timber.errors import GeometryError
from treenail.timber.fasteners import LagSize

__all__ = ["MeasuredPart", "Ring", "headed_rod", "levelling_foot"]

#: (from, to, diameter) along the part's axis, mm.
Ring: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPart(LagSize):
    """A round part in its own coordinates: z runs along it, 0 is where it bears.

    Where a bolt has its washer, it has a collar: ``washer_od`` wide, ``washer_thickness`` thick.

    Attributes:
        rings: its stretches in order, end to end.
    """

    rings: tuple[Ring, ...]

    def __post_init__(self) -> None:
        """Refuse rings that don't follow each other (GeometryError)."""
        ends = [r[1] for r in self.rings[:-1]]
        starts = [r[0] for r in self.rings[1:]]
        if ends != starts or any(b <= a or d <= 0.0 for a, b, d in self.rings):
            raise GeometryError(f"{self.name}: its stretches don't follow each other")

    @property
    def volume(self) -> float:
        """mm³."""
        return math.fsum(math.pi / 4 * d * d * (b - a) for a, b, d in self.rings)

    @property
    def middle(self) -> float:
        """Where its centre of mass lies along z, mm."""
        moments = (math.pi / 8 * d * d * (b * b - a * a) for a, b, d in self.rings)
        return math.fsum(moments) / self.volume


def _part(name: str, rings: tuple[Ring, ...], **sizes: float) -> MeasuredPart:
    kept = tuple(r for r in rings if r[1] - r[0] > 1e-9)
    return MeasuredPart(
        name=name,
        rings=kept,
        washer="none",
        washer_id=sizes["diameter"],
        head_flats=sizes["washer_od"],
        head_height=0.0,
        clearance_hole=sizes["diameter"],
        source="measured by the user",
        **sizes,
    )


def headed_rod(*, diameter: float, length: float, collar: float, thickness: float) -> MeasuredPart:
    """A rod or screw with a collar: ``length`` from the collar's bearing face to its end, mm."""
    rings = ((-thickness, 0.0, collar), (0.0, length, diameter))
    name = f"{diameter:g} x {length:g} mm"
    return _part(name, rings, diameter=diameter, washer_od=collar, washer_thickness=thickness)


def levelling_foot(
    *,
    pad: float,
    pad_thickness: float,
    stud: float,
    reach: float,
    insert: tuple[float, float, float],
) -> MeasuredPart:
    """A levelling foot with its insert, standing on z = 0.

    Args:
        pad: diameter of the foot, mm.
        pad_thickness: its height, mm.
        stud: diameter of the thread, mm.
        reach: from the floor to the stud's end, mm.
        insert: from the floor to the insert's ends, and its outside diameter, mm.
    """
    low, high, wide = insert
    rings = (
        (0.0, pad_thickness, pad),
        (pad_thickness, low, stud),
        (low, high, wide),
        (high, max(reach, high), stud),
    )
    name = f"{stud:g} mm foot"
    return _part(name, rings, diameter=stud, washer_od=pad, washer_thickness=pad_thickness)
