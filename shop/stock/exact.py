"""The best plan within reach of the bound: all patterns that matter, and an integer program.

HiGHS, by way of scipy, either finds a plan or proves that there is none, which raises the bound.
"""

from __future__ import annotations

import math
import time
from typing import TYPE_CHECKING, Any

from treenail.shop.stock.enumeration import Enumerator

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from treenail.shop.stock.columns import Instance, Relaxation
    from treenail.shop.stock.patterns import Pattern

__all__ = ["Chosen", "exact"]

Chosen = tuple[tuple[int, "Pattern"], ...]
"""Stock number and pattern of each board that is cut."""

#: Steps of each depth-first search, and entries of each list, before it is cut short.
_STEPS = 60_000
_LIST = 8_000


def exact(
    instance: Instance,
    relaxation: Relaxation,
    pool: Iterable[tuple[int, Pattern]],
    *,
    proven: float,
    upper: float,
    tolerance: float,
    cap: int,
    seconds: float,
) -> tuple[float, Chosen | None]:
    """A plan that costs less than ``upper``, if the patterns within reach give one.

    ``proven`` is the bound so far. Returns a bound on every plan's cost, and the plan.
    """
    bound = relaxation.bound
    target = instance.round_up(max(bound, proven))
    gap = upper - bound
    if target >= upper - tolerance:
        return bound, None
    priced = instance.pricer.price(relaxation.worth)
    # Boards of one price: the next number of them is the aim.
    coarse = instance.coarse
    slack = target - bound + 1e-6 * tolerance
    if not coarse:
        slack = min(gap, max(slack, 0.0015 * abs(bound)))
    start = time.perf_counter()
    listed: list[tuple[int, Pattern]] | None = None
    reached = 0.0
    while True:
        found, complete = _enumerate(instance, priced, slack, cap)
        if listed is None or (complete and len(found) <= cap):
            listed = found
            reached = slack if complete else 0.0
            if coarse and complete:  # no plan at the aim: the next one is a board dearer
                reached = target + instance.step - bound
        if coarse or not complete or len(found) > cap or slack >= gap:
            break
        if time.perf_counter() - start > 0.3 * seconds:
            break
        growth = (cap / max(len(found), 1)) ** 0.3
        slack = min(gap, slack * min(2.0, max(1.15, growth)))
    have = {(b, p.counts) for b, p in listed}
    wanted = instance.wanted
    extra: dict[tuple[int, tuple[int, ...]], Pattern] = {}
    for b, p in pool:
        cut = tuple(map(min, p.counts, wanted))
        if (b, cut) not in have:
            extra.setdefault((b, cut), p)
    columns = [*listed, *((b, p) for (b, _), p in extra.items())]
    left = max(0.05, seconds - (time.perf_counter() - start))
    low, chosen = _choose(instance, columns, relaxation, upper, tolerance, left)
    return max(bound, min(low, bound + reached)), chosen


def _enumerate(
    instance: Instance, priced: Any, slack: float, cap: int
) -> tuple[list[tuple[int, Pattern]], bool]:
    lister = Enumerator(priced, instance.wanted, slack, steps=_STEPS, most=max(_LIST, cap))
    found: list[tuple[int, Pattern]] = []
    for b, stock in enumerate(instance.problem.stock):
        found.extend((b, pattern) for pattern in lister.of(stock))
        if len(found) > 2 * cap or not lister.complete:
            return found, False
    return found, lister.complete


def _choose(
    instance: Instance,
    columns: Sequence[tuple[int, Pattern]],
    relaxation: Relaxation,
    upper: float,
    tolerance: float,
    seconds: float,
) -> tuple[float, Chosen | None]:
    """The integer program: patterns that cover what is wanted for less than ``upper``."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    problem, wanted = instance.problem, instance.wanted
    items, boards = len(problem.items), len(problem.stock)
    # A missing piece costs its fine over its worth: beyond the gap no better plan has one.
    gap = upper - relaxation.bound
    loose = [i for i in range(items) if instance.fine[i] - relaxation.worth[i] <= gap]
    scale = max(s.cost for s in problem.stock)
    cost = np.array(
        [problem.stock[b].cost / scale for b, _ in columns]
        + [instance.fine[i] / scale for i in loose]
    )
    entries: list[tuple[int, int, float]] = []
    for j, (b, pattern) in enumerate(columns):
        entries.extend((i, j, float(min(n, wanted[i]))) for i, n in enumerate(pattern.counts) if n)
        entries.append((items + b, j, 1.0))
        entries.append((items + boards, j, float(cost[j])))
    for k, i in enumerate(loose):
        entries.append((i, len(columns) + k, 1.0))
        entries.append((items + boards, len(columns) + k, float(cost[len(columns) + k])))
    rows, cols, values = zip(*entries, strict=True)
    matrix = coo_array((values, (rows, cols)), shape=(items + boards + 1, len(cost))).tocsc()
    low = np.concatenate([np.array(wanted, dtype=float), np.full(boards + 1, -np.inf)])
    high = np.concatenate(
        [
            np.full(items, np.inf),
            np.array([s.count for s in problem.stock], dtype=float),
            [(upper - tolerance) / scale],
        ]
    )
    most = [float(min(problem.stock[b].count, max(wanted))) for b, _ in columns] + [
        float(wanted[i]) for i in loose
    ]
    result = milp(
        cost,
        constraints=LinearConstraint(matrix, low, high),
        integrality=np.ones(len(cost)),
        bounds=Bounds(np.zeros(len(cost)), np.array(most)),
        options={"time_limit": seconds, "mip_rel_gap": 1e-6},
    )
    if result.status == 2:  # infeasible: no plan over these columns is that good
        return upper - tolerance, None
    dual = result.mip_dual_bound
    bound = -math.inf if dual is None or not math.isfinite(dual) else float(dual) * scale
    bound -= 1e-6 * scale
    if result.x is None:
        return bound, None
    chosen: list[tuple[int, Pattern]] = []
    for j, (b, pattern) in enumerate(columns):
        chosen.extend((b, pattern) for _ in range(round(result.x[j])))
    return bound, tuple(chosen)
