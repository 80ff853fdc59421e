"""What one glue-up takes: clamps, time against the glue's, and how to split what takes too long."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.shop.glue_lines import CLAMPS, PEGS, WEDGES, GlueLine
from treenail.timber.frames import Vec

if TYPE_CHECKING:
    from treenail.generators.bench import Bench
    from treenail.shop.glue import Glue

INCH = 25.4
#: How far two diagonals of a frame may differ, mm (our own choice).
DIAGONALS_DIFFER = INCH / 16
#: How far winding sticks may stand apart at their ends, mm (our own choice).
WIND = INCH / 32
#: A laminated piece may be out of flat by this much, mm: each ply is a sixteenth over its share
#: (common practice), and half of that is left for the planer.
FLAT = INCH / 32
#: Sections of a finished top may stand off each other at the surface, mm (our own choice).
LEVEL = INCH / 64


@dataclass(frozen=True, slots=True)
class Press:
    """What closes one glue-up.

    Attributes:
        force: (lowest, highest) force, N; zero where no clamp is needed.
        clamps: (fewest, most) clamps: the more of what force and spacing ask for.
        spacing: most between two clamps, mm; 0 where none is needed.
        bag: force of a vacuum bag on it, N; 0 where none fits.
    """

    force: tuple[float, float] = (0.0, 0.0)
    clamps: tuple[int, int] = (0, 0)
    spacing: float = 0.0
    bag: float = 0.0


def clamps_for(force: float, rating: float, sides: Sequence[float], spacing: float) -> int:
    """How many clamps give a force and stand no farther apart than ``spacing`` on both sides.

    Each clamp serves ``spacing`` of the length (half of it to either hand).
    """
    rows = [max(1, math.ceil(side / spacing - 1e-9)) for side in sides]
    return max(math.ceil(force / rating - 1e-9), math.prod(rows))


def press_on(line: GlueLine, glue: Glue, *, bag: bool = False) -> Press:
    """What closes one line, or a stack of lines like it: one force goes through all of them."""
    if line.closed_by not in (CLAMPS, WEDGES):
        return Press()
    low, high = (line.pressed * p for p in glue.pressures(line.gravity))
    # Below a clamp the pressure spreads at about 45 degrees (common practice).
    spacing = min(glue.clamp_spacing, 2.0 * (line.cover + glue.caul_thickness))
    sides = (line.length, line.width)
    if line.kind.endswith(("face", "edge")):
        count = tuple(clamps_for(f, glue.clamp_rating, sides, spacing) for f in (low, high))
    else:
        count = tuple(max(1, math.ceil(f / glue.clamp_rating - 1e-9)) for f in (low, high))
    if line.kind in (
        "section edge",
        "board edge",
    ):  # pressed from edge to edge: rows across don't help
        count = tuple(
            clamps_for(f, glue.clamp_rating, (line.length,), spacing) for f in (low, high)
        )
    return Press(
        force=(low, high),
        clamps=(count[0], count[1]),
        spacing=spacing,
        bag=line.pressed * glue.bag_pressure if bag else 0.0,
    )


def spread_minutes(line: GlueLine, glue: Glue) -> float:
    """Minutes to spread one line with as many people as there are."""
    if not line.glued:
        return 0.0
    if line.kind.endswith(("face", "edge")):
        return line.area * 1e-6 / glue.pace / glue.people
    return glue.joint_minutes / glue.people


def grams(lines: Sequence[GlueLine], glue: Glue) -> float:
    """Glue for some lines, g."""
    return math.fsum(line.area * 1e-6 * glue.spread for line in lines if line.glued)


def split_stack(boards: int, most: int) -> tuple[tuple[int, ...], ...]:
    """Rounds of glue-ups for a stack of boards, each with at most ``most`` lines.

    Each round gives the lines of each block in it: ``((3, 3), (1,))`` glues eight boards as two
    blocks of four, and the blocks to each other. All rounds together have ``boards - 1`` lines.
    """
    most = max(1, most)
    rounds = []
    while boards > 1:
        blocks = math.ceil(boards / (most + 1))
        share, over = divmod(boards, blocks)
        rounds.append(tuple(n - 1 for i in range(blocks) if (n := share + (i < over)) > 1))
        boards = blocks
    return tuple(rounds)


def batches(
    units: Sequence[tuple[tuple[str, ...], float]], most: float
) -> tuple[tuple[str, ...], ...]:
    """Units (names, minutes) one after the other in batches of no more than ``most`` minutes.

    A unit can't be divided; one that takes longer stands alone.
    """
    found: list[list[str]] = []
    taken = math.inf
    for names, minutes in units:
        if taken + minutes > most + 1e-9:
            found.append([])
            taken = 0.0
        found[-1].extend(names)
        taken += minutes
    return tuple(tuple(names) for names in found)


# --- is it square


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing to measure while the glue still gives.

    Attributes:
        what: what to measure, and how.
        expected: what it should be, mm; None where there is only a limit.
        limit: how far off it may be, mm.
        source: where the limit is from.
    """

    what: str
    limit: float
    expected: float | None = None
    source: str = "our own choice"


