"""What a person may choose about the stock plan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypedDict

from treenail.shop.stock.patterns import Order
from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.lumber import WASTE_ALLOWANCE

__all__ = ["StockOptions", "Trims", "usual_trims"]

_RANGES: dict[str, tuple[float, float]] = {
    "kerf": (0.0, 20.0),
    "end_trim": (0.0, 500.0),
    "edge_trim": (0.0, 100.0),
    "keep_length": (0.0, 5000.0),
    "keep_width": (0.0, 1000.0),
    "most_strips": (0, 50),
    "waste": (0.0, 2.0),
    "time_limit": (0.1, 24 * 3600.0),
    "goal": (0.0, 1.0),
}


class Trims(TypedDict, total=False):
    """Those options that are lengths of the shop's habit, mm."""

    end_trim: float
    edge_trim: float
    keep_length: float
    keep_width: float


def usual_trims(units: str) -> Trims:
    """For a bench in ``mm`` round sizes near those in inches (our own choice); else none."""
    if units != "mm":
        return {}
    return {"end_trim": 15.0, "edge_trim": 3.0, "keep_length": 300.0, "keep_width": 50.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class StockOptions:
    """Choices; lengths in mm.

    Attributes:
        order: what comes first at a board: ``crosscut``, ``rip``, or ``either`` (the better one).
        kerf: what the saw takes (1/8 in: a usual blade).
        end_trim: taken off each end of a board whose usable length nobody said (our own choice).
        edge_trim: taken off one edge to straighten it (our own choice).
        keep_length, keep_width: an offcut at least that large is worth keeping.
        most_strips: strips that a section may be ripped into; 0: as many as go.
        match: roles, or names of members, whose pieces come out of one board.
        minimise: ``wood`` used, or its ``price``.
        waste: bought over what the missing pieces measure rough (common practice: 15 to 30 %).
        time_limit: seconds for the search.
        goal: good enough: within this share of the proven bound.
        seed: of the search.
    """

    order: Order = "crosscut"
    kerf: float = MM_PER_INCH / 8
    end_trim: float = MM_PER_INCH / 2
    edge_trim: float = MM_PER_INCH / 8
    keep_length: float = 12 * MM_PER_INCH
    keep_width: float = 2 * MM_PER_INCH
    most_strips: int = 0
    match: tuple[str, ...] = ()
    minimise: Literal["wood", "price"] = "wood"
    waste: float = sum(WASTE_ALLOWANCE) / 2
    time_limit: float = 30.0
    goal: float = 0.005
    seed: int = 1

    def __post_init__(self) -> None:
        """Refuse what can't be (SpecError)."""
        for name, (low, high) in _RANGES.items():
            value = getattr(self, name)
            ok = isinstance(value, int | float) and not isinstance(value, bool)
            if not (ok and math.isfinite(value) and low <= value <= high):
                raise SpecError(f"{value!r} can't be", field=name, allowed=f"{low:g} to {high:g}")
        for name, words in (
            ("order", ("crosscut", "rip", "either")),
            ("minimise", ("wood", "price")),
        ):
            if getattr(self, name) not in words:
                raise SpecError(
                    f"{getattr(self, name)!r} can't be", field=name, allowed=", ".join(words)
                )
