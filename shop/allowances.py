"""What a rough piece is larger than the finished one, by the machines that mill it. All in mm."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines

__all__ = ["CLEAN_UP", "EXTRA_LENGTH", "EXTRA_PEG", "EXTRA_PLY", "EXTRA_WIDTH", "Allowances"]

#: What a rough piece is longer than the finished one, mm (common practice: an inch to square
#: both ends and to lose snipe).
EXTRA_LENGTH = MM_PER_INCH
#: What a rough piece is wider, mm (common practice: a quarter inch to joint and rip).
EXTRA_WIDTH = MM_PER_INCH / 4
#: What each ply of a lamination is planed over its share of the thickness, mm (common
#: practice: at least 1/16 in).
EXTRA_PLY = MM_PER_INCH / 16
#: What a lamination must have over its finished size, to be milled true on both sides, mm (our
#: own choice: 1/32 in a side).
CLEAN_UP = MM_PER_INCH / 16
#: Pegs are riven a little square over their diameter, mm (our own choice).
EXTRA_PEG = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """What a rough piece is larger than the finished one, mm.

    The defaults add up to ``EXTRA_LENGTH`` and the like; how they divide is our own choice.

    Attributes:
        end: at each end, to square it.
        snipe: at each end beside that, which the planer may snipe.
        joint: of the width, to joint one edge straight.
        rip: of the width, to rip and plane the other edge.
        ply: of each ply's thickness over its share of a lamination.
        peg: of a peg's square stock over its diameter.
        parting: of the length, between short pieces milled in one blank, to saw and square.
    """

    end: float = EXTRA_LENGTH / 4
    snipe: float = EXTRA_LENGTH / 4
    joint: float = EXTRA_WIDTH / 2
    rip: float = EXTRA_WIDTH / 2
    ply: float = EXTRA_PLY
    peg: float = EXTRA_PEG
    parting: float = MM_PER_INCH / 4

    def __post_init__(self) -> None:
        """Refuse what is no allowance (SpecError)."""
        for name, value in asdict(self).items():
            if not (math.isfinite(value) and 0.0 <= value <= 150.0):
                raise SpecError(f"{value!r} mm is no allowance", field=name, allowed="0 to 150 mm")

    @property
    def length(self) -> float:
        """Over both ends."""
        return 2.0 * (self.end + self.snipe)

    @property
    def width(self) -> float:
        """Over both edges."""
        return self.joint + self.rip

    @staticmethod
    def of(machines: Machines) -> Allowances:
        """For a shop: planes by hand snipe nothing, and joint an edge in half of the wood."""
        plain = Allowances()
        return Allowances(
            snipe=plain.snipe if machines.planer.have else 0.0,
            joint=plain.joint if machines.jointer.have else plain.joint / 2,
        )
