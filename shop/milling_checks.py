"""Limits for what is measured between the milling plan's steps."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from treenail.checks.shop_machines import Machines
from treenail.shop.milling_lots import Lot
from treenail.shop.milling_model import Check
from treenail.timber.frames import snap
from treenail.timber.lengths import MM_PER_FOOT, MM_PER_INCH

__all__ = [
    "FLAT_PER_FOOT",
    "SQUARE_PER_INCH",
    "WIND",
    "flat",
    "glue_faces",
    "square",
    "thickness",
    "wind",
]

#: Gap under a straightedge for each foot of its length, mm (our own choice).
FLAT_PER_FOOT = 0.004 * MM_PER_INCH
#: Gap beside a square for each inch of the edge, mm (our own choice).
SQUARE_PER_INCH = 0.001 * MM_PER_INCH
#: Between winding sticks at a piece's two ends, mm (our own choice).
WIND = MM_PER_INCH / 64
_OURS = "our own choice"


def flat(lots: Sequence[Lot], say: Callable[[float], str]) -> list[Check]:
    """Of the lots' faces."""
    if not lots:
        return []
    longest = max(lot.blank for lot in lots)
    return [
        Check(
            name="flat",
            limit=snap(FLAT_PER_FOOT * longest / MM_PER_FOOT),
            over=f"the longest piece, {say(longest)}; shorter ones in proportion",
            how="straightedge along, across and from corner to corner",
            source=_OURS,
        )
    ]


def wind(lots: Sequence[Lot]) -> list[Check]:
    """Twist from end to end."""
    if not lots:
        return []
    return [
        Check(
            name="wind",
            limit=WIND,
            over="from end to end",
            how="winding sticks at both ends, sighted across",
            source=_OURS,
        )
    ]


def square(edge: float, say: Callable[[float], str]) -> list[Check]:
    """Of an edge (or end) that many mm wide."""
    return [
        Check(
            name="square",
            limit=snap(SQUARE_PER_INCH * edge / MM_PER_INCH),
            over=f"across {say(edge)}",
            how="square from the face side, at both ends and in the middle",
            source=_OURS,
        )
    ]


def thickness(m: Machines) -> Check:
    """What the planer (or a hand plane) holds."""
    by_planer = m.planer.have
    what = "the planer holds" if by_planer else "planing by hand holds"
    return Check(
        name="thickness",
        limit=m.planer.thickness_holds if by_planer else m.hand.plane_holds,
        over="plus or minus, at four corners and between pieces",
        how="caliper",
        source=f"what {what}, in the shop file; without one a guess",
    )


def glue_faces() -> Check:
    """Two boards laid on each other, dry."""
    return Check(
        name="glue faces",
        limit=FLAT_PER_FOOT,
        over="between two boards pressed together by hand, anywhere",
        how="feeler gauge, or light through the joint; before any glue",
        source=_OURS,
    )
