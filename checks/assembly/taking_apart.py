"""Taking a bench apart on paper: read backward, that is how it goes together.

Whatever can be taken apart stays so when a part of it is missing: the same moves serve, with less
in their way. So the first split that works may be taken; there is no need to come back to it, and
where none is left, no order of such moves exists. Moves are straight, or of two straight legs.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from treenail.checks.assembly.blocking import ANY, OPEN, ROOMY, Blocking, bits, least_closed
from treenail.timber.frames import dot, neg

if TYPE_CHECKING:
    from treenail.checks.assembly.blocking import Guard, Link
    from treenail.timber.frames import Vec


@dataclass(frozen=True, slots=True)
class Split:
    """One way to part a set of bodies.

    Attributes:
        moving: the bodies that come off.
        direction: the way they come off; of two legs the second.
        pulled: pegs and bolts that must be out before.
        first: the first of two legs out of the joints, (direction, mm), or None.
    """

    moving: int
    direction: Vec
    pulled: tuple[str, ...]
    first: tuple[Vec, float] | None = None

    @property
    def opening(self) -> Vec:
        """The direction in which its joints open."""
        return self.direction if self.first is None else self.first[0]


@dataclass(frozen=True, slots=True)
class Node:
    """A group on its way apart: two groups and the move between them, or one body, or a knot.

    Attributes:
        mask: its bodies.
        base, mover: what stays and what comes off; None for a single body and for a knot.
        split: the move.
        level: how much room its pegs and bolts were granted.
    """

    mask: int
    base: Node | None = None
    mover: Node | None = None
    split: Split | None = None
    level: int = OPEN

    @property
    def is_knot(self) -> bool:
        """Several bodies that no move parts, straight or of two legs."""
        return self.split is None and bool(self.mask & (self.mask - 1))


@dataclass(slots=True)
class TakingApart:
    """Takes sets of bodies apart; with ``loosened`` joints left out of account."""

    blocking: Blocking
    loosened: frozenset[str] = frozenset()
    _sizes: dict[int, float] = field(default_factory=dict)

    def tree(
        self, mask: int, fasteners: tuple[str, ...] | None = None, last: Vec | None = None
    ) -> Node:
        """Everything about how a set of bodies comes apart.

        Args:
            mask: the set.
            fasteners: pegs and bolts that are still in it (None: all).
            last: the direction in which the group was last opened, if that parted tenons.
        """
        if fasteners is None:
            fasteners = tuple(self.blocking.fasteners)
        held = self.blocking.inside(mask, fasteners)
        if not mask & (mask - 1):
            return Node(mask)
        for level in (OPEN, ANY):
            split = self.split(mask, held, level, last)
            if split is not None:
                left = tuple(n for n in held if n not in split.pulled)
                rest = mask & ~split.moving
                tenoned = any(x.interlocks for x in self.blocking.crossing(split.moving, rest))
                return Node(
                    mask,
                    base=self.tree(rest, left, split.opening if tenoned else None),
                    mover=self.tree(split.moving, left),
                    split=split,
                    level=level,
                )
        return Node(mask)

    def split(
        self, mask: int, fasteners: tuple[str, ...], level: int, last: Vec | None = None
    ) -> Split | None:
        """The best way to part a set of bodies: by one straight move, else by one of two legs."""
        for ways in (self.splits, self.turns):
            ranked = (
                (self._rank(found, mask, k, level, last), found)
                for k, found in ways(mask, fasteners, level)
            )
            best = min(ranked, key=lambda pair: pair[0], default=None)
            if best:
                return best[1]
        return None

    def splits(
        self, mask: int, fasteners: tuple[str, ...], level: int
    ) -> Iterator[tuple[int, Split]]:
        """Every least group that comes off, with the number of its direction."""
        b = self.blocking
        fixed = [n for n in fasteners if not b.reachable(n, mask, level)]
        for k, direction in enumerate(b.directions):
            guards = b.guards[k]
            for moving in self._least(b.blocked[k], guards, mask, fixed):
                yield k, Split(moving, direction, self._pulled(guards, moving, mask, fasteners))

    def turns(
        self, mask: int, fasteners: tuple[str, ...], level: int
    ) -> Iterator[tuple[int, Split]]:
        """As ``splits``, by two legs each."""
        legged = self.blocking.two_legs
        fixed = [n for n in fasteners if not self.blocking.reachable(n, mask, level)]
        ways = legged.ways(lambda edges: any(self._least(edges, [], mask, fixed)))
        for k, way in enumerate(ways):
            guards = legged.guards(way)
            for moving in self._least(legged.edges(way), guards, mask, fixed):
                pulled = self._pulled(guards, moving, mask, fasteners)
                yield k, Split(moving, way.second, pulled, (way.first, way.travel))

    def _least(
        self, blocked: list[int], guards: list[Guard], mask: int, fixed: list[str]
    ) -> Iterator[int]:
        """The least groups of a set that come off whole on one way, ``fixed`` being held."""
        owners = self.blocking.owners
        edges = {i: self._out(blocked[i], i) & mask for i in bits(mask)}
        for name in fixed:  # what can't be driven out holds its two members together
            one, two = owners[name]
            edges[one] |= 1 << two
            edges[two] |= 1 << one
        for body, name, into in guards:
            if name in fixed and mask >> body & 1:
                one = owners[name][0]
                if into:
                    edges[body] |= 1 << one
                else:
                    edges[one] |= 1 << body
        return (moving for moving in least_closed(edges) if moving != mask)

    def knot(self, mask: int) -> int:
        """A least set of bodies that can't be taken apart, out of one that can't."""
        for i in bits(mask):
            rest = mask & ~(1 << i)
            if rest & (rest - 1):
                stuck = next((n for n in nodes(self.tree(rest, ())) if n.is_knot), None)
                if stuck is not None:
                    return self.knot(stuck.mask)
        return mask

    # -- inside ------------------------------------------------------------------------------

    def _out(self, out: int, i: int) -> int:
        """What bars a body, but for joints that are left out of account."""
        if self.loosened:
            for link in self.blocking.links:
                if link.joint in self.loosened:
                    a, b = self.blocking.body[link.first], self.blocking.body[link.second]
                    if i == a:
                        out &= ~(1 << b)
                    elif i == b:
                        out &= ~(1 << a)
        return out

    def _pulled(
        self, guards: list[Guard], moving: int, mask: int, fasteners: tuple[str, ...]
    ) -> tuple[str, ...]:
        """Fasteners that cross the split, and those that would be run into, or run into."""
        b = self.blocking
        found = []
        for name in fasteners:
            one, two = b.owners[name]
            if (moving >> one & 1) != (moving >> two & 1):
                found.append(name)
        held = set(fasteners) - set(found)
        for body, name, into in guards:
            if name not in held or not mask >> body & 1 or name in found:
                continue
            goes = bool(moving >> b.owners[name][0] & 1)
            moves = bool(moving >> body & 1)
            if moves != goes and moves == into:
                found.append(name)
        return tuple(found)

    def _rank(
        self, split: Split, mask: int, k: int, level: int, last: Vec | None
    ) -> tuple[object, ...]:
        """What to take off first, the smaller the sooner.

        What nothing holds; whole groups, not heaps; what only lies there, then what is bolted,
        wedged by a tusk, tenoned; by its natural way rather than sliding; upward rather than down;
        with room for pegs and bolts; the same way as the last move; then the smaller group, as
        the one that is carried and clamped.
        """
        b = self.blocking
        rest = mask & ~split.moving
        links = b.crossing(split.moving, rest)
        cramped = 0
        if level != ANY:
            cramped = sum(not b.reachable(n, mask, ROOMY) for n in split.pulled)
        force = max((_FORCE[link.kind] for link in links), default=0)
        natural = all(self._natural(link, split) for link in links)
        whole = b.connected(split.moving) and b.connected(rest)
        # Loose parts slide in from the front; otherwise the first direction, which is fixed.
        turn = float(k) if natural else split.direction[1]
        if split.first is not None:  # lowered from above, if it may be
            turn = -split.direction[2]
        return (
            bool(links),
            not whole,
            force,
            not natural,
            split.direction[2] < -0.5,
            cramped,
            last is not None and dot(last, split.opening) < 1.0 - 1e-9,
            round(self._size(split.moving), 6),
            turn,
            k,
            -split.moving,
        )

    def _natural(self, link: Link, split: Split) -> bool:
        enters = split.moving >> self.blocking.body[link.second] & 1
        away = neg(link.home) if enters else link.home
        return dot(away, split.opening) > 1.0 - 1e-9

    def _size(self, mask: int) -> float:
        """Diagonal of the bounds of a set of bodies, mm."""
        if mask not in self._sizes:
            own = [p for n in self.blocking.names(mask) for p in self.blocking.pieces[n]]
            self._sizes[mask] = math.dist(
                [min(p.low[i] for p in own) for i in range(3)],
                [max(p.high[i] for p in own) for i in range(3)],
            )
        return self._sizes[mask]


_FORCE = {"rest": 0, "slide": 0, "bolt": 1, "tusk": 2, "glue": 3, "tenon": 3}


def nodes(node: Node) -> list[Node]:
    """A tree's nodes, the whole first."""
    found = [node]
    for part in (node.base, node.mover):
        if part is not None:
            found += nodes(part)
    return found


def knots(node: Node) -> list[int]:
    """The sets of bodies in a tree that don't come apart."""
    return [n.mask for n in nodes(node) if n.is_knot]
