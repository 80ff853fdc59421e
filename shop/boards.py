"""The boards of a bench: rough parts, the plan of the rack, and what is to buy.

Without a rack, everything is to buy. Lengths are mm; data for JSON name their units.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from treenail.checks.shop_file import ShopFile, default_shop
from treenail.shop.rough_parts import RoughPart, rough_parts
from treenail.shop.stock.options import StockOptions, usual_trims
from treenail.shop.stock.plan import PlanProgress, plan_stock
from treenail.shop.stock.result import StockPlan

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.shop.rack import Board
    from treenail.timber.lengths import LengthUnit

__all__ = ["Boards", "plan_boards"]

#: Fields of parts and plans that are lengths, mm, or board feet, by the ending they get in JSON.
_ENDINGS: Mapping[str, tuple[str, ...]] = {
    "_mm": (
        *(
            "length",
            "alone",
            "net_width",
            "width",
            "thickness",
            "stock",
            "yields",
            "yields_least",
            "finished",
        ),
        *("usable", "x", "y", "size", "at", "low", "high", "start", "stop", "line"),
        *("keep_length", "keep_width", "least_length", "least_width"),
    ),
    "_board_feet": ("net", "rough", "buy"),
}
_NAMED = {name: name + ending for ending, names in _ENDINGS.items() for name in names}
#: How long a search took differs from run to run: it is told on the screen, not in the files.
_LEFT_OUT = ("seconds",)
_DEFECT = ("what", "start", "stop", "low", "high")


@dataclass(frozen=True, slots=True, kw_only=True)
class Boards:
    """What a bench takes.

    Attributes:
        bench, units: its name, and ``in`` or ``mm``.
        parts: every rough piece.
        plan: of the rack; with no rack, all pieces are missing from it.
        on_rack: whether there is a rack.
    """

    bench: str
    units: LengthUnit
    parts: tuple[RoughPart, ...]
    plan: StockPlan
    on_rack: bool

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        plan = self.plan.as_dict()
        for board in plan["boards"]:
            board["defects"] = [dict(zip(_DEFECT, d, strict=True)) for d in board["defects"]]
        stages = [
            {
                "stage": stage,
                "cuts": [{"board": s.board, "number": s.number} for s in steps],
            }
            for stage, steps in self.plan.order_of_cuts()
        ]
        buying = plan.pop("buying")
        return {
            "rough_parts": [_named(p.as_dict()) for p in self.parts],
            "stock": {**_named(plan), "order_of_cuts": stages} if self.on_rack else None,
            "buying": _named(buying),
        }


def _named(value: Any) -> Any:
    """The same data with the units in the fields' names."""
    if isinstance(value, Mapping):
        return {_NAMED.get(k, k): _named(v) for k, v in value.items() if k not in _LEFT_OUT}
    if isinstance(value, list | tuple):
        return [_named(v) for v in value]
    return value


def plan_boards(
    bench: Bench,
    shop: ShopFile | None = None,
    rack: Iterable[Board] = (),
    *,
    options: StockOptions | None = None,
    spares: Mapping[str, int] | None = None,
    progress: PlanProgress | None = None,
) -> Boards:
    """Work out the rough parts and lay them out on the rack.

    Args:
        bench: numbers only.
        shop: its machines; None takes the guessed shop for the bench's units.
        rack: boards that are there.
        options: of the plan; None takes the usual ones with the kerf of the shop's saw.
        spares: how many members to spare, by role or name.
        progress: told whenever the search finds something.

    Raises:
        SpecError: spares or options don't fit the bench or the rack.
    """
    machines = (shop or default_shop(bench.units)).machines
    rack = tuple(rack)
    parts = rough_parts(bench, machines, spares=spares)
    plan = plan_stock(
        parts,
        rack,
        options or StockOptions(kerf=machines.saw.kerf, **usual_trims(bench.units)),
        machines=machines,
        progress=progress,
    )
    return Boards(
        bench=bench.name,
        units="in" if bench.units == "in" else "mm",
        parts=parts,
        plan=plan,
        on_rack=bool(rack),
    )
