"""Peg patterns: one to four pegs, in a row or staggered, from either side, blind or through."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from treenail.joints.drawbored import DrawBore, Drawbored
from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.timber.species import Species

AnyTenon = TypeVar("AnyTenon", bound=Drawbored)

INCH = 25.4
#: Most pegs in one pattern.
MOST = 4
#: Draws in mm (common practice): in dense wood and for small pegs, usually, in softwood.
DRAW_DENSE, DRAW_USUAL, DRAW_SOFT = INCH / 32, INCH / 16, 3 * INCH / 32
#: Specific gravity at 12 % from which wood counts as dense, and pegs under this as small
#: (our own choice), mm.
DENSE, SMALL_PEG = 0.66, 5 * INCH / 16
#: From the shoulder to the first row, and from the tenon's edges, in diameters (common practice:
#: at least 1 to 1 1/2).
SETBACK, EDGE = 2.0, 1.5
#: Between two rows, in diameters: staggered pegs don't split the wood along one line of grain
#: (our own choice).
ROWS = 1.5


def usual_draw(species: Species, diameter: float) -> float:
    """The draw that is usual for a tenon's wood and a peg's diameter, mm (common practice)."""
    if diameter < SMALL_PEG - 1e-6 or species.g_12 >= DENSE:
        return DRAW_DENSE
    return DRAW_SOFT if species.group == "softwood" else DRAW_USUAL


def pegged(
    joint: AnyTenon,
    count: int = 2,
    *,
    staggered: bool = False,
    side: Face = Face.FACE_SIDE,
    blind: bool = True,
    diameter: float = 3 * INCH / 8,
    offset: float | None = None,
    species: Species | None = None,
) -> AnyTenon:
    """The joint with drawbored pegs in a usual pattern.

    Args:
        joint: a tenon without pegs, or whose pegs are to be replaced; it may lean.
        count: one to four, spread over the tenon's width.
        staggered: every other peg stands in a second row, farther from the shoulder.
        side: the entering member's side from which they are driven.
        blind: the holes stop before the receiver's far side; else they run out there.
        diameter: of the pegs, mm.
        offset: the draw, mm; None takes what is usual for the wood.
        species: the pegs' wood; None takes the entering member's.

    Raises:
        SpecError: another count, or a side that is an edge or an end.
    """
    if not 1 <= count <= MOST:
        raise SpecError(f"{count} pegs", field="count", allowed=f"1 to {MOST}")
    if side not in (Face.FACE_SIDE, Face.BACK_SIDE):
        raise SpecError(f"pegs from the {side}", field="side", allowed="face side, back side")
    x0, x1, _, _ = joint.section
    wood = joint.entering.species
    # Spread evenly where that keeps the edge's distance, else as far out as that allows.
    even = (x1 - x0) / count / 2
    edge = EDGE * diameter
    draw = DrawBore(
        count=count,
        diameter=diameter,
        offset=usual_draw(wood, diameter) if offset is None else offset,
        setback=snap(SETBACK * diameter),
        species=species or wood,
        rows=2 if staggered and count > 1 else 1,
        row_spacing=snap(ROWS * diameter) if staggered else 0.0,
        edge=edge if count > 1 and even < edge < (x1 - x0) / 2 else None,
        drive_side=side,
        through=not blind,
    )
    made = replace(joint, draw=draw)
    if not made.peg_slope and not made.tilt:
        return made
    # Where the tenon leans, the shoulders slope: pegs keep their distance from the mortised face.
    # It grows evenly with the setback.
    room = made.peg_face_room()
    farther = replace(made, draw=replace(draw, setback=draw.setback + 1.0)).peg_face_room()
    lack = (draw.setback - room) / (farther - room)
    return replace(made, draw=replace(draw, setback=snap(draw.setback + lack)))


__all__ = ["MOST", "pegged", "usual_draw"]
