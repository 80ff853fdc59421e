"""Ways to cut one board, and the best of them for given worths of the pieces.

A board has clear *zones* (rectangles without defects). A zone is crosscut into sections, each
section ripped into strips, each strip crosscut into pieces; the grain runs along the length
throughout. Cut the other way round, the zone itself is the one section. All sizes here are whole
steps of a grid, so that nothing is lost to rounding.

The best pattern is found exactly by three knapsacks, one inside the other: pieces along a strip,
strips across a section, sections along a zone. They are unbounded (a piece may be taken more
often than it is wanted), as column generation needs them; see columns.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "Item",
    "Order",
    "Pattern",
    "Pricer",
    "Problem",
    "Section",
    "Stock",
    "Strip",
    "Zone",
    "fill",
]

Order = Literal["crosscut", "rip", "either"]
"""What comes first; ``either`` lets each board have the better of the two."""

Zone = tuple[int, int]
"""Length and width of a clear rectangle, in steps."""

_EPS = 1e-9


@dataclass(frozen=True, slots=True)
class Item:
    """A size of piece: length along the grain and width in steps, and how many are wanted."""

    length: int
    width: int
    count: int

    @property
    def area(self) -> int:
        """Face area in square steps."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class Stock:
    """Boards that are alike.

    Attributes:
        layouts: the ways to take a board's defects out; each is the zones that it leaves.
        count: how many boards.
        cost: of one, a whole number (square steps, or the smallest coin).
    """

    layouts: tuple[tuple[Zone, ...], ...]
    count: int
    cost: int


