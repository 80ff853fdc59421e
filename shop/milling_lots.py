"""Lots of alike parts for the milling plan: blanks, sizes before and after the rest, routes.

Rough sizes are those of the rough parts; here is what becomes of them on the way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from treenail.checks.shop_machines import NAMES, Machines
from treenail.generators.bench import Bench
from treenail.shop.rough_parts import RoughPart
from treenail.timber.frames import snap
from treenail.timber.lengths import MM_PER_INCH

__all__ = ["Lot", "Route", "lots_of", "shortest_piece"]

#: What boards are left thicker for the rest, where the stock allows it, and what flattening both
#: sides of a rough board costs at least, by the bench's units, mm (our own choice).
OVER_FOR_REST = {"in": MM_PER_INCH / 8, "mm": 3.0}
FLATTENING = {"in": 3 * MM_PER_INCH / 16, "mm": 5.0}
#: Left less than this over, a board is as good as milled to size at once, mm (our own choice).
NO_ROOM = MM_PER_INCH / 64
_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Lot:
    """Alike members on their way.

    Attributes:
        part: their rough parts.
        stack: finished size along the stack of plies; thin side of a single board, mm.
        rough: thickness of the rough boards, mm.
        first: thickness of each board before the rest, mm.
    """

    part: RoughPart
    stack: float
    rough: float
    first: float

    @property
    def planed(self) -> float:
        """Thickness of each board after the rest, mm."""
        return self.part.thickness

    @property
    def across(self) -> float:
        """Finished size beside the stack of plies; wide side of a single board, mm."""
        return self.part.net_width

    @property
    def blank(self) -> float:
        """A blank's length, mm."""
        return self.part.length

    @property
    def pieces(self) -> int:
        """Pieces that pass the jointer, until ripped boards are glued back."""
        return self.part.count

    @property
    def boards(self) -> int:
        """Boards until they are glued up."""
        return self.part.blanks * self.part.plies

    @property
    def laminated(self) -> bool:
        """Whether it is glued up from plies."""
        return self.part.plies > 1

    @property
    def ripped(self) -> bool:
        """Whether its boards are ripped for the jointer and glued back."""
        return self.part.across > 1

    @property
    def piece_width(self) -> float:
        """Of one piece when it is broken down, mm."""
        return self.part.width

    @property
    def _spare_width(self) -> float:
        """What a rough piece is wider than its share of the finished width, mm."""
        return self.part.width - self.part.net_width / self.part.across

    @property
    def jointed_width(self) -> float:
        """Of one ripped piece with both edges jointed to be glued back, mm."""
        return snap(self.part.width - self._spare_width / 2)

    @property
    def whole_width(self) -> float:
        """Of one board when it is planed to thickness, mm."""
        if self.ripped:
            return snap(self.jointed_width * self.part.across)
        return self.part.width

    @property
    def board_width(self) -> float:
        """Of one board when it is ripped: over, where it is milled again after the glue-up."""
        return self.across + (self._spare_width / 2 if self.laminated else 0.0)

    @property
    def glued(self) -> float:
        """The stack of plies after the glue-up, mm."""
        return self.planed * self.part.plies

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


def lots_of(bench: Bench, parts: Iterable[RoughPart]) -> list[Lot]:
    """Every part of a bench but its pegs, alike ones together, as in the cut list."""
    return [_lot(bench, p) for p in parts if not bench.by_name[p.members[0]].round_section]


def _lot(bench: Bench, part: RoughPart) -> Lot:
    member = bench.by_name[part.members[0]]
    stack = min(member.width, member.thickness)
    if part.plies > 1:
        stack = member.thickness if member.ply_axis == "thickness" else member.width
    planed, units = part.thickness, "in" if bench.units == "in" else "mm"
    rough = part.stock if part.quarter else planed + FLATTENING[units]
    first = max(planed, min(planed + OVER_FOR_REST[units], rough - FLATTENING[units]))
    return Lot(part=part, stack=stack, rough=rough, first=snap(first))


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
