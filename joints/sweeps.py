"""Plane outlines swept along a member's axes: what several of them take away together.

Parallel ones are summed slab by slab; what two along different axes share is a smooth integral.
Numbers only, no kernel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from treenail.joints.blocks import Box, disjoint, overlap, size_of, uncovered
from treenail.joints.outlines import (
    Line,
    Outline,
    Piece,
    Rect,
    Shape,
    flat,
    meet,
    region_area,
    strips,
)
from treenail.joints.quadrature import quadrature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.joints.cutters import Cutter

__all__ = ["Sweep", "Tangled", "bundle_volume", "bundles", "crossings"]


@dataclass(frozen=True, slots=True)
class Sweep:
    """An outline in the plane of the axes after ``axis``, swept over part of that axis."""

    label: str
    axis: int
    shape: Shape
    outline: Outline = field(repr=False)
    box: Box
    cutter: Cutter = field(repr=False)

    def outline_over(self, across: int) -> Outline:
        """The outline as chains over the coordinate ``across``."""
        if across == (self.axis + 1) % 3:
            return self.outline
        return self.shape.transposed().outline()


class Tangled(Exception):
    """Three sweeps, not all along one axis, meet in one place."""

    def __init__(self, *sweeps: Sweep) -> None:
        super().__init__(*(s.label for s in sweeps))
        self.sweeps = sweeps


# --- sweeps side by side


def bundles(sweeps: Sequence[Sweep]) -> list[list[Sweep]]:
    """Sweeps sorted into groups: parallel and joined by overlapping bounding boxes."""
    groups: list[list[Sweep]] = []
    for sweep in sweeps:
        mine = [sweep]
        rest = []
        for group in groups:
            if group[0].axis == sweep.axis and any(overlap(sweep.box, s.box) for s in group):
                mine += group
            else:
                rest.append(group)
        groups = [*rest, mine]
    return groups


def bundle_volume(bundle: Sequence[Sweep], blocks: Sequence[Box], stock: Box) -> float:
    """Volume of the union of parallel sweeps outside the blocks."""
    axis = bundle[0].axis
    u, v = (axis + 1) % 3, (axis + 2) % 3

    def plane(box: Box) -> Rect:
        low, high = box
        return (low[u], low[v], high[u], high[v])

    near = [b for b in blocks if any(overlap(b, s.box) for s in bundle)]
    spans = [s.box for s in bundle]
    low = min(span[0][axis] for span in spans)
    high = max(span[1][axis] for span in spans)
    stops = {end[axis] for box in [*spans, *near] for end in box}
    clip = plane(stock)
    total = []
    for start, end in strips(stops, low, high):
        mid = (start + end) / 2.0
        figures = [s.outline for s in bundle if s.box[0][axis] < mid < s.box[1][axis]]
        holes = [plane(b) for b in near if b[0][axis] < mid < b[1][axis]]
        total.append((end - start) * region_area(figures, holes, clip))
    return math.fsum(total)


# --- sweeps that cross


def crossings(sweeps: Sequence[Sweep], blocks: Sequence[Box]) -> list[float]:
    """What each pair of sweeps along different axes shares outside the blocks.

    Raises Tangled where a third one is in the same place.
    """
    found = []
    for i, p in enumerate(sweeps):
        for j, q in enumerate(sweeps[:i]):
            region = overlap(p.box, q.box) if p.axis != q.axis else None
            if region is None or not uncovered(region, blocks):
                continue
            shared = _shared(p, q, region)
            cells = [cell for b in blocks if (cell := overlap(region, b)) is not None]
            outside = shared - math.fsum(_shared(p, q, cell) for cell in disjoint(cells))
            if outside <= 1e-12 * size_of(region):
                continue
            for k, r in enumerate(sweeps):
                third = overlap(region, r.box) if k not in (i, j) else None
                if third is not None and uncovered(third, blocks):
                    raise Tangled(q, p, r)
            found.append(outside)
    return found


def _shared(p: Sweep, q: Sweep, within: Box) -> float:
    """Volume that two sweeps along different axes share inside a box that lies in both ranges.

    At each x along the third axis the shared part is a rectangle: one side is the first outline's
    chord, the other the second's.
    """
    across = 3 - p.axis - q.axis
    chords = [
        (p.outline_over(across), flat(within[0][q.axis]), flat(within[1][q.axis])),
        (q.outline_over(across), flat(within[0][p.axis]), flat(within[1][p.axis])),
    ]
    stops: set[float] = set()
    for outline, low, high in chords:
        for piece in outline.lower + outline.upper:
            stops.update((piece.u0, piece.u1, *meet(piece, low), *meet(piece, high)))
    total = []
    for left, right in strips(stops, within[0][across], within[1][across]):
        mid = (left + right) / 2.0
        sides = [_chord(outline, low, high, mid) for outline, low, high in chords]
        if sides[0] is not None and sides[1] is not None:
            total.append(quadrature(sides[0], sides[1], left, right))
    return math.fsum(total)


def _chord(outline: Outline, low: Line, high: Line, u: float) -> tuple[Piece, Piece] | None:
    """The lower and upper bound of an outline at ``u`` between two levels; None if empty."""
    span = outline.span(u)
    if span is None:
        return None
    bottom, top = span
    if bottom.at(u) < low.level:
        bottom = low
    if top.at(u) > high.level:
        top = high
    return (bottom, top) if top.at(u) > bottom.at(u) else None
