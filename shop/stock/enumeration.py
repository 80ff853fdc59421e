"""Every way to cut a board that a better plan could use.

Let the pieces' worths give a lower bound (columns.py). A plan that costs less than the bound
and ``slack`` more can't contain a pattern that loses more than ``slack`` by those worths: the
losses of a plan's patterns add up to what it costs over the bound. So the patterns that lose no
more are all that is needed to find the best plan, or to prove that there is none. They are
searched depth first, and the three knapsacks' tables say early which ways lead nowhere.

Of two patterns of a board of which one gives at least as much of everything as the other, only
the better one is kept; counts beyond what is wanted count for nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from treenail.shop.stock.patterns import Pattern, Section, Stock, Strip

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.shop.stock.patterns import Priced, Zone

__all__ = ["Enumerator"]

Counts = tuple[int, ...]


class Enumerator:
    """Lists patterns within a slack; ``complete`` turns False where a limit cut the list short."""

    def __init__(
        self, priced: Priced, wanted: Sequence[int], slack: float, *, steps: int, most: int
    ) -> None:
        """Search with at most ``steps`` steps and ``most`` entries in each single list."""
        self.priced = priced
        self.pricer = priced.pricer
        self.worth = priced.worth
        self.wanted = tuple(wanted)
        self.slack = slack + priced.tolerance
        self.steps, self.most = steps, most
        self.complete = True
        self._strips: dict[tuple[int, int], list[tuple[float, Counts, Strip]]] = {}
        self._sections: dict[tuple[int, int, int], list[tuple[float, Counts, Section]]] = {}
        self._zones: dict[Zone, list[tuple[float, Counts, tuple[Section, ...]]]] = {}

    def of(self, stock: Stock) -> list[Pattern]:
        """The patterns of a board that lose no more than the slack."""
        best, _ = self.priced.best(stock)
        need = max(float(stock.cost), best) - self.slack
        found: dict[Counts, Pattern] = {}
        for number, layout in enumerate(stock.layouts):
            values = [self.priced.value((z,)) for z in layout]
            partial: list[tuple[float, Counts, tuple[tuple[Section, ...], ...]]]
            partial = [(0.0, (0,) * len(self.wanted), ())]
            for k, zone in enumerate(layout):
                rest = sum(values[k + 1 :])
                more = []
                for value, counts, done in partial:
                    if value + values[k] + rest < need:
                        continue
                    for _, add, sections in self._zone(zone):
                        total, gain = self._join(counts, add)
                        if value + gain + rest >= need:
                            more.append((value + gain, total, (*done, sections)))
                    if value + rest >= need:
                        more.append((value, counts, (*done, ())))
                if len(more) > self.most:
                    self.complete = False
                    more = sorted(more, key=lambda x: -x[0])[: self.most]
                partial = more
            for value, counts, zones in partial:
                if value >= need and any(counts):
                    found.setdefault(counts, Pattern(number, zones, counts))
        kept = self._maximal(list(found))
        return [found[c] for c in kept]

    def _join(self, counts: Counts, add: Counts) -> tuple[Counts, float]:
        """Counts together, no more than wanted, and what the second adds in worth."""
        total, gain = list(counts), 0.0
        for i, n in enumerate(add):
            if n:
                new = min(counts[i] + n, self.wanted[i])
                gain += (new - counts[i]) * self.worth[i]
                total[i] = new
        return tuple(total), gain

    def _zone(self, zone: Zone) -> list[tuple[float, Counts, tuple[Section, ...]]]:
        if zone in self._zones:
            return self._zones[zone]
        z = self.pricer.zone_number[zone]
        need = float(self.priced.total[z]) - self.slack
        found: dict[Counts, tuple[float, Counts, tuple[Section, ...]]] = {}
        length, width = zone
        if self.pricer.problem.order != "crosscut":
            for value, counts, section in self._whole(z, zone):
                if value >= need:
                    found.setdefault(counts, (value, counts, (section,)))
        if self.pricer.problem.order != "rip":
            self._along(z, length, width, need, found)
        kept = [found[c] for c in self._maximal(list(found))]
        self._zones[zone] = sorted(kept, key=lambda x: -x[0])
        return self._zones[zone]

    def _whole(self, z: int, zone: Zone) -> list[tuple[float, Counts, Section]]:
        tables = [t[z].tolist() for t in self.priced.wholes]
        floor = float(self.priced.total[z]) - self.slack
        return self._rip(zone[0], zone[1], tables, floor)

    def _along(
        self,
        z: int,
        length: int,
        width: int,
        need: float,
        found: dict[Counts, tuple[float, Counts, tuple[Section, ...]]],
    ) -> None:
        """Sections along a zone, longest worth first, each list of them once."""
        kerf = self.pricer.kerf
        row = self.priced.along[z].tolist()
        parts = [
            (value, counts, section)
            for s, x in enumerate(self.pricer.lengths)
            if x <= length
            for value, counts, section in self._crosscut(s, x, width)
        ]
        parts.sort(key=lambda p: -p[0] / (p[2].length + kerf))
        budget = self.steps
        seen: dict[Counts, tuple[int, int]] = {}

        def search(
            start: int, room: int, value: float, counts: Counts, done: list[Section]
        ) -> None:
            nonlocal budget
            if _known(seen, counts, start, room):
                return
            if value >= need and counts not in found:
                found[counts] = (value, counts, tuple(done))
            for j in range(start, len(parts)):
                worth, add, section = parts[j]
                step = section.length + kerf
                if value + worth / step * room < need:
                    return  # what follows is worth less for its length
                rest = room - step
                if rest < 0 or value + worth + row[rest] < need:
                    continue
                budget -= 1
                if budget < 0 or len(found) > self.most:
                    self.complete = False
                    return
                total, gain = self._join(counts, add)
                if total == counts or value + gain + row[rest] < need:
                    continue
                done.append(section)
                search(j, rest, value + gain, total, done)
                done.pop()

        search(0, length + kerf, 0.0, (0,) * len(self.wanted), [])

    def _crosscut(self, s: int, length: int, width: int) -> list[tuple[float, Counts, Section]]:
        key = (s, length, width)
        if key not in self._sections:
            tables = [t[s].tolist() for t in self.priced.sections]
            floor = float(tables[-1][width + self.pricer.kerf]) - self.slack
            self._sections[key] = self._rip(length, width, tables, floor)
        return self._sections[key]

    def _rip(
        self, length: int, width: int, tables: list[Any], need: float
    ) -> list[tuple[float, Counts, Section]]:
        """Strips across a section."""
        kerf, most = self.pricer.kerf, self.pricer.problem.most_strips
        strips = [
            entry
            for w, x in enumerate(self.pricer.widths)
            if x <= width
            for entry in self._strip(w, length)
        ]
        strips.sort(key=lambda p: -p[0] / (p[2].width + kerf))
        found: dict[Counts, tuple[float, Counts, Section]] = {}
        budget = self.steps
        seen: dict[Counts, tuple[int, int]] = {}

        def search(
            start: int, room: int, left: int, value: float, counts: Counts, done: list[Strip]
        ) -> None:
            nonlocal budget
            if _known(seen, (*counts, left), start, room):
                return
            if value >= need and done and counts not in found:
                found[counts] = (value, counts, Section(length, tuple(done)))
            if not left:
                return
            row = tables[left - 1] if most else tables[0]
            for j in range(start, len(strips)):
                worth, add, strip = strips[j]
                step = strip.width + kerf
                if value + worth / step * room < need:
                    return  # what follows is worth less for its width
                rest = room - step
                if rest < 0 or value + worth + row[rest] < need:
                    continue
                budget -= 1
                if budget < 0 or len(found) > self.most:
                    self.complete = False
                    return
                total, gain = self._join(counts, add)
                if total == counts or value + gain + row[rest] < need:
                    continue
                done.append(strip)
                search(j, rest, left - 1, value + gain, total, done)
                done.pop()

        search(0, width + kerf, most or width, 0.0, (0,) * len(self.wanted), [])
        return [found[c] for c in self._maximal(list(found))]

    def _strip(self, w: int, length: int) -> list[tuple[float, Counts, Strip]]:
        """Pieces along a strip of width class w; at least one is as wide as the strip."""
        key = (w, length)
        if key in self._strips:
            return self._strips[key]
        kerf = self.pricer.kerf
        items = self.pricer.problem.items
        row = self.priced.strips[w].tolist()
        need = float(row[length + kerf]) - self.slack
        members = [i for group in self.pricer.by_width[: w + 1] for i in group if self.wanted[i]]
        members.sort(key=lambda i: (-items[i].length, i))
        width = self.pricer.widths[w]
        counts = [0] * len(self.wanted)
        found: dict[Counts, tuple[float, Counts, Strip]] = {}
        budget = self.steps

        def search(start: int, room: int, value: float, wide: int, done: list[int]) -> None:
            nonlocal budget
            if value >= need and wide:
                found[tuple(counts)] = (value, tuple(counts), Strip(width, tuple(done)))
            for j in range(start, len(members)):
                i = members[j]
                rest = room - items[i].length - kerf
                if rest < 0 or counts[i] >= self.wanted[i]:
                    continue
                if value + self.worth[i] + row[rest] < need:
                    continue
                budget -= 1
                if budget < 0 or len(found) > self.most:
                    self.complete = False
                    return
                counts[i] += 1
                done.append(i)
                search(j, rest, value + self.worth[i], wide + (items[i].width == width), done)
                done.pop()
                counts[i] -= 1

        search(0, length + kerf, 0.0, 0, [])
        self._strips[key] = [found[c] for c in self._maximal(list(found))]
        return self._strips[key]

    def _maximal(self, vectors: list[Counts]) -> list[Counts]:
        """Those that no other one covers; all of them where the list is very long."""
        if len(vectors) < 2 or len(vectors) > 4 * self.most:
            return vectors
        np = self.pricer.np
        vectors = sorted(vectors, key=lambda v: (-sum(v), v))
        table = np.array(vectors, dtype=np.int32)
        kept: list[int] = []
        chosen = np.empty_like(table)
        for j, row in enumerate(table):
            if kept and (chosen[: len(kept)] >= row).all(axis=1).any():
                continue
            chosen[len(kept)] = row
            kept.append(j)
        return [vectors[j] for j in kept]


def _known(seen: dict[Counts, tuple[int, int]], counts: Counts, start: int, room: int) -> bool:
    """Whether the same counts were reached before with as much room and choice left."""
    before = seen.get(counts)
    if before is not None and before[0] <= start and before[1] >= room:
        return True
    seen[counts] = (start, room)
    return False
