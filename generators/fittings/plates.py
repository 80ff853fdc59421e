"""Recess and pilot holes of a plate that is screwed on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from treenail.joints.provisions import Holes, Recess
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.generators.fittings.site import Site
    from treenail.generators.fittings_spec import Plate
    from treenail.timber.frames import Vec
    from treenail.timber.member import Face, Member


INCH = 25.4
#: A rod's hole is at least so much wider, mm (our own choice).
LEAST_ROOM = 1.0


def hole_for(rod: float, units: str) -> float:
    """A hole's diameter for a rod: 1 mm wider, to the next 1/8 in or 5 mm; mm."""
    step = INCH / 8 if units == "in" else 5.0
    return snap(math.ceil((rod + LEAST_ROOM) / step - 1e-9) * step)


def on_face(member: Member, face: Face, point: Vec) -> tuple[float, float]:
    """A point of the bench as (x, y) in a face's frame, mm."""
    x, y, _ = member.face_frame(face).local_point(member.placement.local_point(point))
    return snap(x), snap(y)


def add_plate(
    site: Site, name: str, plate: Plate, member: Member, *, outward: Vec, point: Vec
) -> None:
    """What a plate needs on the face of a member that looks ``outward``, around a point."""
    face = member.face_towards(outward)
    x, y = on_face(member, face, point)
    if plate.recess > 0.0 and min(plate.length, plate.width) > 0.0:
        site.joints.append(
            Recess(
                name=f"{name}_recess",
                member=member,
                face=face,
                what="recess",
                centre=(x, y),
                length=plate.length,
                width=plate.width,
                depth=plate.recess,
            )
        )
    if plate.hole > 0.0:
        a, b = plate.holes_along / 2, plate.holes_across / 2
        points = {(snap(x + i * a), snap(y + j * b)) for i in (-1, 1) for j in (-1, 1)}
        site.joints.append(
            Holes(
                name=f"{name}_screws",
                member=member,
                face=face,
                what="pilot hole",
                diameter=plate.hole,
                points=tuple(sorted(points)),
                depth=plate.hole_depth,
            )
        )


__all__ = ["add_plate", "hole_for", "on_face"]
