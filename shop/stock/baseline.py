"""First-fit decreasing: what a person does who cuts the longest pieces first.

The plan must never be worse than this; it's also where the search begins.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from treenail.shop.stock.patterns import Pattern, Section, Strip

if TYPE_CHECKING:
    from collections.abc import Iterable

    from treenail.shop.stock.patterns import Problem, Zone

__all__ = ["first_fit", "first_fits"]

Chosen = tuple[tuple[int, Pattern], ...]


@dataclass
class _Strip:
    width: int
    room: int
    items: list[int] = field(default_factory=list)


@dataclass
class _Section:
    length: int
    room: int
    strips: list[_Strip] = field(default_factory=list)


@dataclass
class _Zone:
    length: int
    width: int
    room: int
    sections: list[_Section] = field(default_factory=list)


@dataclass
class _Board:
    stock: int
    layout: int
    zones: list[_Zone]


class _Filler:
    def __init__(self, problem: Problem, whole: bool) -> None:
        self.problem = problem
        self.kerf = problem.kerf
        self.whole = whole

    def open(self, stock: int) -> _Board:
        layouts = self.problem.stock[stock].layouts
        # Of the ways round its defects, the one that leaves most.
        best = max(range(len(layouts)), key=lambda k: sum(a * b for a, b in layouts[k]))
        return _Board(stock, best, [self._zone(z) for z in layouts[best]])

    def _zone(self, zone: Zone) -> _Zone:
        return _Zone(zone[0], zone[1], zone[0] + self.kerf)

    def put(self, board: _Board, i: int) -> bool:
        return any(self._put(zone, i) for zone in board.zones)

    def _put(self, zone: _Zone, i: int) -> bool:
        item, kerf = self.problem.items[i], self.kerf
        for section in zone.sections:
            if section.length < item.length:
                continue
            for strip in section.strips:
                if strip.width >= item.width and strip.room >= item.length + kerf:
                    strip.items.append(i)
                    strip.room -= item.length + kerf
                    return True
            if self._rip(section, i):
                return True
        length = zone.length if self.whole else item.length
        if (self.whole and zone.sections) or zone.room < item.length + kerf:
            return False
        if zone.width < item.width or zone.length < item.length:
            return False
        section = _Section(length, zone.width + kerf)
        if not self._rip(section, i):
            return False
        zone.sections.append(section)
        zone.room -= length + kerf
        return True

    def _rip(self, section: _Section, i: int) -> bool:
        item, kerf, most = self.problem.items[i], self.kerf, self.problem.most_strips
        if section.room < item.width + kerf or (most and len(section.strips) >= most):
            return False
        room = section.length + kerf - item.length - kerf
        section.strips.append(_Strip(item.width, room, [i]))
        section.room -= item.width + kerf
        return True


def first_fit(problem: Problem, boards: Iterable[int], *, whole: bool) -> Chosen:
    """Each piece, longest first, into the first place that takes it.

    Args:
        problem: pieces and boards.
        boards: stock numbers in the order in which boards are opened.
        whole: rip boards whole (widest pieces first) instead of crosscutting first.
    """
    filler = _Filler(problem, whole)
    supply = [b for b in boards for _ in range(problem.stock[b].count)]
    opened: list[_Board] = []
    items = problem.items
    if whole:
        order = sorted(range(len(items)), key=lambda i: (-items[i].width, -items[i].length, i))
    else:
        order = sorted(range(len(items)), key=lambda i: (-items[i].length, -items[i].width, i))
    for i in order:
        for _ in range(items[i].count):
            if any(filler.put(board, i) for board in opened):
                continue
            for k, b in enumerate(supply):
                board = filler.open(b)
                if filler.put(board, i):
                    opened.append(board)
                    del supply[k]
                    break
            else:
                break  # no board takes it: the rest of its kind is missing too
    return tuple((b.stock, _pattern(b, len(items))) for b in opened)


def _pattern(board: _Board, items: int) -> Pattern:
    zones = [
        tuple(
            Section(s.length, tuple(Strip(t.width, tuple(t.items)) for t in s.strips))
            for s in zone.sections
        )
        for zone in board.zones
    ]
    return Pattern.of(board.layout, zones, items)


def first_fits(problem: Problem) -> tuple[Chosen, ...]:
    """First-fit decreasing with the boards as they lie, the largest first, the smallest first."""
    rack = range(len(problem.stock))
    by_cost = sorted(rack, key=lambda b: problem.stock[b].cost)
    orders = [list(rack), by_cost[::-1], by_cost]
    ways = {"rip": (True,), "crosscut": (False,), "either": (False, True)}[problem.order]
    return tuple(first_fit(problem, order, whole=whole) for order in orders for whole in ways)
