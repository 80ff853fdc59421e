"""Lag screws, their washers and holes, and what wood holds of them.

Sizes in mm, forces in N. Every row says where its figures are from; what is from memory or
common practice says so, and advises only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.quantities import MPA_PER_PSI, N_PER_LBF

__all__ = [
    "LAG_DIAMETERS",
    "LAG_LENGTHS",
    "LEAD_HOLE_SOURCE",
    "METRIC_CLEARANCE",
    "ClearanceHole",
    "LagSize",
    "WasherSeries",
    "dowel_bearing",
    "lag_lead_hole",
    "lag_lead_hole_range",
    "lag_length_at_most",
    "lag_size",
    "lag_thread_length",
    "lag_tip_length",
    "lag_ultimate_withdrawal",
    "lag_withdrawal",
    "lag_withdrawal_lb_per_inch",
    "metric_clearance",
]

WasherSeries: TypeAlias = Literal["narrow", "wide", "none"]

_HEADS = "ASME B18.2.1-2012 (head, maximum)"
_WASHERS = "ASME B18.21.1-2009, type A"
_HOLE = "clearance hole 1/16 in over the shank: common practice"
LEAD_HOLE_SOURCE = "NDS-2018 section 12.1.4.2, from memory"
"""Where the lead holes' percentages are from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LagSize:
    """A lag screw's diameter with its hex head and a flat washer, mm.

    ``head_flats`` is the width across the flats; ``clearance_hole`` the hole in the piece that
    is held, where the screw isn't meant to bite.
    """

    name: str
    diameter: float
    head_flats: float
    head_height: float
    washer: WasherSeries
    washer_id: float
    washer_od: float
    washer_thickness: float
    clearance_hole: float
    source: str

    @property
    def head_corners(self) -> float:
        """Width across the hexagon's corners, mm."""
        return self.head_flats / math.cos(math.pi / 6)


# Diameter: width across flats, height of head (in).
_HEAD_ROWS: dict[str, tuple[float, float, float]] = {
    "1/4": (0.25, 0.438, 0.188),
    "5/16": (0.3125, 0.500, 0.235),
    "3/8": (0.375, 0.562, 0.268),
    "1/2": (0.5, 0.750, 0.364),
}
# Inside and outside diameter and thickness (in); True: from memory.
_WASHER_ROWS: dict[tuple[str, WasherSeries], tuple[float, float, float, bool]] = {
    ("1/4", "narrow"): (0.281, 0.625, 0.065, True),
    ("1/4", "wide"): (0.312, 0.734, 0.065, True),
    ("5/16", "narrow"): (0.344, 0.688, 0.065, False),
    ("5/16", "wide"): (0.375, 0.875, 0.083, False),
    ("3/8", "narrow"): (0.406, 0.812, 0.065, False),
    ("3/8", "wide"): (0.438, 1.000, 0.083, False),
    ("1/2", "narrow"): (0.531, 1.062, 0.095, True),
    ("1/2", "wide"): (0.562, 1.375, 0.109, True),
}

LAG_DIAMETERS: tuple[str, ...] = tuple(_HEAD_ROWS)
"""Names of the diameters known, in."""

LAG_LENGTHS: tuple[float, ...] = tuple(n * MM_PER_INCH / 2 for n in range(2, 13))
"""Lengths under the head that shops stock: 1 to 6 in by 1/2 in (common practice), mm."""


