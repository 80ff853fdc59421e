"""Panels loose in their grooves: how far a frame sways before one of them bears.

They stiffen nothing until then, so that the estimate leaves them out, on the safe side. What a
panel adds once its corners bear depends on grooves and edges that crush, for which no closed form
was found; it is left out, too.

A rigid panel, w wide and h high, in an opening with the rooms c across it and e over it: sheared by
g, the opening lets the panel turn by e/w, and its sides let it lean c/h against them; it bears at
g = c/h + e/w (plane geometry of small angles). At the opening's height that is a sway of
c + e h/w. Boards that are tongued turn each by itself, and bear later still.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from treenail.checks.panel_sides import panel_rows
from treenail.joints.board_groove import BoardGroove

if TYPE_CHECKING:
    from treenail.generators.bench import Bench

__all__ = ["bears_after", "free_sway"]

Way = Literal["along", "across"]


def free_sway(width: float, height: float, across: float, over: float) -> float:
    """Sway of an opening before its panel bears, mm, with so much room ``across`` and ``over``."""
    return across + over * height / width


def bears_after(bench: Bench) -> dict[Way, float]:
    """The least sway, mm, after which a panel bears, as built; by the way in which they stand."""
    found: dict[Way, float] = {}
    for row in panel_rows(bench):
        names = {b.name for b in row.boards}
        over = sum(
            joint.room
            for joint in bench.joints
            if isinstance(joint, BoardGroove)
            and joint not in row.grooves
            and names & {b.name for b in joint.boards}
        )
        lows, highs = zip(*(b.bounds() for b in row.boards), strict=True)
        spans = [max(h[i] for h in highs) - min(g[i] for g in lows) for i in range(3)]
        way: Way = "along" if spans[0] > spans[1] else "across"
        sway = free_sway(max(spans[:2]), spans[2], row.room, over)
        found[way] = min(sway, found.get(way, sway))
    return found