def lean(difference: float, base: float, height: float) -> float:
    """How far a frame leans over its height when its diagonals differ, mm.

    From D² = (b ± s)² + h²: the diagonals differ by 4 b s over their sum, exactly; for a small
    lean by 2 b s / D.
    """
    return difference * math.hypot(base, height) / (2.0 * base)


_VIEWS: tuple[tuple[int, int, str], ...] = (
    (0, 2, "from the front"),
    (1, 2, "from the end"),
    (0, 1, "from above"),
)


def diagonals(bench: Bench, members: Sequence[str]) -> Iterator[tuple[str, float, float]]:
    """(view, base, height) of each outer rectangle that a group fills to all four corners, mm."""
    own = [bench.by_name[n] for n in members]
    boxes = [bench.bounds[m.name] for m in own]
    thick = max(min(m.width, m.thickness) for m in own)
    for i, j, view in _VIEWS:
        low, high = _reach(boxes, i), _reach(boxes, j)
        base, height = low[1] - low[0], high[1] - high[0]
        if min(base, height) <= 2.0 * thick:
            continue
        corners = [(a, b) for a in low for b in high]
        if all(any(_holds(box, i, j, at) for box in boxes) for at in corners):
            yield view, base, height


def _reach(boxes: Sequence[tuple[Vec, Vec]], axis: int) -> tuple[float, float]:
    return min(b[0][axis] for b in boxes), max(b[1][axis] for b in boxes)


def _holds(box: tuple[Vec, Vec], i: int, j: int, at: tuple[float, float]) -> bool:
    return all(
        box[0][axis] - 1e-6 <= place <= box[1][axis] + 1e-6
        for axis, place in zip((i, j), at, strict=True)
    )


def closing_minutes(press: Press, pegs: int, glue: Glue) -> float:
    """Minutes to set the clamps and to drive the pegs."""
    return press.clamps[1] * glue.clamp_minutes + pegs * glue.peg_minutes


def clamp_notes(press: Press, glue: Glue, pieces: int) -> list[str]:
    """What the number of clamps in the shop means for one glue-up of several pieces."""
    if not glue.clamps or not press.clamps[0]:
        return []
    if press.clamps[0] > glue.clamps:
        wanted = (
            f"{press.clamps[0]} clamps are wanted, {glue.clamps} are there: borrow, use a bag, or "
            "ask the glue's maker for the lowest pressure on faces that close by hand."
        )
        return [wanted]
    at_once = min(pieces, glue.clamps // press.clamps[0])
    return [f"With {glue.clamps} clamps: {at_once} at a time."] if pieces > 1 else []


def minutes_text(value: float) -> str:
    """Minutes or hours, in words."""
    return f"{value / 60:g} h" if value >= 120 else f"{value:.3g} min"


__all__ = [
    "CLAMPS",
    "DIAGONALS_DIFFER",
    "FLAT",
    "LEVEL",
    "PEGS",
    "WEDGES",
    "WIND",
    "Check",
    "Press",
    "batches",
    "clamp_notes",
    "clamps_for",
    "closing_minutes",
    "diagonals",
    "grams",
    "lean",
    "minutes_text",
    "press_on",
    "split_stack",
    "spread_minutes",
]
