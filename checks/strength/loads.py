"""Load cases and limits of the strength estimates, and the figures that come out.

None of the loads is prescribed by a code for a workbench: they are our own choice, stated here
once, and every figure names the one it answers. Limits advise; they never stop an export.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = [
    "ACROSS_OVER_ALONG",
    "CAUTION",
    "FLOOR_FRICTION",
    "GRAVITY",
    "KNEE",
    "KNEE_HIGH",
    "LIFT_ALONE",
    "LIFT_SOURCE",
    "PERSON",
    "PUSH_ACROSS",
    "PUSH_ALONG",
    "SAG_RATIO",
    "SHELF_LOAD",
    "STEADY_PUSH",
    "SWAY_FREQUENCY",
    "SWAY_RATIO",
    "Figure",
]

GRAVITY = 9.80665
"""Standard gravity, m/s² (3rd CGPM, 1901)."""

PUSH_ALONG = 500.0
"""Peak of a hard planing stroke along the bench at the top, N (our own choice)."""

PUSH_ACROSS = 300.0
"""Peak of a stroke across the bench at the top, N (our own choice)."""

STEADY_PUSH = 200.0
"""A push at the top that lasts, as in leaning against the bench, N (our own choice)."""

PERSON = 100.0
"""Somebody who stands on the bench, kg (our own choice)."""

KNEE = 50.0
"""On a low bench the work is held down by a knee: half of a person, kg (our own choice)."""

KNEE_HIGH = 650.0
"""A bench up to this height is worked at with a knee on it, mm (our own choice)."""

SHELF_LOAD = 60.0
"""Tools on a shelf, spread over the lower stretchers, kg (our own choice)."""

FLOOR_FRICTION = 0.3
"""Wood on a smooth dry floor: a low figure, from memory; a rough floor holds better."""

ACROSS_OVER_ALONG = 0.10
"""E across the grain over E along it: the mean of radial and tangential (Wood Handbook chapter 5,
from memory)."""

SWAY_RATIO = 400.0
"""Sway at the top at most its height over this (a usual drift limit, from memory)."""

SAG_RATIO = 360.0
"""Sag under a person at most the span over this (a usual limit for floors, from memory)."""

SWAY_FREQUENCY = 8.0
"""Lowest natural frequency of sway that feels firm, Hz: four times a stroke rate of 2 Hz, so
that the motion is amplified by less than a tenth, 1/(1 - (1/4)²) (our own choice)."""

LIFT_ALONE = 23.0
"""Most that one person should lift in the best posture, kg."""

LIFT_SOURCE = "NIOSH revised lifting equation, load constant 23 kg, DHHS 94-110"
"""Where :data:`LIFT_ALONE` is from."""

CAUTION = (
    "An estimate from clear-wood averages, not a certificate: knots, slope of grain, wear and "
    "workmanship are not in it. Where people's safety depends on it, licensed practice and "
    "local codes decide."
)
"""Stands wherever these figures are shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number of the estimate.

    Attributes:
        key: stable, kebab-case: ``sway-along`` ...
        title: in shop words.
        load_case: what acts, with its size.
        value: the estimate, in ``unit``.
        limit: what it's held against, in ``unit``; None if it only informs.
        at_least: the value should be no less than the limit (else no more).
        unit: ``mm``, ``N``, ``Nm``, ``kg``, ``Hz``, ``1``.
        source: of formula and limit.
        member: the member it's about, or empty.
        note: what else one should know.
    """

    key: str
    title: str
    load_case: str
    value: float
    limit: float | None
    unit: str
    source: str
    at_least: bool = False
    member: str = ""
    note: str = ""

    @property
    def holds(self) -> bool:
        """Whether the value keeps its limit (true where there is none)."""
        if self.limit is None:
            return True
        return self.value >= self.limit if self.at_least else self.value <= self.limit

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the report; an infinite value becomes None."""
        finite = abs(self.value) < float("inf")
        return {
            "key": self.key,
            "title": self.title,
            "load_case": self.load_case,
            "value": self.value if finite else None,
            "limit": self.limit,
            "rule": "at least" if self.at_least else "at most",
            "unit": self.unit,
            "holds": self.holds,
            "member": self.member,
            "source": self.source,
            "note": self.note,
        }
