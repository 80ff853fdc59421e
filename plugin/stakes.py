"""Staked legs: pieces that lean two ways, their turned ends in reamed sockets of a seat."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.compose import Length, Units
from treenail.joints.skew import BevelledEnd
from treenail.joints.tenon_variants.make import round_tenon
from treenail.timber.angles import STEEPEST
from treenail.timber.errors import SpecError
from treenail.timber.frames import Frame, Vec, add, along, cross, scale, unit
from treenail.timber.lengths import parse_length
from treenail.timber.member import Face, Member
from treenail.timber.species import Species, get_species

if TYPE_CHECKING:
    from treenail.joints.tenon_variants.tapered_round import TaperedRound

#: What a leg's stock reaches beyond what is cut off level or flush, mm (our own choice).
SPARE = 5.0
#: Of a blind tenon: its length over the seat's thickness (our own choice).
BLIND = 0.7


def stake(
    name: str,
    seat: Member,
    *,
    at: tuple[Length, Length],
    splay: float = 0.0,
    rake: float = 0.0,
    size: Length = 40,
    floor: Length = 0,
    diameter: Length | None = None,
    angle: float = 6.0,
    through: bool = True,
    species: str | Species | None = None,
    units: Units = "mm",
) -> tuple[Member, tuple[TaperedRound, BevelledEnd]]:
    """A square leg under a level seat, and its two joints: the round tenon and the level foot.

    Args:
        name: of the leg; letters, digits and underscores.
        seat: a piece that lies level, a face side or edge down.
        at: x and y in the bench at which the leg's axis meets the seat's underside.
        splay: degrees by which the foot goes out along x, as seen from the front: to the right, or
            if negative to the left.
        rake: degrees by which it goes out along y, as seen from the end: to the back, or if
            negative to the front.
        size: of the leg's square section.
        floor: height at which the foot is sawn level.
        diameter: of the cone at the seat's underside; None makes it as thick as the leg allows.
        angle: of the whole cone, degrees, as the reamer has it.
        through: the tenon comes out on the seat, cut off flush; else it ends within.
        species: the leg's wood; None takes the seat's.
        units: of bare numbers.

    Raises:
        SpecError: a size that can't be read, or a lean of 45 degrees and more.
        GeometryError: the leg doesn't fit the seat.
    """

    def mm(value: Length, field: str) -> float:
        return parse_length(value, unit=units, field=field)

    slopes = []
    for field, value in (("splay", splay), ("rake", rake)):
        if not abs(value) < math.degrees(STEEPEST):
            raise SpecError(f"{value!r} degrees", field=field, allowed="between -45 and 45 degrees")
        slopes.append(math.tan(math.radians(value)))
    wide, ground = mm(size, "size"), mm(floor, "floor")
    low, high = seat.bounds()
    mouth: Vec = (mm(at[0], "at.x"), mm(at[1], "at.y"), low[2])
    up = unit((-slopes[0], -slopes[1], 1.0))
    y = unit(cross((0.0, 1.0, 0.0), up))
    z = cross(up, y)
    lean = math.hypot(*slopes)
    slant = wide * lean / math.sqrt(2.0) + SPARE
    below = (low[2] - ground) / up[2] + slant
    above = (high[2] - low[2]) / up[2]
    above = above + slant if through else BLIND * above
    corner = add(along(mouth, up, -below), add(scale(y, -wide / 2.0), scale(z, -wide / 2.0)))
    wood = seat.species if species is None else species
    leg = Member(
        name=name,
        role="post",
        length=below + above,
        width=wide,
        thickness=wide,
        species=wood if isinstance(wood, Species) else get_species(wood, field="species"),
        placement=Frame(corner, up, y, z),
        assembly="legs",
    )
    tenon = round_tenon(
        seat,
        leg,
        diameter=None if diameter is None else mm(diameter, "diameter"),
        angle=math.radians(angle),
        through=through,
        end=Face.FAR_END,
        name=f"{name}_in_{seat.name}",
    )
    foot = BevelledEnd(
        name=f"foot_{name}",
        member=leg,
        end=Face.NEAR_END,
        point=(0.0, 0.0, ground),
        outward=(0.0, 0.0, -1.0),
        what="foot bevel",
    )
    return leg, (tenon, foot)


__all__ = ["stake"]
