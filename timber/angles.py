"""The angles of a leg that leans two ways, in the shop's own terms. Numbers only, radians.

A bench's length runs along x, its depth along y, z is up. A leg leans outward from its head to
its foot:

- **splay**: how far it leans along the bench, as seen square on from the front;
- **rake**: how far it leans across the bench, as seen square on from the end;
- **resultant**: how far it truly leans, seen square on to the upright plane that it lies in;
- **sight angle**: where that plane stands, seen from above, measured from the bench's length.
  From its ends it is the complement, ``sight_from_end``. A bevel set to the resultant and held
  along the sight line leans as the leg does: a hole is bored by these two angles alone.

The leg's section is square-cornered. Its *end face* holds a level line across the bench, so that
both legs of an end have their end faces in one plane, on which a rail lies flat; the *side face*
stands square to it. For its ends to be level the saw is set as ``end_cut`` says.

All of it is plane and solid trigonometry; tests/timber proves it against vectors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from treenail.timber.errors import GeometryError
from treenail.timber.frames import Vec, dot, unit

#: The steepest lean of a leg that is taken for one (our own choice).
STEEPEST = math.radians(45.0)


@dataclass(frozen=True, slots=True)
class SawCut:
    """How a saw is set to cut a piece off along a plane; both angles 0 for a square cut.

    Attributes:
        mitre: how far the cut's line on the face that lies on the table is turned from square
            across; positive where it runs toward the piece's far end on the side of the second
            direction of ``saw_cut``.
        tilt: how far the blade leans from upright; positive where the cut leans toward the far
            end on its way up from the table.
    """

    mitre: float
    tilt: float


def saw_cut(normal: Vec, down: Vec, across: Vec) -> SawCut:
    """The settings for a plane through a piece that lies on a saw's table.

    Args:
        normal: of the plane, in any coordinates; along the grain it must not be 0.
        down: from the piece into the table: outward normal of the face that lies on it.
        across: over the face, square to the grain; ``across`` x ``down`` runs along the grain.

    Raises:
        GeometryError: the plane runs along the grain.
    """
    n = unit(normal)
    grain = (
        across[1] * down[2] - across[2] * down[1],
        across[2] * down[0] - across[0] * down[2],
        across[0] * down[1] - across[1] * down[0],
    )
    along, side, under = dot(n, grain), dot(n, across), dot(n, down)
    if abs(along) < 1e-9:
        raise GeometryError("a cut that runs along the grain has no mitre")
    if along < 0.0:
        along, side, under = -along, -side, -under
    return SawCut(math.atan2(-side, along) + 0.0, math.asin(max(-1.0, min(1.0, under))) + 0.0)


@dataclass(frozen=True, slots=True)
class LegAngles:
    """A leg's lean.

    Attributes:
        splay: along the bench, seen from the front; 0 or more, at most 45 degrees.
        rake: across the bench, seen from the end; likewise.
    """

    splay: float
    rake: float

    def __post_init__(self) -> None:
        """Refuse what is no leg's lean (GeometryError)."""
        for name in ("splay", "rake"):
            if not 0.0 <= getattr(self, name) <= STEEPEST + 1e-9:
                raise GeometryError(f"a leg's {name} is from 0 to 45 degrees")

    @property
    def slopes(self) -> tuple[float, float]:
        """Outward run along and across the bench for each mm of height."""
        return math.tan(self.splay), math.tan(self.rake)

    @property
    def resultant(self) -> float:
        """The true lean: tan²(resultant) = tan²(splay) + tan²(rake)."""
        return math.atan(math.hypot(*self.slopes))

    @property
    def sight(self) -> float:
        """Seen from above, from the bench's length to the line of lean: 0 to 90 degrees.

        tan(sight) = tan(rake)/tan(splay); 0 for an upright leg, which has none.
        """
        along, across = self.slopes
        return math.atan2(across, along)

    @property
    def sight_from_end(self) -> float:
        """The same from the bench's depth: the complement; 0 for an upright leg."""
        along, across = self.slopes
        return math.atan2(along, across)

    @property
    def stretch(self) -> float:
        """Length along the leg for each mm of height: 1/cos(resultant)."""
        return math.hypot(1.0, *self.slopes)

    @property
    def end_face_angle(self) -> float:
        """On the end face: from square across the leg to a level line.

        tan = tan(rake) cos(splay). It is also from square on a level rail that lies on both legs'
        end faces to the leg's edge: the mitre of the rail's ends.
        """
        return math.atan(math.tan(self.rake) * math.cos(self.splay))

    @property
    def side_face_angle(self) -> float:
        """On the side face: from square across the leg to a level line.

        tan = sin(splay)/cos(resultant).
        """
        return math.atan(math.sin(self.splay) * self.stretch)

    @property
    def skew(self) -> float:
        """How far a level section's corners (a foot, a mortise's mouth) are from square.

        tan = tan(rake) sin(splay) cos(splay).
        """
        return math.atan(math.tan(self.rake) * math.sin(self.splay) * math.cos(self.splay))

    def level_section(self, width: float, thickness: float) -> tuple[float, float]:
        """Half of what a level section takes along and across the bench, mm.

        Args:
            width: between the end faces, square to them, mm.
            thickness: between the side faces, mm.
        """
        half_x = width / 2.0 / math.cos(self.splay)
        half_y = thickness / 2.0 * self.stretch * math.cos(self.splay)
        return half_x, half_y + half_x * math.tan(self.skew)

    def beyond_level(self, width: float, thickness: float) -> float:
        """How far along the leg a level end's long point lies beyond its axis, mm."""
        ends, sides = math.tan(self.side_face_angle), math.tan(self.end_face_angle)
        return (width * ends + thickness * sides) / 2.0

    def end_cut(self, on: Literal["end face", "side face"]) -> SawCut:
        """The saw's settings that leave the leg's ends level, both angles without sign.

        With the end face on the table the blade tilts by the splay itself and the mitre is the
        end face's angle; with the side face on it, sin(tilt) = sin(end face angle) cos(splay)
        and the mitre is the side face's angle.
        """
        if on == "end face":
            return SawCut(self.end_face_angle, self.splay)
        tilt = math.asin(math.sin(self.end_face_angle) * math.cos(self.splay))
        return SawCut(self.side_face_angle, tilt)


def edge_to_edge(one: float, other: float) -> float:
    """The angle inside the corner where two boards meet that lean out by ``one`` and ``other``.

    The boards stand at right angles seen from above, as aprons around splayed legs or a hopper's
    sides: cos = -sin(one) sin(other), 90 degrees where either is upright. Half of it is the bevel
    of a mitred corner's edges; what it is over 90 degrees, that of a butted one.
    """
    return math.acos(-math.sin(one) * math.sin(other))


__all__ = ["STEEPEST", "LegAngles", "SawCut", "edge_to_edge", "saw_cut"]