def lag_size(
    diameter: str | float, washer: WasherSeries = "wide", *, field: str | None = None
) -> LagSize:
    """Return the lag screw of a diameter: ``"3/8"`` (in), or mm as a number.

    Raises :class:`SpecError` for a size that isn't in the table.
    """
    if washer not in ("narrow", "wide"):
        message = f"{str(washer)[:40]!r} is not a series of washers"
        raise SpecError(message, field=field, allowed="narrow, wide")
    name = _lag_name(diameter)
    if name is None:
        said = f"{str(diameter)[:40]!r}"
        if isinstance(diameter, int | float) and not isinstance(diameter, bool):
            said = f"{diameter / MM_PER_INCH:.4g} in ({diameter:.4g} mm)"
        message = f"{said} is not a lag screw's diameter"
        raise SpecError(message, field=field, allowed=", ".join(LAG_DIAMETERS) + " in")
    d, flats, height = (x * MM_PER_INCH for x in _HEAD_ROWS[name])
    inside, outside, thickness, memory = _WASHER_ROWS[name, washer]
    return LagSize(
        name=name,
        diameter=d,
        head_flats=flats,
        head_height=height,
        washer=washer,
        washer_id=inside * MM_PER_INCH,
        washer_od=outside * MM_PER_INCH,
        washer_thickness=thickness * MM_PER_INCH,
        clearance_hole=d + MM_PER_INCH / 16,
        source=f"{_HEADS}; {_WASHERS}{', from memory' if memory else ''}; {_HOLE}",
    )


def _lag_name(diameter: str | float) -> str | None:
    if isinstance(diameter, bool):
        return None
    if isinstance(diameter, int | float):
        for name, row in _HEAD_ROWS.items():
            if abs(diameter - row[0] * MM_PER_INCH) < 0.01:
                return name
        return None
    name = str(diameter).strip().rstrip('"″').removesuffix("in").strip()
    return name if name in _HEAD_ROWS else None


def lag_length_at_most(longest: float) -> float | None:
    """Return the longest stocked length (mm) not over ``longest``; None if all are."""
    fitting = [length for length in LAG_LENGTHS if length <= longest + 1e-6]
    return max(fitting, default=None)


def lag_thread_length(length: float) -> float:
    """Return how much of a lag's length is threaded, tip included, mm.

    Half the length and 1/2 in more, at most 6 in, with at least 1/4 in of shank left: NDS-2018
    Appendix L, Table L2, from memory.
    """
    _positive(length, "lag screw's length")
    inch = MM_PER_INCH
    return max(0.0, min(length / 2 + inch / 2, 6 * inch, length - inch / 4))


def lag_tip_length(diameter: float) -> float:
    """Return the length of a lag's gimlet point, mm: it doesn't count for withdrawal.

    NDS-2018 Appendix L, Table L2, from memory (the 1/2 in screw's 5/16 in also follows from
    the AWC's solved example E2.3).
    """
    tips = {"1/4": 5 / 32, "5/16": 3 / 16, "3/8": 7 / 32, "1/2": 5 / 16}
    return tips[lag_size(diameter).name] * MM_PER_INCH


def lag_withdrawal_lb_per_inch(g_0: float, diameter_in: float) -> float:
    """Return the reference withdrawal value, lb per inch of thread in side grain.

    W = 1800 G^1.5 D^0.75 with G on the ovendry volume: NDS-2018 section 12.2.1 (lag screws).
    """
    _gravity(g_0)
    _positive(diameter_in, "lag screw's diameter")
    return float(1800.0 * g_0**1.5 * diameter_in**0.75)


def lag_withdrawal(g_0: float, diameter: float, thread: float, *, end_grain: bool = False) -> float:
    """Return the reference withdrawal design value of one lag screw, N.

    ``thread`` is the threaded length in the wood that holds, mm, without the tip. End grain
    counts three quarters. NDS-2018 section 12.2.1; the adjustment factors for load duration,
    moisture and the rest are the reader's to apply, with the code that governs.
    """
    if not 0.0 <= thread < math.inf:
        message = f"{thread!r} mm is not a length of thread in the wood"
        raise SpecError(message, allowed="0 or more")
    per_inch = lag_withdrawal_lb_per_inch(g_0, diameter / MM_PER_INCH)
    force = per_inch * thread / MM_PER_INCH * N_PER_LBF
    return 0.75 * force if end_grain else force


