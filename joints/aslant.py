"""What cutters that lie aslant to a member take of it, beside its square blocks and sweeps."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.joints import polytopes
from treenail.joints.blocks import Box, disjoint, overlap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.joints.cutters import Cutter
    from treenail.joints.polytopes import Solid

#: Shared volumes up to this are contact, mm³.
CONTACT = 1e-6


def clipped(cutter: Cutter, stock: Box) -> Solid | None:
    """What of a box or prism lies in the stock (empty: nothing); None for anything round."""
    solid = polytopes.from_cutter(cutter)
    return None if solid is None else polytopes.common(polytopes.block(stock), solid)


def reaches(solids: Iterable[Solid], zone: Box) -> bool:
    """Whether any of the solids reaches into a box."""
    there = polytopes.block(zone)
    return any(
        overlap(_bounds(solid), zone) is not None
        and polytopes.volume(polytopes.common(there, solid)) > CONTACT
        for solid in solids
    )


def volume_outside(solids: Sequence[Solid], blocks: Sequence[Box]) -> float:
    """Volume that the solids fill together outside of the blocks, mm³."""
    cells = [polytopes.block(cell) for cell in disjoint(blocks)]
    inside = [
        polytopes.together([both for s in solids if (both := polytopes.common(cell, s))])
        for cell in cells
    ]
    return math.fsum([polytopes.together(solids), *(-v for v in inside)])


def _bounds(solid: Solid) -> Box:
    xs, ys, zs = zip(*(p for face in solid for p in face), strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


__all__ = ["clipped", "reaches", "volume_outside"]
