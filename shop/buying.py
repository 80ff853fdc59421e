"""The buying list: missing rough pieces in board feet, with an allowance for waste."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.shop.stock.result import Buy

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.shop.stock.options import StockOptions
    from treenail.shop.stock.result import Missing

__all__ = ["buying_list"]


def buying_list(missing: Iterable[Missing], options: StockOptions) -> tuple[Buy, ...]:
    """A line for each wood and thickness.

    A board must be a little longer and wider than the largest piece: its ends and one edge are
    trimmed.
    """
    groups: dict[tuple[str, str], list[Missing]] = {}
    for m in missing:
        groups.setdefault((m.species, m.quarter), []).append(m)
    found = []
    for (species, quarter), rows in groups.items():
        rough = sum(m.board_feet for m in rows)
        found.append(
            Buy(
                species=species,
                quarter=quarter,
                pieces=sum(len(m.marks) for m in rows),
                rough=rough,
                buy=rough * (1.0 + options.waste),
                least_length=max(m.length for m in rows) + 2 * options.end_trim,
                least_width=max(m.width for m in rows) + options.edge_trim,
            )
        )
    return tuple(found)
