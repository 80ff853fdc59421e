"""Lots of alike parts for the milling plan: blanks, sizes before and after the rest, routes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from treenail.checks.shop_machines import NAMES, Machines
from treenail.generators.bench import Bench
from treenail.shop.cutlist import EXTRA_LENGTH, EXTRA_PLY, EXTRA_WIDTH, CutRow, cut_list
from treenail.timber.frames import snap
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.lumber import QUARTERS

__all__ = ["FLATTENING", "OVER_FOR_REST", "Lot", "Route", "lots_of", "shortest_piece"]

#: What boards are left thicker for the rest, where the stock allows it, mm (our own choice).
OVER_FOR_REST = MM_PER_INCH / 8
#: What flattening both sides of a rough board costs at least, mm (our own choice).
FLATTENING = 3 * MM_PER_INCH / 16
#: Left less than this over, a board is as good as milled to size at once, mm (our own choice).
NO_ROOM = MM_PER_INCH / 64
_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Lot:
    """Alike members on their way.

    Attributes:
        row: of the cut list.
        joined: members in one blank.
        blanks: blanks to be milled (of laminations: to be glued up).
        blank: a blank's length, mm.
        across, stack: finished sizes: beside and along the stack of plies; wide and thin side
            of a single board, mm.
        rough: thickness of the rough boards, mm.
        first: thickness of each board before the rest, mm.
        planed: thickness of each board after it, mm.
    """

    row: CutRow
    joined: int
    blanks: int
    blank: float
    across: float
    stack: float
    rough: float
    first: float
    planed: float

    @property
    def boards(self) -> int:
        """Boards until they are glued up."""
        return self.blanks * self.row.plies

    @property
    def laminated(self) -> bool:
        """Whether it is glued up from plies."""
        return self.row.plies > 1

    @property
    def board_width(self) -> float:
        """Of one board when it is ripped: over, where it is milled again after the glue-up."""
        return self.across + (EXTRA_WIDTH / 2 if self.laminated else 0.0)

    @property
    def board_width_rough(self) -> float:
        """Of one board when it is broken down."""
        return self.across + EXTRA_WIDTH

    @property
    def glued(self) -> float:
        """The stack of plies after the glue-up, mm."""
        return self.planed * self.row.plies

    @property
    def rests(self) -> bool:
        """Whether it is left over size for the rest."""
        return self.first - self.planed > NO_ROOM


def shortest_piece(m: Machines) -> float:
    """Shortest piece that goes over jointer and through planer, mm."""
    return max(
        m.jointer.shortest if m.jointer.have else 0.0,
        m.planer.shortest if m.planer.have else 0.0,
    )


def lots_of(bench: Bench, machines: Machines) -> list[Lot]:
    """Every part of a bench but its pegs, alike ones together, as in the cut list."""
    rows = [r for r in cut_list(bench) if not bench.by_name[r.names[0]].round_section]
    return [_lot(bench, machines, r) for r in rows]


def _lot(bench: Bench, machines: Machines, row: CutRow) -> Lot:
    shortest = shortest_piece(machines)
    member = bench.by_name[row.names[0]]
    thin, wide = sorted((row.width, row.thickness))
    if row.plies > 1:
        thin, wide = (
            (row.thickness, row.width)
            if member.ply_axis == "thickness"
            else (row.width, row.thickness)
        )
    planed = thin / row.plies + EXTRA_PLY if row.plies > 1 else thin
    rough = next((q.rough for q in QUARTERS if q.name == row.quarter), planed + FLATTENING)
    first = max(planed, min(planed + OVER_FOR_REST, rough - FLATTENING))
    kerf = machines.saw.kerf
    joined = 1
    blank = row.length + EXTRA_LENGTH
    while blank < shortest - _SAME and joined < row.count:
        joined += 1
        blank += row.length + kerf
    return Lot(
        row=row,
        joined=joined,
        blanks=math.ceil(row.count / joined),
        blank=snap(max(blank, shortest)),
        across=wide,
        stack=thin,
        rough=rough,
        first=snap(first),
        planed=snap(planed),
    )


@dataclass(frozen=True, slots=True)
class Route:
    """Which machine flattens and thicknesses a piece, with a note where hands must.

    Attributes:
        machines: the shop's.
        say: writes lengths.
    """

    machines: Machines
    say: Callable[[float], str]

    def saw(self) -> str:
        """What rips and crosscuts."""
        return NAMES["saw"] if self.machines.saw.have else NAMES["hand"]

    def jointer(self, width: float, length: float) -> tuple[str, str]:
        """(machine, note) for flattening a face of that width."""
        j = self.machines.jointer
        if not j.have:
            return NAMES["hand"], "by hand, with straightedge and winding sticks"
        if width > j.width + _SAME:
            by = "by hand"
            if self.machines.planer.have and width <= self.machines.planer.width + _SAME:
                by += ", or through the planer on a flat sled, shimmed so that it can't rock"
            return NAMES["hand"], f"wider than the jointer's {self.say(j.width)}: {by}"
        if length < j.shortest - _SAME:
            return NAMES["hand"], f"shorter than the jointer's {self.say(j.shortest)}: by hand"
        return NAMES["jointer"], ""

    def planer(self, width: float, thickness: float, length: float) -> tuple[str, str]:
        """(machine, note) for bringing a piece of that width to that thickness."""
        p = self.machines.planer
        if not p.have:
            return NAMES["hand"], "by hand, to a gauged line"
        for off, what in (
            (width > p.width + _SAME, f"wider than the planer's {self.say(p.width)}"),
            (thickness > p.thickest + _SAME, f"thicker than the planer's {self.say(p.thickest)}"),
            (thickness < p.thinnest - _SAME, f"thinner than the planer's {self.say(p.thinnest)}"),
            (length < p.shortest - _SAME, f"shorter than the planer's {self.say(p.shortest)}"),
        ):
            if off:
                return NAMES["hand"], f"{what}: by hand, to a gauged line"
        return NAMES["planer"], ""
