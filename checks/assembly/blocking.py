"""Blocking graphs: which part stops which, for every direction in which joints open.

The method is that of non-directional blocking graphs (R. H. Wilson and J.-C. Latombe, "Geometric
reasoning about mechanical assembly", Artificial Intelligence 71, 1994): for one direction the
graph has an edge from each part to every part that it would run into; a set of parts comes off
whole along that direction if no edge leaves it, so the sets to try are what can be reached from
each part. Tenons leave only along their own line, so that finitely many directions are enough.

Sets of parts are whole numbers, bit ``i`` standing for body ``i``: thirty parts close in
microseconds. A graph library takes longer to load than the rest of the check takes to run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING, Literal, TypeAlias

from treenail.checks.assembly.access import COVERED, fasteners_of
from treenail.checks.assembly.pieces import (
    SLIDE,
    Piece,
    axis_of,
    between,
    meets,
    member_pieces,
    overlap,
)
from treenail.checks.assembly.two_legs import TwoLegs
from treenail.joints.provisions import MountedBlock
from treenail.joints.tenon_variants.tusk import TuskTenon
from treenail.timber.frames import Vec, dot, neg, snap_axis

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.joints.base import Joint

#: (body, fastener, whether the body runs into it; else it runs into the body).
Guard: TypeAlias = tuple[int, str, bool]
LinkKind = Literal["tenon", "tusk", "slide", "bolt", "rest", "glue"]
#: How much is asked of a peg's or bolt's room: all of it; a mouth that is open; nothing.
ROOMY, OPEN, ANY = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Link:
    """Two members of a joint.

    Attributes:
        joint: its name.
        first: the receiver, or what carries.
        second: the entering member, or what rests.
        home: unit vector in which ``second`` goes home: a must if the joint interlocks, else the
            natural way (square to where they touch).
        interlocks: whether they part along that line only.
        kind: ``tenon`` for all that interlock but tenons that a loose wedge holds (``tusk``) and
            what slides by hand (``slide``); ``bolt``, ``glue``, or ``rest``.
    """

    joint: str
    first: str
    second: str
    home: Vec
    interlocks: bool
    kind: LinkKind


def bits(mask: int) -> Iterator[int]:
    """The numbers in a set."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def closures(edges: dict[int, int]) -> dict[int, int]:
    """For each node all that can be reached from it, itself included."""
    found = {i: out | 1 << i for i, out in edges.items()}
    for k, onward in found.items():  # by way of one more node each time
        bit = 1 << k
        for i, mask in found.items():
            if mask & bit:
                found[i] = mask | onward
    return found


def least_closed(edges: dict[int, int]) -> list[int]:
    """The least sets that no edge leaves: the last strongly connected parts of the graph."""
    reached = closures(edges)
    return [
        mask
        for mask in sorted(set(reached.values()))
        if all(reached[j] == mask for j in bits(mask))
    ]


