"""The order in which to paint facets, and where each piece is still seen when all are painted.

The order is exact for flat faces that don't cut through each other, save for rare rings of faces
that each lie partly before the next; those are broken at the farthest.
"""

from __future__ import annotations

import heapq
import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.templates.facets import Facet
    from treenail.templates.hidden_line import Point, View

__all__ = ["EDGE_ON", "SLACK", "far_to_near", "seen_at"]

#: A face counts as turned away when its normal is nearer to the paper than this.
EDGE_ON = 1e-6
#: Slack in comparing places, mm.
SLACK = 1e-4
#: Places looked at across a facet, each way, to find where it is seen.
GRID = 15
#: Places found at most.
SPOTS = 6

# -- painting order ----------------------------------------------------------------------------


def far_to_near(facets: list[Facet], view: View, *, split: bool = True) -> list[Facet]:
    """Sort facets so that what lies before something comes after it.

    Facets that lean and go through each other's planes, such as a rail's in a leaning leg's
    notch, are parted there, once (unless not ``split``).
    """
    if len(facets) < 2:
        return facets
    import numpy as np

    starts = np.cumsum([0, *(len(f.loops[0]) for f in facets[:-1])])
    xyz = np.concatenate([f.loops[0] for f in facets])
    normals = np.array([f.normal for f in facets])
    level = np.einsum("ij,ij->i", normals, xyz[starts])
    sizes = np.diff([*starts, len(xyz)])
    meet = _overlapping(xyz, starts, view)
    behind = np.zeros(meet.shape, dtype=bool)  # [i, j]: facet j lies behind the plane of i
    before = np.zeros(meet.shape, dtype=bool)  # [i, j]: facet j lies before the plane of i
    for i, row in enumerate(meet):
        if row.any():
            distance = xyz[np.repeat(row, sizes)] @ normals[i] - level[i]
            firsts = np.cumsum(sizes[row]) - sizes[row]
            behind[i, row] = np.maximum.reduceat(distance, firsts) <= SLACK
            before[i, row] = np.minimum.reduceat(distance, firsts) >= -SLACK

    # j under i: paint j first.
    under = (behind | before.T) & ~(behind & before)
    for k in range(3):  # set apart along one of the bench's axes
        if abs(view.toward[k]) > EDGE_ON:
            s = math.copysign(1.0, view.toward[k])
            near = np.maximum.reduceat(xyz[:, k] * s, starts)
            far = np.minimum.reduceat(xyz[:, k] * s, starts)
            under |= near[None, :] <= far[:, None] + SLACK
    under &= meet
    if split:
        parted = _parted(facets, normals, level, meet & ~under & ~under.T & ~(behind | before))
        if parted:
            return far_to_near(parted, view, split=False)
    under &= ~under.T  # two that touch at an edge are each behind the other
    depth = np.add.reduceat(xyz @ np.array(view.toward), starts) / sizes
    return [facets[i] for i in _sorted(under, [round(float(d), 6) for d in depth])]


def _parted(facets: list[Facet], normals: Any, level: Any, through: Any) -> list[Facet]:
    """All facets, those that go through another's plane cut in two there; empty if none does.

    ``through[i, j]``: facet j goes through the plane of i, and nothing else tells them apart. Only
    faces that lean count: the others are told apart along the bench's axes.
    """
    import numpy as np

    leans = np.abs(normals).max(axis=1) < 1.0 - EDGE_ON
    through = through & leans[:, None] & leans[None, :]
    found: list[Facet] = []
    for j, facet in enumerate(facets):
        pieces = [facet]
        for i in np.nonzero(through[:, j])[0].tolist():
            if facets[i].owner != facet.owner:
                pieces = [part for p in pieces for part in p.cut(normals[i], float(level[i]))]
        found += pieces
    return found if len(found) > len(facets) else []


def _overlapping(xyz: Any, starts: Any, view: View) -> Any:
    """Which facets may overlap on the paper: no axis of the paper or the bench parts them."""
    import numpy as np

    u, v = xyz @ np.array(view.right), xyz @ np.array(view.upward)
    # Across the paper's axes, and across each of the bench's axes as it is seen.
    across = [(1.0, 0.0), (0.0, 1.0)]
    across += [(-view.upward[k], view.right[k]) for k in range(3)]
    n = len(starts)
    meet = np.ones((n, n), dtype=bool)
    for a, b in across:
        if math.hypot(a, b) < EDGE_ON:
            continue
        t = u * a + v * b
        low, high = np.minimum.reduceat(t, starts), np.maximum.reduceat(t, starts)
        meet &= low[None, :] < high[:, None] - SLACK
        meet &= low[:, None] < high[None, :] - SLACK
    return meet


