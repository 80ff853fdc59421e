"""Hexagon bolts with a wide washer, and the barrel nuts they go into; mm.

Where a row says *from memory* or *common practice* it advises only: measure what is at hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from treenail.timber.errors import SpecError
from treenail.timber.fasteners import LagSize, metric_clearance

__all__ = [
    "BOLT_LENGTHS",
    "METRIC_BOLTS",
    "MetricBolt",
    "barrel_nut_volume",
    "bolt_length_for",
    "metric_bolt",
    "spot_face",
]

#: A barrel nut's spot faces go this far beyond the bolt's hole, mm (our own choice).
_SPOT_RIM = 0.2

_HEADS = "ISO 4017 (width across flats, height of head), from memory"
_WASHERS = "ISO 7093-1, from memory"
_NUTS = "barrel nut: sizes on sale, common practice; measure the nut at hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class MetricBolt(LagSize):
    """A metric hexagon bolt: head, washer and clearance as of a lag, and its barrel nut.

    Attributes:
        nut_diameter: of the barrel.
        nut_length: of the barrel.
    """

    nut_diameter: float
    nut_length: float


# Diameter; width across flats, height of head; washer inside, outside, thickness; barrel nut.
_ROWS: dict[str, tuple[float, ...]] = {
    "M6": (6.0, 10.0, 4.0, 6.4, 18.0, 1.6, 10.0, 16.0),
    "M8": (8.0, 13.0, 5.3, 8.4, 24.0, 2.0, 14.0, 22.0),
    "M10": (10.0, 16.0, 6.4, 10.5, 30.0, 2.5, 16.0, 25.0),
    "M12": (12.0, 18.0, 7.5, 13.0, 37.0, 3.0, 20.0, 32.0),
}

METRIC_BOLTS: tuple[str, ...] = tuple(_ROWS)
"""Names of the sizes known."""

BOLT_LENGTHS: tuple[float, ...] = (
    *(float(n) for n in (40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150)),
    *(float(n) for n in (160, 180, 200, 220, 240)),
)
"""Lengths under the head that are stocked: ISO 888, from memory, mm."""


def metric_bolt(name: str, *, field: str | None = None) -> MetricBolt:
    """The bolt of a size such as ``M8``. Raises :class:`SpecError` for one that isn't known."""
    key = str(name).strip().upper()
    row = _ROWS.get(key)
    if row is None:
        raise SpecError(
            f"{str(name)[:40]!r} is not a metric bolt in the table",
            field=field,
            allowed=", ".join(METRIC_BOLTS),
        )
    hole = metric_clearance(key)
    d, flats, head, inside, outside, thick, nut, nut_length = row
    return MetricBolt(
        name=key,
        diameter=d,
        head_flats=flats,
        head_height=head,
        washer="wide",
        washer_id=inside,
        washer_od=outside,
        washer_thickness=thick,
        clearance_hole=hole.normal,
        source=f"{_HEADS}; {_WASHERS}; hole {hole.source}; {_NUTS}",
        nut_diameter=nut,
        nut_length=nut_length,
    )


def bolt_length_for(least: float) -> float | None:
    """The shortest stocked length (mm) of at least ``least``; None if none is that long."""
    return next((length for length in BOLT_LENGTHS if length >= least - 1e-6), None)


def spot_face(barrel: float, hole: float) -> tuple[float, float]:
    """(distance from the axis, width) of the flats of a barrel where the bolt goes through, mm.

    A flat keeps the hole's rim in one plane.
    """
    wide = hole + 2.0 * _SPOT_RIM
    return math.sqrt(barrel * barrel - wide * wide) / 2.0, wide


def barrel_nut_volume(barrel: float, length: float, hole: float) -> float:
    """Volume in mm³ of a barrel with a hole across its middle and a square flat at each mouth."""
    r, (flat, wide) = barrel / 2.0, spot_face(barrel, hole)
    segment = r * r * math.acos(flat / r) - flat * wide / 2.0
    return math.pi * (r * r * length - hole * hole / 2.0 * flat) - 2.0 * segment * wide
