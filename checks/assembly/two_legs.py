"""Moves of two straight legs: first a little way out of the joints, then another way.

Where a single move frees nothing, a part may still come out round a corner: a rail leaves its
mortise by the tenon's length and then has room to be lifted out. The first leg's length is that of
a joint that occurs, and a little more; the second one has no end. What bars either leg is told as
for single moves, by convex pieces: swept along the first, displaced by it for the second.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.checks.assembly.pieces import SLIDE, Piece, meets, moved, overlap, swept
from treenail.joints.convex import reach
from treenail.timber.frames import Vec, X, Y, Z, dot, neg, scale, snap_axis

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from treenail.checks.assembly.blocking import Blocking, Guard, Link

    _Bars = Callable[[str, str], bool]
    _Closes = Callable[[list[int]], bool]

#: How much farther than a joint is deep a first leg goes, mm (our own choice).
LEG_ROOM = 1.0
_ALONG = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Legs:
    """A way out: ``travel`` mm along ``first``, then without end along ``second``."""

    first: Vec
    travel: float
    second: Vec


class TwoLegs:
    """What bars what on every way of two legs; each is looked at when it is asked for."""

    def __init__(self, blocking: Blocking) -> None:
        self.b = blocking
        self._first: dict[tuple[Vec, float], list[int]] = {}
        self._edges: dict[Legs, list[int]] = {}
        self._guards: dict[Legs, list[Guard]] = {}
        self._moved: dict[tuple[str, Vec], tuple[Piece, ...]] = {}
        self._swept: dict[tuple[Piece, Vec], Piece] = {}

    @cached_property
    def starts(self) -> tuple[tuple[Vec, float], ...]:
        """First legs: out of each interlocking joint, by its depth and a little more."""
        found: dict[tuple[Vec, float], None] = {}
        for link in self.b.links:
            depth = self._depth(link)
            if depth > SLIDE:
                for way in (neg(link.home), link.home):
                    found[snap_axis(way), round(depth + LEG_ROOM, 6)] = None
        return tuple(sorted(found, key=lambda start: (neg(start[0]), start[1])))

    def onward(self, first: Vec) -> tuple[Vec, ...]:
        """Second legs after a first one: the bench's axes and the joints' lines, but its own."""
        axes = [v for axis in (X, Y, Z) for v in (axis, neg(axis))]
        ways = dict.fromkeys([*self.b.directions, *map(snap_axis, axes)])
        return tuple(v for v in ways if abs(dot(v, first)) < _ALONG)

    def first_edges(self, first: Vec, travel: float) -> list[int]:
        """For each body those that it runs into on the first leg."""
        key = (first, travel)
        if key not in self._first:
            by = scale(first, travel)
            self._first[key] = self._graph(lambda a, b: self._bars_first(a, b, first, by))
        return self._first[key]

    def edges(self, legs: Legs) -> list[int]:
        """For each body those that it runs into on either leg."""
        if legs not in self._edges:
            by = scale(legs.first, legs.travel)
            second = self._graph(lambda a, b: self._bars_second(a, b, by, legs.second))
            first = self.first_edges(legs.first, legs.travel)
            self._edges[legs] = [p | q for p, q in zip(first, second, strict=True)]
        return self._edges[legs]

    def guards(self, legs: Legs) -> list[Guard]:
        """As ``Blocking.guards``: which bodies and fasteners meet on the way."""
        if legs not in self._guards:
            by = scale(legs.first, legs.travel)

            def hits(ours: tuple[Piece, ...], theirs: tuple[Piece, ...]) -> bool:
                if any(overlap(p, q) for p in ours for q in theirs):
                    return False
                along = any(overlap(self._sweep(p, by), q) for p in ours for q in theirs)
                return along or _onward([moved(p, by) for p in ours], theirs, legs.second)

            self._guards[legs] = list(self.b.guarded(hits))
        return self._guards[legs]

    # -- inside ------------------------------------------------------------------------------

    def _graph(self, bars: _Bars) -> list[int]:
        found = [0] * len(self.b.bodies)
        for one, other in itertools.permutations(self.b.pieces, 2):
            i, j = self.b.body[one], self.b.body[other]
            if i != j and not found[i] >> j & 1 and bars(one, other):
                found[i] |= 1 << j
        return found

    @cached_property
    def _links(self) -> dict[tuple[str, str], Link]:
        """Interlocking links by (leaver, other), either way."""
        found = {}
        for link in self.b.links:
            if link.interlocks:
                found[link.second, link.first] = found[link.first, link.second] = link
        return found

    @cached_property
    def _inside(self) -> dict[tuple[str, str], set[tuple[int, int]]]:
        """Numbers of the pieces of two members that fill the same space at home."""
        found: dict[tuple[str, str], set[tuple[int, int]]] = {}
        for one, other in itertools.permutations(self.b.pieces, 2):
            ours, theirs = self.b.pieces[one], self.b.pieces[other]
            pairs = {
                (n, m) for n, p in enumerate(ours) for m, q in enumerate(theirs) if overlap(p, q)
            }
            if pairs:
                found[one, other] = pairs
        return found

    def _depth(self, link: Link) -> float:
        """How far the members of a link must part along its line until they are clear, mm."""
        if not link.interlocks:
            return 0.0
        out = neg(link.home)
        goes, stays = self.b.pieces[link.second], self.b.pieces[link.first]
        pairs = self._inside.get((link.second, link.first), ())
        return max(
            (reach(stays[m].corners, out)[1] - reach(goes[n].corners, out)[0] for n, m in pairs),
            default=0.0,
        )

    def _bars_first(self, one: str, other: str, first: Vec, by: Vec) -> bool:
        inside = self._inside.get((one, other), set())
        link = self._links.get((one, other))
        if link is not None:
            out = neg(link.home) if link.second == one else link.home
            if dot(out, first) < _ALONG:
                return True
        elif inside:
            return False  # the overlap rules' business, whatever the direction
        return any(
            (n, m) not in inside and overlap(self._sweep(p, by), q)
            for n, p in enumerate(self.b.pieces[one])
            for m, q in enumerate(self.b.pieces[other])
        )

    def _bars_second(self, one: str, other: str, by: Vec, second: Vec) -> bool:
        if (one, other) not in self._links and (one, other) in self._inside:
            return False
        key = (one, by)
        if key not in self._moved:
            self._moved[key] = tuple(moved(p, by) for p in self.b.pieces[one])
        return _onward(self._moved[key], self.b.pieces[other], second)

    def _sweep(self, piece: Piece, by: Vec) -> Piece:
        key = (piece, by)
        if key not in self._swept:
            self._swept[key] = swept(piece, by)
        return self._swept[key]

    def ways(self, closes: _Closes) -> Iterator[Legs]:
        """Ways whose first leg parts a set of bodies, as ``closes`` tells from its edges."""
        for first, travel in self.starts:
            if closes(self.first_edges(first, travel)):
                for second in self.onward(first):
                    yield Legs(first, travel, second)


def _onward(ours: Sequence[Piece], theirs: Sequence[Piece], second: Vec) -> bool:
    """Whether displaced pieces stand in others, or run into them from there."""
    return any(overlap(p, q) or meets(p, q, second) for p in ours for q in theirs)
