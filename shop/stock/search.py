"""The cheapest set of boards for the pieces, with the proof of how good it is.

From the bound of columns.py, every pattern is listed that a plan within a slack of it can use
(enumeration.py), and an integer program over those (HiGHS, by way of scipy) finds the best such
plan or proves that there is none, which raises the bound. Where that list grows too long, parts
of the best plan known are taken up and solved in the same way, board by board in turn.

Without a time limit that strikes, the same problem gives the same plan.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from treenail.shop.stock.baseline import first_fits
from treenail.shop.stock.columns import Instance, Pool, Relaxation, relax
from treenail.shop.stock.exact import Chosen, exact
from treenail.shop.stock.patterns import Pattern, Problem
from treenail.shop.stock.tidy import drop_surplus

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Progress", "Solution", "solve"]

Progress = Callable[[float, float, float, str], None]
"""Called with seconds, the cost of the best plan, the bound, and what is being done."""

#: Two costs that differ by less than this share of the dearest board count as one: the integer
#: program's own tolerance is not far below.
_SAME = 2e-5


@dataclass(frozen=True, slots=True)
class Solution:
    """What was found.

    Attributes:
        chosen: stock number and pattern of each board that is cut. Patterns may give more of an
            item than is wanted.
        missing: of each item, how many the boards don't give.
        cost: of the boards, a whole number.
        bound: no plan that misses nothing costs less (if nothing is missing); else 0.
        fine_bound: the same for cost and fines together.
        objective: cost and fines together.
        baseline: cost and fines of first-fit decreasing.
        rounds: of the search.
        seconds: it took.
        stopped: whether the time limit struck.
    """

    chosen: Chosen
    missing: tuple[int, ...]
    cost: int
    bound: float
    fine_bound: float
    objective: float
    baseline: float
    rounds: int
    seconds: float
    stopped: bool

    @property
    def gap(self) -> float:
        """How far the plan can be from the best one, as a share of the bound."""
        low = self.fine_bound
        return max(0.0, self.objective / low - 1.0) if low > 0 else 0.0


@dataclass
class _Clock:
    limit: float
    start: float = field(default_factory=time.perf_counter)

    @property
    def seconds(self) -> float:
        return time.perf_counter() - self.start

    @property
    def left(self) -> float:
        return self.limit - self.seconds

    def over(self) -> bool:
        return self.left <= 0.0


@dataclass
class _Best:
    """The best plan so far."""

    instance: Instance
    chosen: Chosen = ()
    objective: float = math.inf

    def offer(self, chosen: Chosen) -> bool:
        """Take a plan that is better."""
        objective = _objective(self.instance, chosen)
        if objective >= self.objective - 1e-6:
            return False
        self.chosen, self.objective = chosen, objective
        return True


def _missing(instance: Instance, chosen: Chosen) -> tuple[int, ...]:
    got = [0] * len(instance.problem.items)
    for _, pattern in chosen:
        for i, n in enumerate(pattern.counts):
            got[i] += n
    return tuple(max(0, w - g) for w, g in zip(instance.wanted, got, strict=True))


def _objective(instance: Instance, chosen: Chosen) -> float:
    cost = sum(instance.problem.stock[b].cost for b, _ in chosen)
    missing = _missing(instance, chosen)
    return cost + sum(n * f for n, f in zip(missing, instance.fine, strict=True))


def solve(
    problem: Problem,
    *,
    time_limit: float = 30.0,
    goal: float = 0.0,
    progress: Progress | None = None,
    seed: int = 1,
) -> Solution:
    """Choose boards and patterns.

    Args:
        problem: every item must fit at least one board.
        time_limit: seconds.
        goal: stop once the plan is within this share of the bound.
        progress: told whenever something is found.
        seed: of the search's choices.
    """
    instance = Instance.of(problem)
    search = _Search(instance, _Clock(time_limit), goal, progress, random.Random(seed))  # noqa: S311
    return search.run()


class _Search:
    def __init__(
        self,
        instance: Instance,
        clock: _Clock,
        goal: float,
        progress: Progress | None,
        rng: random.Random,
    ) -> None:
        self.instance, self.clock, self.goal = instance, clock, goal
        self.progress, self.rng = progress, rng
        self.best = _Best(instance)
        self.bound = 0.0
        self.pool = Pool()
        self.rounds = 0

    def tell(self, doing: str) -> None:
        if self.progress:
            self.progress(self.clock.seconds, self.best.objective, self.bound, doing)

    @property
    def tolerance(self) -> float:
        dearest = max(s.cost for s in self.instance.problem.stock)
        return max(_SAME * dearest, self.instance.step * 0.5)

    def done(self) -> bool:
        close = self.bound * (1.0 + self.goal) + self.tolerance
        return self.best.objective <= close or self.clock.over()

    def raise_bound(self, bound: float) -> None:
        bound = self.instance.round_up(bound)
        self.bound = max(self.bound, min(bound, self.best.objective))

    def run(self) -> Solution:
        instance, best = self.instance, self.best
        fits = first_fits(instance.problem)
        for chosen in fits:
            best.offer(chosen)
            for b, pattern in chosen:
                self.pool.add(b, pattern)
        baseline = best.objective
        self.tell("first-fit decreasing")
        relaxation = relax(instance, self.pool, stop=self.clock.over)
        self.raise_bound(relaxation.bound)
        self.tell("bound")
        limit = self.clock.limit
        if not self.done():
            self._level(relaxation, 1200, 0.1 * limit)
        if not self.done():
            self._improve(until=0.35 * limit, patience=40)
        if not self.done():
            self._level(relaxation, 6000, 0.3 * limit)
        if not self.done():
            self._improve(until=limit, patience=80)
        if not self.done():
            self._level(relaxation, 20000, self.clock.left)
        best.offer(drop_surplus(instance.problem, best.chosen))  # a board may fall out
        best.chosen = drop_surplus(instance.problem, best.chosen)
        missing = _missing(instance, best.chosen)
        cost = sum(instance.problem.stock[b].cost for b, _ in best.chosen)
        assert best.objective <= baseline + 1e-6  # never worse than first-fit decreasing
        return Solution(
            chosen=best.chosen,
            missing=missing,
            cost=cost,
            bound=0.0 if any(missing) else self.bound,
            fine_bound=self.bound,
            objective=best.objective,
            baseline=baseline,
            rounds=self.rounds,
            seconds=self.clock.seconds,
            stopped=self.clock.over(),
        )

    def _level(self, relaxation: Relaxation, cap: int, seconds: float) -> None:
        """Solve over all patterns within the largest slack that lists no more than ``cap``."""
        before = -1.0
        while before < self.bound and not self.done():
            before = self.bound
            low, chosen = exact(
                self.instance,
                relaxation,
                self.pool,
                proven=self.bound,
                upper=self.best.objective,
                tolerance=self.tolerance,
                cap=cap,
                seconds=min(seconds, self.clock.left),
            )
            self.rounds += 1
            if chosen is not None:
                self.best.offer(chosen)
            self.raise_bound(low)
            self.tell(f"all patterns that matter, up to {cap}")
            if not self.instance.coarse:  # else again, with one board more
                break

    def _improve(self, *, until: float, patience: int) -> None:
        """Take up some boards of the best plan and solve for their pieces anew."""
        instance, rng = self.instance, self.rng
        current, value = self.best.chosen, self.best.objective
        idle = 0
        while not self.done() and self.clock.seconds < until and idle < patience:
            self.rounds += 1
            used = list(current)
            rng.shuffle(used)
            many = min(len(used), rng.choice((2, 3, 3, 4, 4, 5)))
            part = _part(instance, used[many:], used[:many], rng)
            if part is None:
                idle += 1
                continue
            sub, kept_items, kept_stock = part
            fixed = tuple(used[many:])
            now = value - sum(instance.problem.stock[b].cost for b, _ in fixed)
            # A little worse is let through now and then, to leave a corner.
            slack = 0.003 * value * rng.random() if rng.random() < 0.5 else 0.0
            pool = Pool()
            relaxation = relax(sub, pool, enough=now + slack)
            _, found = exact(
                sub,
                relaxation,
                pool,
                proven=relaxation.bound,
                upper=now + slack + (sub.step if slack else 0),
                tolerance=self.tolerance,
                cap=1500,
                seconds=min(1.5, self.clock.left),
            )
            if found is None:
                idle += 1
                continue
            current = fixed + _whole(found, kept_items, kept_stock, len(instance.problem.items))
            value = _objective(instance, current)
            if self.best.offer(current):
                idle = 0
                self.tell("part of the plan solved anew")
            else:
                idle += 1
                if value > self.best.objective * 1.006:
                    current, value = self.best.chosen, self.best.objective


def _part(
    instance: Instance,
    fixed: Sequence[tuple[int, Pattern]],
    free: Sequence[tuple[int, Pattern]],
    rng: random.Random,
) -> tuple[Instance, list[int], list[int]] | None:
    """The problem of what the fixed boards leave, over the freed boards and some others."""
    problem = instance.problem
    left = _missing(instance, tuple(fixed))
    items = [i for i, n in enumerate(left) if n]
    spare = [s.count for s in problem.stock]
    for b, _ in (*fixed, *free):
        spare[b] -= 1
    others = [b for b, n in enumerate(spare) if n > 0]
    others = sorted(rng.sample(others, min(9, len(others))))
    counts = {b: min(spare[b], 9) for b in others}
    for b, _ in free:
        counts[b] = counts.get(b, 0) + 1
    stock = sorted(counts)
    if not items or not stock:
        return None
    part = replace(
        problem,
        items=tuple(replace(problem.items[i], count=left[i]) for i in items),
        stock=tuple(replace(problem.stock[b], count=counts[b]) for b in stock),
    )
    if not part.zones or not all(part.fits(i) for i in part.items):
        return None
    return Instance(part, tuple(instance.fine[i] for i in items)), items, stock


def _whole(found: Chosen, items: list[int], stock: list[int], count: int) -> Chosen:
    """Patterns of a part, numbered as in the whole problem."""
    done = []
    for b, pattern in found:
        zones = [
            tuple(
                replace(
                    section,
                    strips=tuple(
                        replace(strip, items=tuple(items[i] for i in strip.items))
                        for strip in section.strips
                    ),
                )
                for section in sections
            )
            for sections in pattern.zones
        ]
        done.append((stock[b], Pattern.of(pattern.layout, zones, count)))
    return tuple(done)