class Blocking:
    """A bench's bodies, links and fasteners, and what blocks what.

    Args:
        bench: numbers only.
        glue_first: pieces glued edge to edge are one body; otherwise each is its own.
    """

    def __init__(self, bench: Bench, *, glue_first: bool = True) -> None:
        self.bench = bench
        self.pieces: dict[str, tuple[Piece, ...]] = {
            m.name: member_pieces(m, bench.cuts[m.name]) for m in bench.timbers
        }
        self._bounds = {
            name: (
                tuple(min(p.low[i] for p in own) for i in range(3)),
                tuple(max(p.high[i] for p in own) for i in range(3)),
            )
            for name, own in self.pieces.items()
        }
        self.links = tuple(self._links())
        self.bodies = self._bodies(glue_first)
        self.body = {name: i for i, names in enumerate(self.bodies) for name in names}
        self.all = (1 << len(self.bodies)) - 1
        self.directions = self._directions()
        self.fasteners = {f.name: f for f in fasteners_of(bench, self.pieces)}
        self.owners = {
            name: (self.body[f.members[0]], self.body[f.members[1]])
            for name, f in self.fasteners.items()
        }
        self._ends = [
            (1 << self.body[link.first], 1 << self.body[link.second], link) for link in self.links
        ]
        self.blocked, self.guards = self._all_edges()
        self.neighbours = [0] * len(self.bodies)
        for link in self.links:
            a, b = self.body[link.first], self.body[link.second]
            if a != b:
                self.neighbours[a] |= 1 << b
                self.neighbours[b] |= 1 << a

    # -- parts -------------------------------------------------------------------------------

    def _links(self) -> Iterator[Link]:
        for joint in self.bench.joints:
            first, *rest = joint.members
            for other in rest:
                if other in joint.passed:
                    continue
                home = joint.insertion()
                if home is not None and not joint.beforehand:
                    kind: LinkKind = "slide" if joint.slides else "tenon"
                    if isinstance(joint, TuskTenon):
                        kind = "tusk"
                    yield Link(joint.name, first.name, other.name, snap_axis(home), True, kind)
                else:
                    way = self._touch(first.name, other.name)
                    yield Link(joint.name, first.name, other.name, way, False, _kind(joint))

    def _touch(self, first: str, second: str) -> Vec:
        """Natural way in which the second goes onto the first: square to the widest gap."""
        gaps = (between(a, b) for a in self.pieces[first] for b in self.pieces[second])
        _, apart = min(gaps, key=lambda gap: gap[0])
        return snap_axis(neg(apart))

    def _bodies(self, glue_first: bool) -> tuple[tuple[str, ...], ...]:
        group = {m.name: m.name for m in self.bench.timbers}

        def root(name: str) -> str:
            while group[name] != name:
                name = group[name]
            return name

        for link in self.links:
            if glue_first and link.kind == "glue":
                group[root(link.second)] = root(link.first)
        found: dict[str, list[str]] = {}
        for name in group:
            found.setdefault(root(name), []).append(name)
        return tuple(tuple(names) for names in found.values())

    def _directions(self) -> tuple[Vec, ...]:
        """Both ways along every line in which a joint opens; a loose part also slides."""
        lines = {link.home for link in self.links}
        held = {n for link in self.links if link.interlocks for n in (link.first, link.second)}
        for member in self.bench.timbers:
            if member.name not in held:
                place = member.placement
                lines |= {snap_axis(place.x), snap_axis(place.y), snap_axis(place.z)}
        found: list[Vec] = []
        for line in sorted((w for v in lines for w in (v, neg(v))), reverse=True):
            if all(dot(line, known) < 1.0 - 1e-9 for known in found):
                found.append(snap_axis(line))
        return tuple(found)

    # -- edges -------------------------------------------------------------------------------

    def _all_edges(self) -> tuple[list[list[int]], list[list[Guard]]]:
        """Edges and guards of each direction; the way back has the same ones turned round."""
        edges: dict[Vec, list[int]] = {}
        guards: dict[Vec, list[Guard]] = {}
        for d in self.directions:
            back = snap_axis(neg(d))
            if back in edges:
                edges[d] = [
                    sum(1 << j for j, out in enumerate(edges[back]) if out >> i & 1)
                    for i in range(len(self.bodies))
                ]
                guards[d] = [(body, name, not into) for body, name, into in guards[back]]
            else:
                edges[d] = self._edges(d)
                guards[d] = list(self.guarded(partial(self._runs_into, direction=d)))
        return list(edges.values()), list(guards.values())

    def _edges(self, direction: Vec) -> list[int]:
        found = [0] * len(self.bodies)
        linked: set[tuple[str, str]] = set()
        for link in self.links:
            if not link.interlocks:
                continue
            linked |= {(link.first, link.second), (link.second, link.first)}
            along = dot(direction, link.home)
            a, b = self.body[link.first], self.body[link.second]
            if a == b:
                continue
            if along < 1.0 - 1e-9:  # the receiver leaves onward, the entering member backward
                found[a] |= 1 << b
            if along > -1.0 + 1e-9:
                found[b] |= 1 << a
        for one in self.pieces:
            for other in self._ahead(one, direction):
                i, j = self.body[one], self.body[other]
                if i == j or found[i] >> j & 1 or (one, other) in linked:
                    continue
                if self._runs_into(self.pieces[one], self.pieces[other], direction):
                    found[i] |= 1 << j
        return found

    def _ahead(self, one: str, direction: Vec) -> Iterator[str]:
        """Members whose bounds lie in the way of a member's bounds."""
        axis = axis_of(direction)
        low, high = self._bounds[one]
        for other, (their_low, their_high) in self._bounds.items():
            if other == one:
                continue
            if axis is not None:
                forward = direction[axis] > 0.0
                ahead = their_high[axis] - low[axis] if forward else high[axis] - their_low[axis]
                if ahead <= SLIDE or any(
                    min(high[i], their_high[i]) - max(low[i], their_low[i]) <= SLIDE
                    for i in range(3)
                    if i != axis
                ):
                    continue
            yield other

    @staticmethod
    def _runs_into(ours: tuple[Piece, ...], theirs: tuple[Piece, ...], direction: Vec) -> bool:
        hit = any(meets(a, b, direction) for a in ours for b in theirs)
        # Parts that fill the same space are the overlap rules' business, whatever the direction.
        return hit and not any(overlap(a, b) for a in ours for b in theirs)

    def guarded(
        self, runs_into: Callable[[tuple[Piece, ...], tuple[Piece, ...]], bool]
    ) -> Iterator[Guard]:
        """What meets fasteners on a way, and what these meet, by a test of pieces on that way.

        A peg lies inside its two members: only a third one that is joined to one of them can
        come that near without meeting the member itself.
        """
        near: dict[str, set[str]] = {m: set() for m in self.pieces}
        for link in self.links:
            if link.interlocks:
                near[link.first].add(link.second)
                near[link.second].add(link.first)
        for name, f in self.fasteners.items():
            mine = self.owners[name]
            others = {m for own in f.members for m in near[own]} - set(f.members)
            for member in sorted(others):
                i = self.body[member]
                if i in mine:
                    continue
                theirs = self.pieces[member]
                if runs_into(theirs, f.pieces):
                    yield i, name, True
                if runs_into(f.pieces, theirs):
                    yield i, name, False

    @cached_property
    def two_legs(self) -> TwoLegs:
        """Ways of two legs, for where a single move frees nothing."""
        return TwoLegs(self)

    @cached_property
    def last(self) -> tuple[str, ...]:
        """What is in one member alone and goes in when all stands: pins, levelling feet."""
        return tuple(
            name
            for name, f in self.fasteners.items()
            if f.members[0] == f.members[1] and self.reachable(name, self.all, OPEN)
        )

    # -- questions ---------------------------------------------------------------------------

    def names(self, mask: int) -> tuple[str, ...]:
        """The members of a set of bodies."""
        return tuple(name for i in bits(mask) for name in self.bodies[i])

    def inside(self, mask: int, fasteners: Iterable[str]) -> tuple[str, ...]:
        """Those of the fasteners that hold two bodies of a set."""
        return tuple(
            n for n in fasteners if mask >> self.owners[n][0] & 1 and mask >> self.owners[n][1] & 1
        )

    def reachable(self, fastener: str, mask: int, level: int) -> bool:
        """Whether there is room to drive a fastener while a set of bodies stands."""
        f = self.fasteners[fastener]
        if level == ANY or f.kind == "nut":  # laid in before, should something cover its hole
            return True
        for o in f.obstacles:
            if not mask >> self.body[o.member] & 1:
                continue
            if level == ROOMY or (o.narrow and o.free < COVERED):
                return False
        return True

    def connected(self, mask: int) -> bool:
        """Whether joints hold a set of bodies together."""
        if not mask:
            return False
        seen = mask & -mask
        while True:
            grown = seen
            for i in bits(seen):
                grown |= self.neighbours[i] & mask
            if grown == seen:
                return seen == mask
            seen = grown

    def crossing(self, a: int, b: int) -> list[Link]:
        """The links between two sets of bodies."""
        return [link for p, q, link in self._ends if (a & p and b & q) or (b & p and a & q)]


def _kind(joint: Joint) -> LinkKind:
    if joint.beforehand:
        return "glue"
    return "bolt" if joint.hardware() or isinstance(joint, MountedBlock) else "rest"
