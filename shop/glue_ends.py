"""Glue at a top's end boards: the tenon whose peg is fixed, and nothing else."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.shop.glue_line import DRY, PEGS, GlueLine, line_of

if TYPE_CHECKING:
    from treenail.joints.end_board import EndBoard
    from treenail.shop.glue import Glue

__all__ = ["end_board_line"]


def end_board_line(joint: EndBoard, glue: Glue) -> GlueLine:
    """Both cheeks of the tenons with round peg holes, less these; dry where there are none."""
    fixed = [
        b - a for spot in joint.spots if not spot.slot for a, b in joint.tenons if a < spot.at < b
    ]
    cheeks = 2.0 * math.fsum(fixed) * joint.length
    holes = 2.0 * len(fixed) * math.pi / 4.0 * (joint.draw.diameter if joint.draw else 0.0) ** 2
    dry = not fixed or glue.drawbored == "dry"
    parts = {} if dry else {"cheeks": cheeks, "peg holes": -holes}
    low, high = joint.tongue_span
    return line_of(
        joint,
        parts=parts,
        pressed=(high - low) * (joint.first.thickness - joint.tongue),
        closed_by=DRY if dry else PEGS,
        length=high - low,
        width=joint.first.thickness,
        cover=joint.board.extent(joint.board_face),
        note="no glue: the slab moves behind the board"
        if dry
        else "glue the tenon with the round hole only; the others stay dry, so that the slab moves",
    )