def _sorted(under: Any, depth: Sequence[float]) -> list[int]:
    """Topological order of ``under[i, j]`` (j before i), the farthest first where free."""
    import numpy as np

    count = len(depth)
    waits = under.sum(axis=1).astype(int)
    ready = [(depth[i], i) for i in range(count) if waits[i] == 0]
    heapq.heapify(ready)
    done = [False] * count
    order: list[int] = []
    while len(order) < count:
        if not ready:
            i = _in_a_ring(under, depth, done)
            heapq.heappush(ready, (depth[i], i))
        _, i = heapq.heappop(ready)
        if done[i]:
            continue
        done[i] = True
        order.append(i)
        for k in np.nonzero(under[:, i])[0].tolist():
            waits[k] -= 1
            if waits[k] == 0 and not done[k]:
                heapq.heappush(ready, (depth[k], k))
    return order


def _in_a_ring(under: Any, depth: Sequence[float], done: Sequence[bool]) -> int:
    """The farthest facet of a ring among those that are not done.

    What merely waits for a ring is left alone: back from it, from each to the farthest that it
    waits for, the way ends in the ring itself.
    """
    import numpy as np

    _, i = min((depth[i], i) for i in range(len(depth)) if not done[i])
    way: dict[int, None] = {}
    while i not in way:
        way[i] = None
        _, i = min((depth[k], k) for k in np.nonzero(under[i])[0].tolist() if not done[k])
    ring = list(way)
    return min(ring[ring.index(i) :], key=lambda k: (depth[k], k))


# -- what is seen where ------------------------------------------------------------------------


def _holds(loops: Sequence[Sequence[Point]], x: Any, y: Any) -> Any:
    """Which points lie within the outline and in none of the openings (arrays)."""
    import numpy as np

    inside = np.zeros(x.shape, dtype=bool)
    for loop in loops:
        for (ax, ay), (bx, by) in zip(loop, (*loop[1:], loop[0]), strict=True):
            if ay != by:
                crosses = ((ay > y) != (by > y)) & (x < ax + (y - ay) * ((bx - ax) / (by - ay)))
                inside ^= crosses
    return inside


def seen_at(
    facets: Sequence[Facet], view: View, names: Iterable[str]
) -> dict[str, tuple[Point, ...]]:
    """Points on the paper where each piece is seen, those well inside what is seen of it first.

    Args:
        facets: from far to near.
        view: the view they were sorted for.
        names: pieces of interest; one that isn't seen is left out.
    """
    import numpy as np

    wanted = dict.fromkeys(names)
    outlines = [f.outlines(view) for f in facets]
    low = np.array([np.min(o[0], axis=0) for o in outlines])
    high = np.array([np.max(o[0], axis=0) for o in outlines])
    best: dict[str, tuple[int, tuple[Point, ...]]] = {}
    steps = np.arange(1, GRID + 1) / (GRID + 1)
    for i, facet in enumerate(facets):
        if facet.owner not in wanted or not facet.flat:
            continue
        x, y = np.meshgrid(*(low[i][k] + (high[i][k] - low[i][k]) * steps for k in (0, 1)))
        seen = _holds(outlines[i], x, y)
        over = np.nonzero(np.all((low < high[i]) & (high > low[i]), axis=1))[0]
        for j in over[over > i]:
            seen &= ~_holds(outlines[j], x, y)
        share = round(float(np.prod(high[i] - low[i])) * int(seen.sum()))
        if share > best.get(facet.owner, (0, ()))[0]:
            best[facet.owner] = (share, _inner_spots(seen, x, y))
    return {name: best[name][1] for name in wanted if name in best}


def _inner_spots(seen: Any, x: Any, y: Any) -> tuple[Point, ...]:
    """Up to ``SPOTS`` of the points that are seen, far from the edge and from each other."""
    import numpy as np

    inner, left = np.zeros(seen.shape, dtype=int), seen.copy()
    while left.any():
        inner += left
        wide = np.pad(left, 1)
        left = left & wide[:-2, 1:-1] & wide[2:, 1:-1] & wide[1:-1, :-2] & wide[1:-1, 2:]
    u, v, rank = x[seen], y[seen], inner[seen]
    far = np.round(np.hypot(u - u.mean(), v - v.mean()), 6)
    apart = math.hypot(float(np.ptp(u)), float(np.ptp(v))) / SPOTS
    spots: list[Point] = []
    for k in np.lexsort((far, -rank)):
        p = (float(u[k]), float(v[k]))
        if len(spots) < SPOTS and all(math.dist(p, q) >= apart for q in spots):
            spots.append(p)
    return tuple(spots)
