"""A lower bound on what the pieces cost, and boards cut in ways that are worth their price.

Column generation: a linear program chooses shares of patterns that cover what is wanted; its
duals are the worth of each piece; the knapsacks of patterns.py find every board's best pattern by
those worths; patterns worth more than their board join the program, until there are none. The
bound is Lagrange's: it holds for the worths of any round, converged or not.

A piece may go missing at a price that no board comes near, so that there is always a plan; what
is missing is then to be bought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.shop.stock.patterns import Pricer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from treenail.shop.stock.patterns import Pattern, Problem

__all__ = ["Instance", "Pool", "Relaxation", "relax"]

_ROUNDS = 300
_CLOSE = 1e-7


@dataclass(frozen=True)
class Instance:
    """A problem with its tables, and what a missing piece counts.

    ``fine`` is the price of a missing piece, by item.
    """

    problem: Problem
    fine: tuple[int, ...]

    @staticmethod
    def of(problem: Problem) -> Instance:
        """Fines in proportion to the pieces' area, the least twice the dearest board.

        They are multiples of what all boards' costs are multiples of.
        """
        least = min(i.area for i in problem.items)
        most = max(s.cost for s in problem.stock)
        step = math.gcd(*(s.cost for s in problem.stock))
        fines = (-(-2 * most * i.area // (least * step)) * step for i in problem.items)
        return Instance(problem, tuple(fines))

    @cached_property
    def pricer(self) -> Pricer:
        """The knapsacks."""
        return Pricer(self.problem)

    @cached_property
    def step(self) -> int:
        """What all costs and fines are multiples of: plans differ by at least this."""
        return math.gcd(*(s.cost for s in self.problem.stock), *self.fine)

    @property
    def wanted(self) -> tuple[int, ...]:
        """Count of each item."""
        return tuple(i.count for i in self.problem.items)

    @property
    def coarse(self) -> bool:
        """Boards of one price: only whole boards count."""
        return all(s.cost == self.step for s in self.problem.stock)

    def round_up(self, bound: float) -> float:
        """The least cost (and fines) that isn't below a bound."""
        return math.ceil(bound / self.step - 1e-6) * self.step


@dataclass
class Pool:
    """Patterns by board and counts."""

    patterns: dict[tuple[int, tuple[int, ...]], Pattern] = field(default_factory=dict)

    def add(self, stock: int, pattern: Pattern) -> bool:
        """Whether the pattern is new."""
        key = (stock, pattern.counts)
        if key in self.patterns or not any(pattern.counts):
            return False
        self.patterns[key] = pattern
        return True

    def __iter__(self) -> Iterator[tuple[int, Pattern]]:
        """Board number and pattern, in the order in which they came."""
        return ((stock, pattern) for (stock, _), pattern in self.patterns.items())

    def __len__(self) -> int:
        return len(self.patterns)


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The linear program's end.

    Attributes:
        bound: no plan costs less.
        worth: of one piece of each item, for which the bound holds.
        rounds: of column generation.
    """

    bound: float
    worth: tuple[float, ...]
    rounds: int


def relax(
    instance: Instance,
    pool: Pool,
    *,
    enough: float = math.inf,
    stop: Callable[[], bool] = lambda: False,
) -> Relaxation:
    """Generate columns into ``pool``; stops early once the bound reaches ``enough``."""
    problem, pricer = instance.problem, instance.pricer
    worth: Sequence[float] = [
        min(float(i.area), f) for i, f in zip(problem.items, instance.fine, strict=True)
    ]
    best = Relaxation(-math.inf, tuple(worth), 0)
    for number in range(1, _ROUNDS + 1):
        priced = pricer.price(worth)
        bound = sum(w * i.count for w, i in zip(worth, problem.items, strict=True))
        fresh = 0
        for b, stock in enumerate(problem.stock):
            value, layout = priced.best(stock)
            bound -= stock.count * max(0.0, value - stock.cost)
            if number == 1 or value > stock.cost * (1 + _CLOSE):
                fresh += pool.add(b, priced.pattern(stock, layout))
        if bound > best.bound:
            best = Relaxation(bound, tuple(worth), number)
        if best.bound >= enough or stop() or (number > 1 and not fresh):
            break
        value, worth = _master(instance, pool)
        if value - best.bound <= _CLOSE * abs(value):
            break
    return best


def _master(instance: Instance, pool: Pool) -> tuple[float, list[float]]:
    """Value and worths of the linear program over the pool."""
    import numpy as np
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    problem = instance.problem
    items, boards = len(problem.items), len(problem.stock)
    scale = max(s.cost for s in problem.stock)
    cost: list[float] = []
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    for j, (b, pattern) in enumerate(pool):
        cost.append(problem.stock[b].cost / scale)
        for i, n in enumerate(pattern.counts):
            if n:
                rows.append(i)
                columns.append(j)
                values.append(-float(n))
        rows.append(items + b)
        columns.append(j)
        values.append(1.0)
    for i, fine in enumerate(instance.fine):
        rows.append(i)
        columns.append(len(cost))
        values.append(-1.0)
        cost.append(fine / scale)
    limits = [-float(i.count) for i in problem.items] + [float(s.count) for s in problem.stock]
    matrix = coo_array((values, (rows, columns)), shape=(items + boards, len(cost))).tocsr()
    result = linprog(np.array(cost), A_ub=matrix, b_ub=np.array(limits), method="highs")
    assert result.success, result.message
    duals = -result.ineqlin.marginals[:items] * scale
    worth = [min(max(0.0, float(w)), f) for w, f in zip(duals, instance.fine, strict=True)]
    return float(result.fun) * scale, worth
