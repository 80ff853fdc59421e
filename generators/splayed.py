"""Legs that lean in two directions, and rails across their outer faces: where they lie; mm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from treenail.generators.parts import stretcher
from treenail.timber.frames import Frame, Vec, add, cross, dot, neg, scale, snap, sub, unit
from treenail.timber.member import Member

if TYPE_CHECKING:
    from treenail.timber.angles import LegAngles
    from treenail.timber.species import Species

#: A point of a plane, and its outward normal.
Plane = tuple[Vec, Vec]


class RailSizes(Protocol):
    """What a spec says of rails let into leaning legs, mm."""

    @property
    def width(self) -> float:
        """Height, along its slope."""

    @property
    def thickness(self) -> float:
        """Square to that."""

    @property
    def height(self) -> float:
        """Floor to its lower edge, at its outer face."""

    @property
    def notch(self) -> float:
        """How deep it lies in the legs."""


def leaning_leg(
    name: str,
    *,
    head: Vec,
    inward: tuple[float, float],
    angles: LegAngles,
    below: float,
    size: tuple[float, float, float],
    species: Species,
    plies: int,
) -> Member:
    """A leg: near end at the floor, face edge outward at the bench's end.

    Args:
        name: its own.
        head: a point of its axis, in the bench, mm.
        inward: 1 or -1 along the bench and across it: the way toward the bench's middle.
        angles: its lean.
        below: from that point down to the stock's end, along the axis, mm.
        size: of the stock: length, width, thickness, mm.
        species: its wood.
        plies: glued together in it.
    """
    length, width, thick = size
    (sx, sy), (along, across) = inward, angles.slopes
    up = unit((sx * along, sy * across, 1.0))
    into = unit((sx, 0.0, -along))
    through = cross(up, into)
    start = add(head, scale(up, -below))
    corner = add(start, add(scale(into, -width / 2.0), scale(through, -thick / 2.0)))
    return Member(
        name=name,
        role="post",
        length=length,
        width=width,
        thickness=thick,
        species=species,
        # Not snapped: legs that are alike must come out alike to the last of their digits.
        placement=Frame(corner, up, into, through),
        plies=plies,
        assembly="legs",
    )


def rail_across(
    name: str, front: Member, back: Member, size: RailSizes, species: Species, *, to_front: bool
) -> tuple[Member, dict[str, Plane]]:
    """The rail across one pair of legs, let into their outer faces, its ends flush with them.

    Returns it and the planes of its ends, by ``front`` and ``back``; its grain runs to the front
    or to the back.
    """
    inward = front.placement.y
    slope = cross(inward, cross(inward, (0.0, 0.0, 1.0)))
    up = unit(neg(slope))  # up along the plane of the legs' outer faces
    # The lower arris of the outer face, where it lies on a line across the bench.
    out = size.thickness - size.notch
    plane = front.placement.origin
    rise = (size.height + out * inward[2] - plane[2]) / up[2]
    low = add(add(plane, scale(up, rise)), scale(inward, -out))
    high = add(low, scale(up, size.width))
    ends = {"front": _side(front, -1.0), "back": _side(back, 1.0)}
    reach = {fb: [_where(spot, *face) for spot in (low, high)] for fb, face in ends.items()}
    near, far = min(reach["front"]), max(reach["back"])
    member = stretcher(
        name,
        start=(high[0], far if to_front else near, high[2]),
        into=inward,
        length=snap(far - near),
        width=size.width,
        thickness=size.thickness,
        species=species,
        assembly="rails",
    )
    return member, ends


def _side(leg: Member, way: float) -> Plane:
    """A leg's face toward the front (-1) or the back (1)."""
    frame = leg.placement.place(leg.face_frame(leg.face_towards((0.0, way, 0.0))))
    return frame.origin, neg(frame.z)


def _where(spot: Vec, point: Vec, normal: Vec) -> float:
    """Where the line across the bench through a spot meets a plane, y in mm."""
    return spot[1] - dot(sub(spot, point), normal) / normal[1]


__all__ = ["RailSizes", "leaning_leg", "rail_across"]
