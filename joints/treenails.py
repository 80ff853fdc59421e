"""Wooden pegs straight through one member into another: an apron on a post, a batten's end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Joint, Number
from treenail.joints.cuts import Bore, Cut
from treenail.joints.drawbored import PEG_END_ROOM
from treenail.joints.trenches import FLUSH, axis_of
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, dot, neg, scale, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.timber.species import Species


@dataclass(frozen=True, kw_only=True)
class Treenails(Joint):
    """Pegs driven through ``entering`` into ``receiver``, bored together, without draw.

    They hold in shear. Glue them, or split and wedge the head, so that they don't work out.

    Attributes:
        receiver: the member behind; the pegs stop in it.
        entering: the member in front, which they go right through.
        direction: unit vector in which they are driven, in the bench.
        points: a point of each one's axis, in the bench, mm.
        diameter: of peg and hole, mm.
        species: the pegs'.
        hold: how deep the holes go into the receiver beyond the entering member, mm.
        tip: length of the taper, mm.
    """

    receiver: Member
    entering: Member
    direction: Vec
    points: tuple[Vec, ...]
    diameter: float
    species: Species
    hold: float
    tip: float = 0.0

    def __post_init__(self) -> None:
        """Refuse pegs aslant or beside their members, and holes that come through."""
        if not self.points:
            raise GeometryError(f"{self.name}: no pegs")
        faces = ((self.entering, self.drive_face), (self.receiver, self.receiver_face))
        for member, face in faces:
            if axis_of(member.placement.local_direction(self.direction)) is None:
                raise GeometryError(f"{self.name}: the pegs stand aslant in {member.name}")
            frame, size = member.placement.place(member.face_frame(face)), member.face_size(face)
            r = self.diameter / 2
            for point in self.points:
                x, y, _ = frame.local_point(point)
                if min(x, y, size[0] - x, size[1] - y) <= r + FLUSH:
                    raise GeometryError(f"{self.name}: a peg breaks out of {member.name}'s {face}")
        if self.sunk < -FLUSH:
            raise GeometryError(f"{self.name}: {self.entering.name} ends in front of the other")
        left = self.receiver.extent(self.receiver_face) - self.hole_depth
        if self.hold <= FLUSH or left <= FLUSH:
            raise GeometryError(
                f"{self.name}: a hole {self.hold:g} mm deep in {self.receiver.name} "
                + (f"comes {-left:g} mm through" if self.hold > FLUSH else "holds no peg")
            )

    @property
    def kind(self) -> str:
        """``treenails``."""
        return "treenails"

    @property
    def members(self) -> tuple[Member, ...]:
        """(receiver, entering)."""
        return (self.receiver, self.entering)

    @cached_property
    def drive_face(self) -> Face:
        """The entering member's face at which they go in."""
        return self.entering.face_towards(neg(self.direction))

    @cached_property
    def receiver_face(self) -> Face:
        """The receiver's face that looks the same way."""
        return self.receiver.face_towards(neg(self.direction))

    @property
    def thickness(self) -> float:
        """The entering member's, along the pegs, mm."""
        return self.entering.extent(self.drive_face)

    def _level(self, member: Member, face: Face) -> float:
        """Where a face lies along the pegs, in the bench, mm."""
        return dot(member.placement.point(member.face_frame(face).origin), self.direction)

    @cached_property
    def sunk(self) -> float:
        """How deep the entering member stands in the receiver, mm."""
        back = self._level(self.entering, self.drive_face) + self.thickness
        return snap(back - self._level(self.receiver, self.receiver_face))

    @property
    def hole_depth(self) -> float:
        """From the receiver's face, the room for the entering member included, mm."""
        return snap(self.sunk + self.hold)

    @property
    def length(self) -> float:
        """The pegs' length, mm."""
        return snap(self.thickness + self.hold - PEG_END_ROOM)

    def _frames(self, member: Member, face: Face) -> list[Frame]:
        """Each axis on a member's face, z in the drive direction, in the bench."""
        level, x = self._level(member, face), self.entering.placement.x
        return [
            Frame.from_zx(
                add(p, scale(self.direction, level - dot(p, self.direction))), self.direction, x
            )
            for p in self.points
        ]

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A stopped hole in the receiver and a through hole in the entering member, each peg."""
        rows = (
            (self.receiver, self.receiver_face, self.hole_depth, False),
            (self.entering, self.drive_face, self.thickness, True),
        )
        return {
            member.name: tuple(
                Bore(
                    joint=self.name,
                    purpose="treenail hole",
                    face=face,
                    frame=member.placement.localise(frame).snapped(),
                    diameter=self.diameter,
                    depth=depth,
                    through=through,
                )
                for frame in self._frames(member, face)
            )
            for member, face, depth, through in rows
        }

    def pegs(self) -> tuple[Member, ...]:
        """The pegs as driven, heads flush with the entering member."""
        tip = min(self.tip, self.hold - PEG_END_ROOM)
        return tuple(
            Member(
                name=f"peg_{self.name}_{i}",
                role="peg",
                length=self.length,
                width=self.diameter,
                thickness=self.diameter,
                species=self.species,
                placement=Frame(f.origin, f.z, f.x, f.y).snapped(),
                assembly=self.entering.assembly,
                round_section=True,
                tip_length=snap(tip),
                tip_diameter=snap(0.8 * self.diameter) if tip else self.diameter,
            )
            for i, f in enumerate(self._frames(self.entering, self.drive_face), start=1)
        )

    def numbers(self) -> Mapping[str, Number]:
        """Pegs and their holes."""
        return {
            "count": len(self.points),
            "diameter_mm": self.diameter,
            "through_mm": self.thickness,
            "hold_mm": self.hold,
            "spread_mm": self.spread,
        }

    @property
    def spread(self) -> float:
        """Farthest distance of two pegs across the entering member's grain, mm."""
        place = self.entering.placement
        across = [place.local_point(p) for p in self.points]
        axis = 2 if self.drive_face in (Face.FACE_EDGE, Face.BACK_EDGE) else 1
        return snap(max(p[axis] for p in across) - min(p[axis] for p in across))

    def middle(self) -> Vec:
        """Middle of the pegs' points, in the bench."""
        total = (0.0, 0.0, 0.0)
        for p in self.points:
            total = add(total, p)
        return scale(total, 1.0 / len(self.points))

    def radii(self) -> tuple[float, ...]:
        """Each peg's distance from their middle, square to the pegs, mm."""
        found = []
        for p in self.points:
            off = sub(p, self.middle())
            off = sub(off, scale(self.direction, dot(off, self.direction)))
            found.append(dot(off, off) ** 0.5)
        return tuple(found)
