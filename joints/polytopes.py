"""Convex solids with plane faces, cut down by planes: exact volumes of whatever lies aslant.

A solid is a list of faces, each a list of corners. Cutting it with a plane leaves a solid of the
same kind, so the volume that several of them fill together is a signed sum over the solids that
they share (inclusion and exclusion): finite and in closed form. Numbers only, no kernel.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, TypeAlias

from treenail.joints.cutters import BoxCutter, Cutter, PrismCutter
from treenail.timber.frames import Vec, add, cross, dot, neg, norm, scale, sub

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.joints.blocks import Box

#: One face: corners in order around it, mm.
Face: TypeAlias = tuple[Vec, ...]
#: A convex solid by its faces; empty if nothing is left of it.
Solid: TypeAlias = tuple[Face, ...]
#: (n, level): the wood is where n·p is at most the level.
Half: TypeAlias = tuple[Vec, float]

#: Nearer to a plane than this, a corner lies in it, mm.
TOUCH = 1e-9


def block(box: Box) -> Solid:
    """A box along the axes."""
    (x0, y0, z0), (x1, y1, z1) = box
    low = ((x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x0, y1, z0))
    high = ((x0, y0, z1), (x1, y0, z1), (x1, y1, z1), (x0, y1, z1))
    return _prism(low, high)


def _prism(low: Face, high: Face) -> Solid:
    sides = [
        (low[i], low[(i + 1) % len(low)], high[(i + 1) % len(low)], high[i])
        for i in range(len(low))
    ]
    return (low, high, *sides)


def from_cutter(cutter: Cutter) -> Solid | None:
    """A box or prism as a solid; None for anything round."""
    frame = cutter.frame
    if isinstance(cutter, BoxCutter):
        a, b, c = cutter.size
        outline: Sequence[tuple[float, float]] = ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))
    elif isinstance(cutter, PrismCutter):
        outline, c = cutter.points, cutter.depth
    else:
        return None
    low = tuple(frame.point((x, y, 0.0)) for x, y in outline)
    high = tuple(frame.point((x, y, c)) for x, y in outline)
    return _prism(low, high)


def halves(solid: Solid) -> tuple[Half, ...]:
    """The half spaces that a solid is where they all meet."""
    corners = list(dict.fromkeys(p for face in solid for p in face))
    middle = scale(_sum(corners), 1.0 / len(corners))
    found = []
    for face in solid:
        normal = _area(face)
        size = norm(normal)
        if size <= TOUCH:
            continue
        normal = scale(normal, 1.0 / size)
        level = dot(normal, face[0])
        if dot(normal, middle) > level:
            normal, level = neg(normal), -level
        found.append((normal, level))
    return tuple(found)


def cut(solid: Solid, half: Half) -> Solid:
    """What of a solid lies in a half space."""
    normal, level = half
    kept: list[Face] = []
    rim: list[Vec] = []
    beyond = within = False
    for face in solid:
        heights = [dot(normal, p) - level for p in face]
        beyond = beyond or max(heights) > TOUCH
        within = within or min(heights) < -TOUCH
        part = _clip(face, heights)
        rim += [p for p in part if abs(dot(normal, p) - level) <= 2.0 * TOUCH]
        if len(part) >= 3 and min(heights) < -TOUCH:
            kept.append(part)
        elif max(heights) <= TOUCH and min(heights) >= -TOUCH:
            kept.append(face)  # it lies in the plane
    if not within:
        return ()
    if beyond:
        cap = _around(rim, normal)
        if len(cap) >= 3:
            kept.append(cap)
    return tuple(kept)


def _clip(face: Face, heights: Sequence[float]) -> Face:
    found: list[Vec] = []
    for i, (p, h) in enumerate(zip(face, heights, strict=True)):
        q, k = face[i - 1], heights[i - 1]
        if (h > TOUCH and k < -TOUCH) or (h < -TOUCH and k > TOUCH):
            found.append(add(q, scale(sub(p, q), k / (k - h))))
        if h <= TOUCH:
            found.append(p)
    return tuple(found)


def _around(points: Iterable[Vec], normal: Vec) -> Face:
    """Points of one plane in order around their middle, repeats left out."""
    kept: list[Vec] = []
    for p in points:
        if all(norm(sub(p, q)) > 10.0 * TOUCH for q in kept):
            kept.append(p)
    if len(kept) < 3:
        return ()
    middle = scale(_sum(kept), 1.0 / len(kept))
    u = sub(kept[0], middle)
    v = cross(normal, u)

    def turn(p: Vec) -> float:
        away = sub(p, middle)
        return math.atan2(dot(away, v), dot(away, u))

    return tuple(sorted(kept, key=turn))


def common(first: Solid, second: Solid) -> Solid:
    """What two solids share."""
    for half in halves(second) if second else ():
        first = cut(first, half)
        if not first:
            return ()
    return first if second else ()


def volume(solid: Solid) -> float:
    """Volume in mm³: pyramids from one corner over every face."""
    if not solid:
        return 0.0
    apex = solid[0][0]
    return math.fsum(
        abs(dot(_area(face), sub(face[0], apex))) / 3.0 for face in solid if len(face) >= 3
    )


def together(solids: Sequence[Solid]) -> float:
    """Volume in mm³ that solids fill together, what they share counted once."""
    parts = []
    for i, solid in enumerate(solids):
        shared = [both for other in solids[i + 1 :] if (both := common(solid, other))]
        parts.append(volume(solid) - (together(shared) if shared else 0.0))
    return math.fsum(parts)


def corners(solid: Solid) -> tuple[Vec, ...]:
    """Its corners, each once."""
    found: list[Vec] = []
    for p in itertools.chain.from_iterable(solid):
        if all(norm(sub(p, q)) > 10.0 * TOUCH for q in found):
            found.append(p)
    return tuple(found)


def _sum(points: Iterable[Vec]) -> Vec:
    xs, ys, zs = zip(*points, strict=True)
    return (math.fsum(xs), math.fsum(ys), math.fsum(zs))


def _area(face: Face) -> Vec:
    """A plane face's area as a vector along its normal."""
    first = face[0]
    total = (0.0, 0.0, 0.0)
    for p, q in itertools.pairwise(face[1:]):
        total = add(total, cross(sub(p, first), sub(q, first)))
    return scale(total, 0.5)


__all__ = [
    "Half",
    "Solid",
    "block",
    "common",
    "corners",
    "cut",
    "from_cutter",
    "halves",
    "together",
    "volume",
]
