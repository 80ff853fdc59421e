"""Make a plan neat: no piece too many, no sawing for nothing, like pieces together."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from treenail.shop.stock.patterns import Pattern, Problem, Section, Strip

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["deal", "drop_surplus"]

Chosen = tuple[tuple[int, Pattern], ...]
K = TypeVar("K")


def drop_surplus(problem: Problem, chosen: Chosen) -> Chosen:
    """Leave out pieces that nobody wants, then what is empty, then boards not needed.

    The board that is used worst loses its pieces first.
    """
    items = problem.items
    # Listed patterns count no more than is wanted; what counts here is what lies in them.
    chosen = tuple((b, Pattern.of(p.layout, p.zones, len(items))) for b, p in chosen)
    surplus = [-i.count for i in items]
    for _, pattern in chosen:
        for i, n in enumerate(pattern.counts):
            surplus[i] += n

    def used(entry: tuple[int, Pattern]) -> float:
        b, pattern = entry
        area = sum(n * items[i].area for i, n in enumerate(pattern.counts))
        return area / problem.stock[b].cost

    done: dict[int, Pattern | None] = {}
    for k in sorted(range(len(chosen)), key=lambda k: (used(chosen[k]), k)):
        done[k] = _lighter(problem, chosen[k][1], surplus)
    left = [(chosen[k][0], done[k]) for k in range(len(chosen))]
    return tuple((b, p) for b, p in left if p is not None)


def _lighter(problem: Problem, pattern: Pattern, surplus: list[int]) -> Pattern | None:
    zones = []
    for sections in pattern.zones:
        kept = []
        for section in sections:
            strips = []
            for strip in section.strips:
                inside = []
                for i in strip.items:
                    if surplus[i] > 0:
                        surplus[i] -= 1
                    else:
                        inside.append(i)
                if inside:
                    width = max(problem.items[i].width for i in inside)
                    strips.append(Strip(width, tuple(inside)))
            if strips:
                kept.append(replace(section, strips=tuple(strips)))
        zones.append(tuple(_shorter(problem, s) for s in kept))
    lighter = Pattern.of(pattern.layout, zones, len(problem.items))
    return lighter if any(lighter.counts) else None


def _shorter(problem: Problem, section: Section) -> Section:
    """A section no longer than what is in it, widest strip first, longest piece first."""
    strips = tuple(
        Strip(s.width, tuple(sorted(s.items, key=lambda i: (-problem.items[i].length, i))))
        for s in sorted(section.strips, key=lambda s: (-s.width, s.items))
    )
    return replace(section, strips=strips)


def deal(slots: Sequence[int], groups: Mapping[K, int]) -> list[K]:
    """Give each slot to a group so that groups are spread over few boards.

    Args:
        slots: the board of each slot, all of them alike otherwise.
        groups: how many slots each group needs; together no more than there are.

    Returns:
        The group of each slot that is given out, in the slots' order; the slots left over are
        those of the boards that come last.
    """
    free = Counter(slots)
    given: dict[int, list[K]] = {b: [] for b in free}
    for group in sorted(groups, key=lambda g: -groups[g]):
        need = groups[group]
        while need:
            fitting = [b for b, n in free.items() if n >= need]
            if fitting:
                board = min(fitting, key=lambda b: (free[b], b))
            else:
                board = max((b for b, n in free.items() if n), key=lambda b: (free[b], -b))
            take = min(need, free[board])
            given[board] += [group] * take
            free[board] -= take
            need -= take
    return [given[b].pop(0) for b in slots if given[b]]
