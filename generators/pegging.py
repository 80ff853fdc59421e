"""Where pegs go in a tenon: spread evenly, or in turn with another tenon's in the same post."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.mortise_tenon import DrawBore
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.generators.frame_spec import Pegs
    from treenail.timber.species import Species

#: A usual setback is rounded to this among inches, 1/16 in, mm.
SETBACK_STEP = 25.4 / 16

#: Least distance from a tenon's edge to a peg's centre, in peg diameters (common practice: 2,
#: 1.5 where two tenons share the height).
EDGE = 2.0
CLOSE_EDGE = 1.5


#: Widths of tenon from which two and three pegs hold it, mm (common practice; three: our own).
TWO_FROM, THREE_FROM = 76.2, 139.7


def pegs_for(width: float) -> int:
    """Pegs in a tenon ``width`` mm wide: one, two from 3 in, three from 5 1/2 in up."""
    return 1 + sum(width >= least - 1e-6 for least in (TWO_FROM, THREE_FROM))


def evenly(low: float, high: float, count: int) -> tuple[float, ...]:
    """``count`` heights spread over a tenon from ``low`` to ``high``, mm."""
    return tuple(low + (high - low) * (i + 0.5) / count for i in range(count))


def in_turn(
    low: float, high: float, counts: tuple[int, int], diameter: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Heights for the pegs of two tenons that share ``low`` to ``high`` in a post, in mm.

    All pegs are spread at one distance and dealt out alternately, lowest first to the tenon
    with more of them, so that holes that cross in plan pass each other in height.
    """
    total = sum(counts)
    wide, close = EDGE * diameter, CLOSE_EDGE * diameter
    # Edges give way before the wood between two holes falls under three quarters of a diameter.
    edge = wide if high - low - 2 * wide >= 1.75 * diameter * (total - 1) else close
    edge = min(edge, (high - low) / 3)
    step = (high - low - 2 * edge) / (total - 1) if total > 1 else 0.0
    start = low + edge if total > 1 else (low + high) / 2
    dealt: tuple[list[float], list[float]] = ([], [])
    for i in range(total):
        # Whoever is furthest behind its share of the pegs dealt so far gets the next.
        behind = [counts[k] * (i + 1) / total - len(dealt[k]) for k in (0, 1)]
        who = 0 if behind[0] >= behind[1] else 1
        dealt[who].append(start + i * step)
    return tuple(dealt[0]), tuple(dealt[1])


def draw_bore(
    pegs: Pegs,
    wood: Species,
    *,
    count: int,
    diameters: float = 2.0,
    metric: bool = False,
    spots: tuple[float, ...] | None = None,
) -> DrawBore:
    """The pegs of a tenon by the spec's ``pegs``.

    Args:
        pegs: as asked.
        wood: of the pegs.
        count: in the tenon.
        diameters: from the shoulder to the post's hole, where the spec leaves it open.
        metric: round that to 1 mm instead of 1/16 in.
        spots: places along the tenon, mm; None spreads them.
    """
    setback = pegs.setback
    if setback is None:
        step = 1.0 if metric else SETBACK_STEP
        setback = round(diameters * pegs.diameter / step) * step
    spacing = 1.5 * pegs.diameter if pegs.row_spacing is None else pegs.row_spacing
    return DrawBore(
        count=count,
        diameter=pegs.diameter,
        offset=pegs.offset,
        setback=snap(setback),
        species=wood,
        rows=pegs.rows,
        row_spacing=snap(spacing),
        spots=spots,
        drive_side=Face.FACE_SIDE if pegs.from_face == "outside" else Face.BACK_SIDE,
        through=pegs.through,
        stop_wall=pegs.stop_wall,
        tip=pegs.tip,
    )
