"""The cut list: what to mill, finished and rough, with board feet. Rough sizes: rough_parts.py."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.shop.rough_parts import RoughPart, rough_parts, thin_end

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines
    from treenail.generators.bench import Bench

__all__ = ["CutRow", "cut_list"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRow:
    """Pieces of one size and wood.

    Attributes:
        names: the members.
        role: in the trade's words.
        species: the wood's name.
        length, width, thickness: finished, mm.
        thin_end: width at a wedge's thin end, mm; None for what is no wedge.
        plies: boards in each piece.
        across: parts that each board is ripped into, to pass the jointer.
        gang: pieces milled end to end in each board.
        ply_thickness, ply_width, ply_length: one board before glue-up, planed, rough in length
            and width, mm.
        quarter: rough stock that yields it (``8/4``); empty if none is thick enough.
        net: board feet of the finished pieces, together.
        rough: board feet of rough stock for them, together.
    """

    names: tuple[str, ...]
    role: str
    species: str
    length: float
    width: float
    thickness: float
    thin_end: float | None
    plies: int
    across: int
    gang: int
    ply_thickness: float
    ply_width: float
    ply_length: float
    quarter: str
    net: float
    rough: float

    @property
    def count(self) -> int:
        """How many pieces."""
        return len(self.names)


def _row(bench: Bench, part: RoughPart) -> CutRow:
    length, width, thickness = part.finished
    return CutRow(
        names=part.members,
        role=part.role,
        species=part.species,
        length=length,
        width=width,
        thickness=thickness,
        thin_end=thin_end(bench, part.members[0]),
        plies=part.plies,
        across=part.across,
        gang=part.gang,
        ply_thickness=part.thickness,
        ply_width=part.width,
        ply_length=part.length,
        quarter=part.quarter,
        net=part.net,
        rough=part.rough,
    )


def cut_list(bench: Bench, machines: Machines | None = None) -> tuple[CutRow, ...]:
    """Rows by role, wood and finished size, in the order in which the bench names them.

    Without a shop's machines, no piece is ripped for the jointer or milled with others.
    """
    return tuple(_row(bench, part) for part in rough_parts(bench, machines))
