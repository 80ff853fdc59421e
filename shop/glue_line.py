"""One glue line as data, and what closes it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from treenail.joints.base import Joint

PEGS, CLAMPS, WEDGES, DRIVEN, DRY = "pegs", "clamps", "wedges", "driving", "dry"


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueLine:
    """One glue line, or one joint's glue faces together.

    Attributes:
        name: of the joint, or of the piece with the number of the line in it.
        kind: ``ply face``, ``strip face``, ``section edge``, ``board edge``, or the joint's kind.
        members: what it holds together.
        gravity: specific gravity at 12 % of the lighter wood: what the pressure goes by.
        area: that is glued, mm².
        parts: what the area is made of, mm²; negative where something is taken off.
        pressed: what the closing force acts on, mm².
        closed_by: ``clamps``, ``pegs`` (drawbored), ``wedges``, ``driving``; ``dry`` gets no glue.
        length, width: of what the clamps press on, mm.
        cover: wood between a clamp and the line, without the caul, mm.
        note: what to mind.
    """

    name: str
    kind: str
    members: tuple[str, ...]
    gravity: float
    area: float
    parts: Mapping[str, float]
    pressed: float
    closed_by: str
    length: float
    width: float
    cover: float
    note: str = ""

    @property
    def glued(self) -> bool:
        """Whether glue goes in."""
        return self.closed_by != DRY and self.area > 0.0

    def as_dict(self) -> dict[str, Any]:
        """JSON data."""
        return {
            "name": self.name,
            "kind": self.kind,
            "members": list(self.members),
            "area_mm2": round(self.area, 3),
            "parts_mm2": {k: round(v, 3) for k, v in self.parts.items()},
            "pressed_mm2": round(self.pressed, 3),
            "closed_by": self.closed_by,
            "glued": self.glued,
            "note": self.note,
        }


def gravity_of(joint: Joint) -> float:
    """Specific gravity of the lightest wood that a joint holds."""
    return min(m.species.g_12 for m in joint.members)


def line_of(
    joint: Joint,
    *,
    parts: Mapping[str, float],
    pressed: float,
    closed_by: str,
    length: float,
    width: float,
    cover: float,
    note: str = "",
) -> GlueLine:
    """A joint's glue faces together: its area is that of its parts."""
    return GlueLine(
        name=joint.name,
        kind=joint.kind,
        members=tuple(m.name for m in joint.members),
        gravity=gravity_of(joint),
        area=math.fsum(parts.values()),
        parts=parts,
        pressed=pressed,
        closed_by=closed_by,
        length=length,
        width=width,
        cover=cover,
        note=note,
    )