def lag_ultimate_withdrawal(g_12: float, diameter: float, thread: float) -> float:
    """Return the average ultimate withdrawal load of a lag screw in side grain, N.

    p = 8100 G^1.5 D^0.75 L (lb, in), FPL-GTR-190 (2010) Eq. 8-14. This is the load at which
    the screw pulls out, about four to five times what may be allowed.
    """
    _gravity(g_12)
    _positive(diameter, "lag screw's diameter")
    inches = (diameter / MM_PER_INCH) ** 0.75 * thread / MM_PER_INCH
    return float(8100.0 * g_12**1.5 * inches * N_PER_LBF)


def lag_lead_hole_range(g_0: float, diameter: float) -> tuple[float, float]:
    """Return the least and greatest lead hole for a lag's threaded part, mm.

    65 to 85 % of the diameter for G over 0.6, 60 to 75 % over 0.5, else 40 to 70 %; the shank's
    lead hole has the diameter itself. NDS-2018 section 12.1.4.2, from memory.
    """
    _gravity(g_0)
    _positive(diameter, "lag screw's diameter")
    if g_0 > 0.6:
        low, high = 0.65, 0.85
    elif g_0 > 0.5:
        low, high = 0.60, 0.75
    else:
        low, high = 0.40, 0.70
    return low * diameter, high * diameter


def lag_lead_hole(g_0: float, diameter: float) -> float:
    """Return a drill for a lag's lead hole, mm: the 1/64 in size nearest the range's middle."""
    low, high = lag_lead_hole_range(g_0, diameter)
    step = MM_PER_INCH / 64
    return round(0.5 * (low + high) / step) * step


def dowel_bearing(
    g_0: float, diameter: float, *, grain: Literal["along", "across"] = "along"
) -> float:
    """Return the dowel bearing strength of wood under a bolt or lag screw, MPa.

    Along the grain 11 200 G psi, across it 6100 G^1.45 / sqrt(D) psi, for 1/4 to 1 in
    diameters: NDS-2018 section 12.3.3. Raises :class:`SpecError` outside them.
    """
    _gravity(g_0)
    inches = diameter / MM_PER_INCH
    if not 0.25 - 1e-9 <= inches <= 1.0 + 1e-9:
        message = f"{diameter!r} mm has no dowel bearing strength here"
        raise SpecError(message, allowed="6.35 to 25.4 mm (1/4 to 1 in)")
    if grain == "along":
        return 11200.0 * g_0 * MPA_PER_PSI
    if grain == "across":
        return float(6100.0 * g_0**1.45 / math.sqrt(inches) * MPA_PER_PSI)
    message = f"{grain!r} is not a direction to the grain"
    raise SpecError(message, allowed="along, across")


@dataclass(frozen=True, slots=True)
class ClearanceHole:
    """Clearance holes for a metric bolt: close, normal and loose, mm."""

    name: str
    close: float
    normal: float
    loose: float
    source: str = "ISO 273"


METRIC_CLEARANCE: tuple[ClearanceHole, ...] = (
    ClearanceHole("M6", 6.4, 6.6, 7.0),
    ClearanceHole("M8", 8.4, 9.0, 10.0),
    ClearanceHole("M10", 10.5, 11.0, 12.0),
    ClearanceHole("M12", 13.0, 13.5, 14.5, "ISO 273, from memory"),
)
"""Clearance holes by the bolt's size (fine, medium and coarse series of ISO 273)."""


def metric_clearance(name: str, *, field: str | None = None) -> ClearanceHole:
    """Return the clearance holes for ``M8`` and the like. Raises :class:`SpecError`."""
    for row in METRIC_CLEARANCE:
        if row.name == str(name).strip().upper():
            return row
    message = f"{str(name)[:40]!r} is not a metric bolt in the table"
    raise SpecError(message, field=field, allowed=", ".join(r.name for r in METRIC_CLEARANCE))


def _gravity(g: float) -> None:
    if not 0.1 <= g <= 1.6:
        message = f"{g!r} is not a wood's specific gravity"
        raise SpecError(message, field="specific gravity", allowed="0.1 to 1.6")


def _positive(size: float, what: str) -> None:
    if not (size > 0.0 and math.isfinite(size)):
        raise SpecError(f"{size!r} mm is not a {what}", allowed="more than 0")
