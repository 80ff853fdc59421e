"""The clear rectangles of a board, and the ways to cut its defects out. All sizes in mm.

A defect is taken out by two crosscuts; or the wood beside it is kept between them; or the board
is ripped along it. Each choice leaves other rectangles; the plan takes the best.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.shop.rack import Board, Defect

__all__ = ["MOST_LAYOUTS", "STEP", "Rect", "clear_layouts", "down", "up"]

STEP = 25.4 / 16
"""The plan's grid, mm: pieces count up to the next sixteenth of an inch, boards down."""

MOST_LAYOUTS = 12
"""Ways to cut a board's defects out that are looked at."""


@dataclass(frozen=True, slots=True)
class Rect:
    """A clear rectangle: its corner from the board's near end and face edge, length and width."""

    x: float
    y: float
    length: float
    width: float


def up(mm: float) -> int:
    """Steps that a piece takes."""
    return math.ceil(mm / STEP - 1e-6)


def down(mm: float) -> int:
    """Steps that a clear length or width has."""
    return math.floor(mm / STEP + 1e-6)


def clear_layouts(
    board: Board,
    *,
    kerf: float,
    end_trim: float,
    edge_trim: float,
    shortest: float,
    narrowest: float,
) -> tuple[tuple[Rect, ...], ...]:
    """Sets of clear rectangles with a kerf between any two; each set is one way to cut.

    Args:
        board: the board.
        kerf: of the saw.
        end_trim: taken off each end of a board whose usable length nobody said.
        edge_trim: taken off one edge to straighten it.
        shortest: shorter rectangles are left out.
        narrowest: narrower ones too.
    """
    trim = end_trim if board.usable_length is None else 0.0
    whole = Rect(trim, edge_trim, board.usable - 2 * trim, board.width - edge_trim)
    found: dict[tuple[Rect, ...], None] = {}
    for layout in _split(whole, board.defects, kerf):
        useful = tuple(
            r for r in layout if r.length >= shortest - 1e-9 and r.width >= narrowest - 1e-9
        )
        if useful:
            found[useful] = None
    best = sorted(found, key=lambda rects: -sum(r.length * r.width for r in rects))
    return tuple(best[:MOST_LAYOUTS])


def _meets(rect: Rect, d: Defect) -> bool:
    return (
        d.start < rect.x + rect.length - 1e-9
        and d.stop > rect.x + 1e-9
        and d.low < rect.y + rect.width - 1e-9
        and d.high > rect.y + 1e-9
    )


def _split(rect: Rect, defects: Sequence[Defect], kerf: float) -> list[tuple[Rect, ...]]:
    """Ways to clear a rectangle."""
    if rect.length <= 0.0 or rect.width <= 0.0:
        return [()]
    hit = next((d for d in defects if _meets(rect, d)), None)
    if hit is None:
        return [(rect,)]
    end, edge = rect.x + rect.length, rect.y + rect.width
    ways: list[tuple[Rect, ...]] = []
    # What the saw takes lies in the defect where that is wide enough.
    after = max(hit.stop, hit.start + kerf)
    left = Rect(rect.x, rect.y, hit.start - rect.x, rect.width)
    right = Rect(after, rect.y, end - after, rect.width)
    ways.append((left, right))
    beside = []
    above = hit.high if hit.low <= rect.y else max(hit.high, hit.low + kerf)
    for low, high in ((rect.y, hit.low), (above, edge)):
        if high - low > 1e-9:
            beside.append((low, high))
    # The wood beside it, with a kerf to what lies before and after.
    start = max(rect.x, hit.start) + (kerf if hit.start > rect.x + 1e-9 else 0.0)
    stop = min(end, hit.stop)
    if beside and stop > start:
        next_start = stop + kerf
        ways.append(
            (
                left,
                *(Rect(start, low, stop - start, high - low) for low, high in beside),
                Rect(next_start, rect.y, end - next_start, rect.width),
            )
        )
    if beside:
        # Ripped along the defect; in its band, what lies before and after it.
        low = hit.low + kerf if hit.low > rect.y + 1e-9 else rect.y
        high = hit.high - kerf if hit.high < edge - 1e-9 else edge
        band = [
            Rect(rect.x, low, hit.start - rect.x, high - low),
            Rect(after, low, end - after, high - low),
        ]
        ways.append((*(Rect(rect.x, a, rect.length, b - a) for a, b in beside), *band))
    found: dict[tuple[Rect, ...], None] = {}
    for way in ways:
        parts = [_split(r, defects, kerf)[:MOST_LAYOUTS] for r in way]
        for choice in itertools.islice(itertools.product(*parts), 4 * MOST_LAYOUTS):
            found[tuple(itertools.chain.from_iterable(choice))] = None
    ranked = sorted(found, key=lambda rects: -sum(r.length * r.width for r in rects))
    return ranked[: 2 * MOST_LAYOUTS]
