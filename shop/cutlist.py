"""The cut list: what to mill, finished and rough, with board feet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.timber.frames import snap
from treenail.timber.lengths import MM_PER_INCH
from treenail.timber.lumber import board_feet, rough_quarter_for

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.timber.member import Member

#: What a rough piece is longer than the finished one, mm (common practice: an inch to square
#: both ends and to lose snipe).
EXTRA_LENGTH = MM_PER_INCH
#: What a rough piece is wider, mm (common practice: a quarter inch to joint and rip).
EXTRA_WIDTH = MM_PER_INCH / 4
#: What each ply of a lamination is planed over its share of the thickness, mm (common
#: practice: at least 1/16 in).
EXTRA_PLY = MM_PER_INCH / 16
#: Pegs are riven a little square over their diameter, mm (our own choice).
EXTRA_PEG = 3.0


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


def _row(members: list[Member]) -> CutRow:
    m = members[0]
    stacked, across = (
        (m.thickness, m.width) if m.ply_axis == "thickness" else (m.width, m.thickness)
    )
    if m.plies == 1:
        stacked, across = sorted((m.width, m.thickness))
    if m.round_section:
        ply_thickness = ply_width = m.width + EXTRA_PEG
    else:
        ply_thickness = stacked / m.plies + (EXTRA_PLY if m.plies > 1 else 0.0)
        ply_width = across + EXTRA_WIDTH
    ply_length = m.length + EXTRA_LENGTH
    # A board lies in the rack on its wide face, whichever way it is used in the piece.
    thin, wide = sorted((ply_thickness, ply_width))
    if m.plies > 1 or m.round_section:
        thin, wide = ply_thickness, ply_width
    quarter = rough_quarter_for(thin, cautious=False)
    stock = quarter.rough if quarter else thin
    return CutRow(
        names=tuple(x.name for x in members),
        role=m.role,
        species=m.species.name,
        length=m.length,
        width=m.width,
        thickness=m.thickness,
        plies=m.plies,
        ply_thickness=snap(thin),
        ply_width=snap(wide),
        ply_length=snap(ply_length),
        quarter=quarter.name if quarter else "",
        net=len(members) * board_feet(m.thickness, m.width, m.length),
        rough=len(members) * m.plies * board_feet(stock, wide, ply_length),
    )


def cut_list(bench: Bench) -> tuple[CutRow, ...]:
    """Rows by role, wood and finished size, in the order in which the bench names them."""
    groups: dict[tuple[object, ...], list[Member]] = {}
    for m in bench.members:
        across = tuple(sorted((snap(m.width), snap(m.thickness))))
        key = (m.role, m.species.key, snap(m.length), across, m.plies)
        groups.setdefault(key, []).append(m)
    return tuple(_row(members) for members in groups.values())
