"""Boxes square to a member: what they share, and the exact volume of their union."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

from treenail.joints.outlines import TOUCH
from treenail.timber.frames import Vec

#: (low corner, high corner), mm.
Box: TypeAlias = tuple[Vec, Vec]


def overlap(a: Box, b: Box) -> Box | None:
    """The box that two boxes share, or None where they only touch."""
    (a0, a1, a2), (a3, a4, a5) = a
    (b0, b1, b2), (b3, b4, b5) = b
    low = (max(a0, b0), max(a1, b1), max(a2, b2))
    high = (min(a3, b3), min(a4, b4), min(a5, b5))
    if high[0] - low[0] > TOUCH and high[1] - low[1] > TOUCH and high[2] - low[2] > TOUCH:
        return (low, high)
    return None


def size_of(box: Box) -> float:
    """Volume of a box in mm³."""
    (a, b, c), (d, e, f) = box
    return (d - a) * (e - b) * (f - c)


def hull(points: Sequence[Vec]) -> Box:
    """The smallest box that holds all the points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def disjoint(boxes: Sequence[Box]) -> list[Box]:
    """The union of boxes as boxes that do not overlap."""
    found: list[Box] = []
    xs = sorted({x for low, high in boxes for x in (low[0], high[0])})
    for x0, x1 in pairwise(xs):
        slab = [b for b in boxes if b[0][0] <= x0 and b[1][0] >= x1]
        ys = sorted({y for low, high in slab for y in (low[1], high[1])})
        for y0, y1 in pairwise(ys):
            runs = sorted((b[0][2], b[1][2]) for b in slab if b[0][1] <= y0 and b[1][1] >= y1)
            end = -math.inf
            for z0, z1 in runs:
                if z1 > end:
                    found.append(((x0, y0, max(z0, end)), (x1, y1, z1)))
                    end = z1
    return found


def union_volume(boxes: Sequence[Box]) -> float:
    """Volume of the union of boxes."""
    return math.fsum(size_of(box) for box in disjoint(boxes))


def uncovered(region: Box, blocks: Sequence[Box]) -> bool:
    """Whether part of a region lies outside all blocks."""
    inside = [cell for b in blocks if (cell := overlap(region, b)) is not None]
    return union_volume(inside) < size_of(region) * (1.0 - 1e-12)