@dataclass(frozen=True, slots=True)
class Strip:
    """A ripped strip: its width, and the items in it from the near end."""

    width: int
    items: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A crosscut section: its length, and the strips in it from the face edge."""

    length: int
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """How one board is cut: which layout, and the sections of each of its zones.

    ``counts`` says how many of each item it gives.
    """

    layout: int
    zones: tuple[tuple[Section, ...], ...]
    counts: tuple[int, ...]

    @staticmethod
    def of(layout: int, zones: Sequence[tuple[Section, ...]], items: int) -> Pattern:
        """Make one and count its items."""
        counts = [0] * items
        for sections in zones:
            for section in sections:
                for strip in section.strips:
                    for item in strip.items:
                        counts[item] += 1
        return Pattern(layout, tuple(zones), tuple(counts))


@dataclass(frozen=True)
class Problem:
    """Pieces to be had from boards.

    Attributes:
        items: sizes with their counts.
        stock: boards.
        kerf: lost at each cut, steps.
        order: what is cut first.
        most_strips: strips that a section may be ripped into; 0: as many as go.
    """

    items: tuple[Item, ...]
    stock: tuple[Stock, ...]
    kerf: int
    order: Order = "either"
    most_strips: int = 0

    @cached_property
    def zones(self) -> tuple[Zone, ...]:
        """Every zone of every board, each size once."""
        return tuple(
            dict.fromkeys(
                z for s in self.stock for layout in s.layouts for z in layout if min(z) > 0
            )
        )

    def fits(self, item: Item) -> bool:
        """Whether any board can give it."""
        return any(z[0] >= item.length and z[1] >= item.width for z in self.zones)


class Pricer:
    """Finds the best pattern of every board for given worths of the items."""

    def __init__(self, problem: Problem) -> None:
        """Sort the items by width; ``problem`` needs at least one item and one zone."""
        import numpy as np

        self.np: Any = np
        self.problem = problem
        self.zones = problem.zones
        self.zone_number = {z: i for i, z in enumerate(self.zones)}
        self.kerf = problem.kerf
        self.length = max(z[0] for z in self.zones) + self.kerf
        self.width = max(z[1] for z in self.zones) + self.kerf
        fitting = [i for i, item in enumerate(problem.items) if problem.fits(item)]
        self.widths = sorted({problem.items[i].width for i in fitting})
        self.by_width = [[i for i in fitting if problem.items[i].width == w] for w in self.widths]
        self.lengths = sorted({problem.items[i].length for i in fitting})
        self.zone_lengths = np.array([z[0] for z in self.zones])
        self.zone_widths = np.array([z[1] for z in self.zones])

    def price(self, worth: Sequence[float]) -> Priced:
        """Fill the tables for these worths of one piece of each item."""
        return Priced(self, worth)


class Priced:
    """The filled tables: values of the best patterns, and the patterns themselves."""

    def __init__(self, pricer: Pricer, worth: Sequence[float]) -> None:
        """Run the three knapsacks.

        Each adds one kerf to every part and to the whole, as n parts need n - 1 cuts.
        """
        np = pricer.np
        self.pricer = pricer
        self.worth = [float(w) for w in worth]
        self.tolerance = _EPS * max(1.0, *self.worth)
        problem, kerf = pricer.problem, pricer.kerf
        # strips[w, l]: pieces no wider than class w, in a length l. A wider strip takes all
        # that a narrower one takes, so one row serves: widths are added in order.
        row = np.zeros((1, pricer.length + 1))
        self.strips = np.empty((len(pricer.widths), pricer.length + 1))
        for w, members in enumerate(pricer.by_width):
            for i in members:
                fill(np, row, problem.items[i].length + kerf, np.array([self.worth[i]]))
            self.strips[w] = row[0]
        self.total = np.zeros(len(pricer.zones))
        if problem.order != "rip":
            ends = np.array([x + kerf for x in pricer.lengths])
            # sections[r][s, x]: strips across a width x of a section of length class s.
            self.sections = self._across(ends)
            # along[z, l]: sections along a length l of zone z.
            self.along = np.zeros((len(pricer.zones), pricer.length + 1))
            widths = pricer.zone_widths + kerf
            for s, length in enumerate(pricer.lengths):
                fill(np, self.along, length + kerf, self.sections[-1][s, widths])
            lengths = pricer.zone_lengths + kerf
            self.total = self.along[np.arange(len(lengths)), lengths]
        self.whole_better = np.zeros(len(pricer.zones), dtype=bool)
        if problem.order != "crosscut":
            self.wholes = self._across(pricer.zone_lengths + kerf)
            widths = pricer.zone_widths + kerf
            whole = self.wholes[-1][np.arange(len(widths)), widths]
            self.whole_better = whole > self.total + self.tolerance
            self.total = np.maximum(self.total, whole)

    def _across(self, lengths: Any) -> list[Any]:
        """Strips across sections of those lengths (kerf included), by the strips used."""
        pricer, np = self.pricer, self.pricer.np
        kerf, most = pricer.kerf, pricer.problem.most_strips
        if not most:
            table = np.zeros((len(lengths), pricer.width + 1))
            for w, width in enumerate(pricer.widths):
                fill(np, table, width + kerf, self.strips[w, lengths])
            return [table]
        tables = [np.zeros((len(lengths), pricer.width + 1))]
        for _ in range(most):
            table = tables[-1].copy()
            for w, width in enumerate(pricer.widths):
                step = width + kerf
                more = tables[-1][:, : max(0, pricer.width + 1 - step)]
                np.maximum(
                    table[:, step:],
                    more + self.strips[w, lengths][:, None],
                    out=table[:, step:],
                )
            tables.append(table)
        return tables

    def value(self, layout: Sequence[Zone]) -> float:
        """Worth of the best pattern of a layout."""
        return float(sum(self.total[self.pricer.zone_number[z]] for z in layout if min(z) > 0))

    def best(self, stock: Stock) -> tuple[float, int]:
        """Worth of the best pattern of a board, and its layout."""
        values = [self.value(layout) for layout in stock.layouts]
        top = max(values)
        return top, values.index(top)

    def pattern(self, stock: Stock, layout: int) -> Pattern:
        """The best pattern of a board's layout."""
        zones = [self._zone(z) if min(z) > 0 else () for z in stock.layouts[layout]]
        return Pattern.of(layout, zones, len(self.pricer.problem.items))

    def _zone(self, zone: Zone) -> tuple[Section, ...]:
        z = self.pricer.zone_number[zone]
        length, width = zone
        kerf = self.pricer.kerf
        if self.total[z] <= self.tolerance:
            return ()
        if self.whole_better[z]:
            return (self._section(self.wholes, z, length, width),)
        found = []
        at = length + kerf
        row, sections = self.along[z], self.sections[-1][:, width + kerf]
        while row[at] > self.tolerance:
            for s, part in enumerate(self.pricer.lengths):
                rest = at - part - kerf
                if rest >= 0 and row[rest] + sections[s] >= row[at] - self.tolerance:
                    break
            else:
                raise AssertionError("a section's value has no origin")
            if sections[s] <= self.tolerance:
                break
            found.append(self._section(self.sections, s, part, width))
            at = rest
        return tuple(found)

    def _section(self, tables: list[Any], s: int, length: int, width: int) -> Section:
        kerf = self.pricer.kerf
        found = []
        at, used = width + kerf, len(tables) - 1
        while tables[used][s, at] > self.tolerance:
            here = tables[used][s, at]
            if used and tables[used - 1][s, at] >= here - self.tolerance:
                used -= 1
                continue
            before = tables[max(0, used - 1)][s]
            for w, part in enumerate(self.pricer.widths):
                rest = at - part - kerf
                worth = self.strips[w, length + kerf]
                if (
                    rest >= 0
                    and worth > self.tolerance
                    and before[rest] + worth >= here - self.tolerance
                ):
                    break
            else:
                raise AssertionError("a strip's value has no origin")
            found.append(Strip(part, self._strip(w, length)))
            at, used = rest, max(0, used - 1)
        return Section(length, tuple(found))

    def _strip(self, w: int, length: int) -> tuple[int, ...]:
        pricer, kerf = self.pricer, self.pricer.kerf
        row = self.strips[w]
        at, found = length + kerf, []
        candidates = [i for members in pricer.by_width[: w + 1] for i in members]
        candidates.sort(key=lambda i: -pricer.problem.items[i].length)
        while row[at] > self.tolerance:
            for i in candidates:
                rest = at - pricer.problem.items[i].length - kerf
                if (
                    rest >= 0
                    and self.worth[i] > self.tolerance
                    and row[rest] + self.worth[i] >= row[at] - self.tolerance
                ):
                    break
            else:
                raise AssertionError("a piece's value has no origin")
            found.append(i)
            at = rest
        return tuple(found)


def fill(np: Any, table: Any, step: int, worth: Any) -> None:
    """Take a part of that size any number of times, in each row of the table.

    Blocks of ``step`` columns at a time: each looks back at a block that is done.
    """
    size = table.shape[1]
    gain = worth[:, None]
    for start in range(step, size, step):
        stop = min(start + step, size)
        block = table[:, start:stop]
        np.maximum(block, table[:, start - step : stop - step] + gain, out=block)
