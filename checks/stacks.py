"""Tolerance stacks: how sizes that vary add up to a gap, in closed form and by trial.

A gap is a sum of independent parts, each normal about its set size; what a machine *holds* is
three standard deviations (our own reading of "nearly all"). Then the gap is normal too, and the
share of joints below or above a limit is normal interference: Q(z) = erfc(z / √2) / 2. The
trial (Monte Carlo) draws the same parts, and is there to show that the closed form holds also
where gaps share a part.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["DRAWS", "SEED", "SIGMAS", "Part", "Shares", "Stack", "joint_shares", "simulate"]

#: What a machine holds, in standard deviations (our own choice).
SIGMAS = 3.0
#: Trials of one kind of joint.
DRAWS = 20_000
#: Seed of the trials: the same bench and shop always give the same report.
SEED = 20_731


@dataclass(frozen=True, slots=True)
class Part:
    """One size that varies.

    Attributes:
        what: which size, in shop words; parts of the same name, machine and holding are one.
        machine: key in ``Machines`` of what makes it.
        holds: plus or minus, mm.
        factor: by how much the gap grows for each mm that this size does.
    """

    what: str
    machine: str
    holds: float
    factor: float = 1.0

    @property
    def reach(self) -> float:
        """The most it moves the gap either way, mm."""
        return abs(self.factor) * self.holds

    @property
    def key(self) -> tuple[str, str, float]:
        """What makes it one and the same size in several gaps."""
        return (self.what, self.machine, self.holds)


@dataclass(frozen=True, slots=True)
class Shares:
    """Shares of all joints, from 0 to 1, that together make 1.

    Attributes:
        tight: the gap is below its lower limit.
        good: between the limits.
        loose: above the upper limit.
    """

    tight: float
    good: float
    loose: float


@dataclass(frozen=True, slots=True)
class Stack:
    """A gap and what it adds up from.

    Attributes:
        direction: ``cheek``, ``edge``, ``bottom``, ``draw`` or ``length``.
        nominal: the gap as drawn, mm.
        low, high: its limits, mm; None where there is none.
        parts: what varies.
    """

    direction: str
    nominal: float
    low: float | None
    high: float | None
    parts: tuple[Part, ...]

    @property
    def worst(self) -> tuple[float, float]:
        """The least and greatest gap with every part at its worst, mm."""
        spread = math.fsum(p.reach for p in self.parts)
        return (self.nominal - spread, self.nominal + spread)

    @property
    def rss(self) -> float:
        """Root sum square of the parts, mm: what the gap holds, plus or minus."""
        return math.sqrt(math.fsum(p.reach**2 for p in self.parts))

    @property
    def sigma(self) -> float:
        """Standard deviation of the gap, mm."""
        return self.rss / SIGMAS

    @property
    def shares(self) -> Shares:
        """Shares below, within and above the limits (normal interference)."""
        tight = 0.0 if self.low is None else _below(self.low, self.nominal, self.sigma)
        loose = 0.0 if self.high is None else _below(-self.high, -self.nominal, self.sigma)
        return Shares(tight, max(0.0, 1.0 - tight - loose), loose)

    @property
    def window(self) -> float | None:
        """From the gap as drawn to its nearer limit, mm; None without limits."""
        rooms = [abs(self.nominal - x) for x in (self.low, self.high) if x is not None]
        return min(rooms, default=None)

    def by_machine(self) -> dict[str, float]:
        """Share of the variance by machine, largest first; empty if nothing varies."""
        total = math.fsum(p.reach**2 for p in self.parts)
        found: dict[str, float] = {}
        for p in self.parts:
            found[p.machine] = found.get(p.machine, 0.0) + p.reach**2
        if total == 0.0:
            return {}
        ordered = sorted(found.items(), key=lambda item: (-item[1], item[0]))
        return {machine: variance / total for machine, variance in ordered}

    def scaled(self, machine: str, factor: float) -> Stack:
        """The same with one machine holding ``factor`` times what it does."""
        parts = tuple(
            dataclasses.replace(p, holds=p.holds * factor) if p.machine == machine else p
            for p in self.parts
        )
        return dataclasses.replace(self, parts=parts)


def _below(limit: float, mean: float, sigma: float) -> float:
    """Share of a normal quantity that is under a limit; a step where nothing varies."""
    if sigma == 0.0:
        return 1.0 if mean < limit else 0.0
    return 0.5 * math.erfc((mean - limit) / (sigma * math.sqrt(2.0)))


def joint_shares(stacks: Sequence[Stack]) -> Shares:
    """Shares of whole joints: tight if any gap is, else loose if any is, else good.

    Exact for gaps that share no part.
    """
    free, good = 1.0, 1.0
    for stack in stacks:
        shares = stack.shares
        free *= 1.0 - shares.tight
        good *= shares.good
    return Shares(1.0 - free, good, max(0.0, free - good))


def simulate(stacks: Sequence[Stack], *, draws: int = DRAWS, seed: int = SEED) -> Shares:
    """The same shares by seeded trial; a part that several gaps share is drawn once."""
    import numpy as np

    rng = np.random.default_rng(seed)
    drawn: dict[tuple[str, str, float], Any] = {}
    tight = np.zeros(draws, dtype=bool)
    loose = np.zeros(draws, dtype=bool)
    for stack in stacks:
        gap = np.full(draws, stack.nominal)
        for part in stack.parts:
            if part.key not in drawn:
                drawn[part.key] = rng.normal(0.0, part.holds / SIGMAS, draws)
            gap += part.factor * drawn[part.key]
        if stack.low is not None:
            tight |= gap < stack.low
        if stack.high is not None:
            loose |= gap > stack.high
    loose &= ~tight
    shares = (float(np.count_nonzero(x)) / draws for x in (tight, loose))
    too_tight, too_loose = shares
    return Shares(too_tight, 1.0 - too_tight - too_loose, too_loose)
