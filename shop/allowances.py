"""What a rough piece is larger than the finished one, by the machines that mill it. All in mm."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

from treenail.timber.errors import SpecError
from treenail.timber.lengths import MM_PER_INCH

if TYPE_CHECKING:
    from treenail.checks.shop_machines import Machines

__all__ = ["EXTRA_LENGTH", "EXTRA_PEG", "EXTRA_PLY", "EXTRA_WIDTH", "Allowances", "usual"]

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
class Allowances:
    """What a rough piece is larger than the finished one, mm.

    The defaults are those of inch benches: they add up to ``EXTRA_LENGTH`` and the like; how they
    divide is our own choice. ``METRIC`` are those of metric ones.

    Attributes:
        end: at each end, to square it.
        snipe: at each end beside that, which the planer may snipe.
        joint: of the width, to joint one edge straight.
        rip: of the width, to rip and plane the other edge.
        ply: of each ply's thickness over its share of a lamination.
        clean_up: what a lamination must have over its finished size, to be milled true on both
            sides (our own choice: 1/32 in, or 1 mm, a side).
        peg: of a peg's square stock over its diameter.
        parting: of the length, between short pieces milled in one blank, to saw and square.
        round_up: blanks of short pieces are cut to whole multiples of this (our own choice).
    """

    end: float = EXTRA_LENGTH / 4
    snipe: float = EXTRA_LENGTH / 4
    joint: float = EXTRA_WIDTH / 2
    rip: float = EXTRA_WIDTH / 2
    ply: float = EXTRA_PLY
    clean_up: float = MM_PER_INCH / 16
    peg: float = EXTRA_PEG
    parting: float = MM_PER_INCH / 4
    round_up: float = MM_PER_INCH / 16

    def __post_init__(self) -> None:
        """Refuse what is no allowance (SpecError)."""
        for name, value in asdict(self).items():
            if not (math.isfinite(value) and 0.0 <= value <= 150.0):
                raise SpecError(f"{value!r} mm is no allowance", field=name, allowed="0 to 150 mm")
        if self.round_up <= 0.0:
            raise SpecError("blanks in steps of 0 mm", field="round_up", allowed="over 0 mm")

    @property
    def length(self) -> float:
        """Over both ends."""
        return 2.0 * (self.end + self.snipe)

    @property
    def width(self) -> float:
        """Over both edges."""
        return self.joint + self.rip

    @staticmethod
    def of(machines: Machines, units: str = "in") -> Allowances:
        """For a shop: planes by hand snipe nothing, and joint an edge in half of the wood."""
        plain = usual(units)
        return replace(
            plain,
            snipe=plain.snipe if machines.planer.have else 0.0,
            joint=plain.joint if machines.jointer.have else plain.joint / 2,
        )


#: Round metric sizes (common practice in metric shops, near those in inches): 30 mm on the length,
#: 6 mm on the width, 2 mm on each ply, blanks in steps of 5 mm.
METRIC = Allowances(
    end=5.0,
    snipe=10.0,
    joint=4.0,
    rip=2.0,
    ply=2.0,
    clean_up=2.0,
    peg=3.0,
    parting=6.0,
    round_up=5.0,
)


def usual(units: str) -> Allowances:
    """The allowances of a bench in ``in`` or ``mm``."""
    return METRIC if units == "mm" else Allowances()
