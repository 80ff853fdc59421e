"""The revised NIOSH lifting equation: what one person may lift, from where to where.

Source: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110: the
equation, its metric constants and Table 5; frequencies over ten lifts a minute from memory. It
holds for one healthy person who lifts with two hands, standing, on a floor that grips, without a
twist that is not in the figures. For two people it says nothing: sharing a load evenly is our own
reading. It advises; a body that hurts has the last word.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from treenail.checks.strength.loads import LIFT_ALONE

__all__ = [
    "GRIPS",
    "SOURCE",
    "Lift",
    "asymmetry_multiplier",
    "distance_multiplier",
    "frequency_multiplier",
    "grip_multiplier",
    "hand_reach",
    "horizontal_multiplier",
    "vertical_multiplier",
    "weight_limit",
]

SOURCE = "revised NIOSH lifting equation, DHHS (NIOSH) 94-110"
Grip = Literal["good", "fair", "poor"]
GRIPS: tuple[Grip, ...] = ("good", "fair", "poor")

#: Lifts a minute -> multiplier for up to 1, 2, 8 hours of work with hands below 75 cm; then above
#: it where that differs.
_FREQUENCY: tuple[tuple[float, tuple[float, float, float], tuple[float, float, float]], ...] = (
    (0.2, (1.0, 0.95, 0.85), (1.0, 0.95, 0.85)),
    (0.5, (0.97, 0.92, 0.81), (0.97, 0.92, 0.81)),
    (1.0, (0.94, 0.88, 0.75), (0.94, 0.88, 0.75)),
    (2.0, (0.91, 0.84, 0.65), (0.91, 0.84, 0.65)),
    (3.0, (0.88, 0.79, 0.55), (0.88, 0.79, 0.55)),
    (4.0, (0.84, 0.72, 0.45), (0.84, 0.72, 0.45)),
    (5.0, (0.80, 0.60, 0.35), (0.80, 0.60, 0.35)),
    (6.0, (0.75, 0.50, 0.27), (0.75, 0.50, 0.27)),
    (7.0, (0.70, 0.42, 0.22), (0.70, 0.42, 0.22)),
    (8.0, (0.60, 0.35, 0.18), (0.60, 0.35, 0.18)),
    (9.0, (0.52, 0.30, 0.0), (0.52, 0.30, 0.15)),
    (10.0, (0.45, 0.26, 0.0), (0.45, 0.26, 0.13)),
    (11.0, (0.41, 0.0, 0.0), (0.41, 0.23, 0.0)),
    (12.0, (0.37, 0.0, 0.0), (0.37, 0.21, 0.0)),
    (13.0, (0.0, 0.0, 0.0), (0.34, 0.0, 0.0)),
    (14.0, (0.0, 0.0, 0.0), (0.31, 0.0, 0.0)),
    (15.0, (0.0, 0.0, 0.0), (0.28, 0.0, 0.0)),
)
_HOURS = (1.0, 2.0, 8.0)


def horizontal_multiplier(reach: float) -> float:
    """25/H, H in cm: hands to the middle of the ankles, ``reach`` in mm; 0 over 63 cm."""
    return 0.0 if reach > 630.0 else min(1.0, 250.0 / max(reach, 250.0))


def vertical_multiplier(height: float) -> float:
    """1 - 0.003 |V - 75|, V in cm: the hands' height over the floor in mm; 0 over 175 cm."""
    return 0.0 if not 0.0 <= height <= 1750.0 else 1.0 - 0.0003 * abs(height - 750.0)


def distance_multiplier(travel: float) -> float:
    """0.82 + 4.5/D, D in cm: how far up or down, mm; 1 up to 25 cm, 0 over 175 cm."""
    return 0.0 if travel > 1750.0 else min(1.0, 0.82 + 45.0 / max(travel, 250.0))


def asymmetry_multiplier(angle: float) -> float:
    """1 - 0.0032 A: the twist in degrees; 0 over 135."""
    return 0.0 if not 0.0 <= angle <= 135.0 else 1.0 - 0.0032 * angle


def frequency_multiplier(per_minute: float, hours: float, height: float) -> float:
    """Table 5: lifts a minute, hours of such work, the hands' height in mm; the next row up."""
    column = next((i for i, h in enumerate(_HOURS) if hours <= h + 1e-9), None)
    if column is None:
        return 0.0
    for most, low, high in _FREQUENCY:
        if per_minute <= most + 1e-9:
            return (low if height < 750.0 else high)[column]
    return 0.0


def grip_multiplier(grip: Grip, height: float) -> float:
    """Table 7: good 1, poor 0.9, fair 0.95 below 75 cm and 1 above; the hands' height in mm."""
    if grip == "fair":
        return 0.95 if height < 750.0 else 1.0
    return {"good": 1.0, "poor": 0.90}[grip]


def hand_reach(width: float, height: float) -> float:
    """H in mm for a load that is ``width`` mm from front to back, hands at ``height`` mm.

    20 + W/2 cm with the hands at 25 cm or higher, 25 + W/2 cm below (the manual's estimate where
    H can't be measured; from memory).
    """
    return (200.0 if height >= 250.0 else 250.0) + width / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One way to lift something.

    Attributes:
        start, end: the hands' height over the floor, mm.
        start_reach, end_reach: hands in front of the ankles, mm.
        angle: of the twist, degrees.
        per_minute: lifts a minute; 0.2 is one in five minutes or fewer.
        hours: of such work at a stretch.
        grip: ``good`` (handles), ``fair`` (fingers under it), ``poor``.
    """

    start: float
    end: float
    start_reach: float
    end_reach: float
    angle: float = 0.0
    per_minute: float = 0.2
    hours: float = 1.0
    grip: Grip = "fair"

    def multipliers(self, height: float, reach: float) -> dict[str, float]:
        """The six multipliers with the hands at one height."""
        return {
            "HM": horizontal_multiplier(reach),
            "VM": vertical_multiplier(height),
            "DM": distance_multiplier(abs(self.end - self.start)),
            "AM": asymmetry_multiplier(self.angle),
            "FM": frequency_multiplier(self.per_minute, self.hours, height),
            "CM": grip_multiplier(self.grip, height),
        }

    @property
    def worst(self) -> dict[str, float]:
        """The multipliers of the end of the lift that allows less."""
        both = [
            self.multipliers(self.start, self.start_reach),
            self.multipliers(self.end, self.end_reach),
        ]
        return min(both, key=lambda m: math.prod(m.values()))

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "from_mm": round(self.start, 1),
            "to_mm": round(self.end, 1),
            "reach_mm": round(max(self.start_reach, self.end_reach), 1),
            "grip": self.grip,
            "multipliers": {k: round(v, 4) for k, v in self.worst.items()},
            "limit_kg": round(weight_limit(self), 3),
        }


def weight_limit(lift: Lift) -> float:
    """The recommended weight limit in kg: 23 HM VM DM AM FM CM, at the worse end of the lift."""
    return LIFT_ALONE * math.prod(lift.worst.values())
