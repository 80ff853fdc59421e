"""The cut list: what to mill, finished and rough, with board feet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.shop.rough_parts import (
    EXTRA_LENGTH,
    EXTRA_PEG,
    EXTRA_PLY,
    EXTRA_WIDTH,
    rough_size,
    same_pieces,
)
from treenail.timber.lumber import board_feet

if TYPE_CHECKING:
    from collections.abc import Sequence

    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

__all__ = ["EXTRA_LENGTH", "EXTRA_PEG", "EXTRA_PLY", "EXTRA_WIDTH", "CutRow", "cut_list"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRow:
    """Pieces of one size and wood.

    Attributes:
        names: the members.
        role: in the trade's words.
        species: the wood's name.
        length, width, thickness: finished, mm.
        plies: boards in each piece.
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
    plies: int
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


def _row(members: Sequence[Member]) -> CutRow:
    m = members[0]
    size = rough_size(m)
    return CutRow(
        names=tuple(x.name for x in members),
        role=m.role,
        species=m.species.name,
        length=m.length,
        width=m.width,
        thickness=m.thickness,
        plies=m.plies,
        ply_thickness=size.thickness,
        ply_width=size.width,
        ply_length=size.length,
        quarter=size.quarter.name if size.quarter else "",
        net=len(members) * board_feet(m.thickness, m.width, m.length),
        rough=len(members) * m.plies * size.board_feet,
    )


def cut_list(bench: Bench) -> tuple[CutRow, ...]:
    """Rows by role, wood and finished size, in the order in which the bench names them."""
    return tuple(_row(members) for members in same_pieces(bench))
