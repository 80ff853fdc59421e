"""Where members cross or end aslant: a rail let into leaning legs, an end sawn to a plane."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import EndBevel, SkewNotch, end_plane
from treenail.joints.base import Gap, Joint
from treenail.joints.fits import FITS, Fit
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, dot, neg, scale, snap, sub
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut

#: Cosine from which two faces lie in parallel planes.
_PARALLEL = 1.0 - 1e-9


@dataclass(frozen=True, kw_only=True)
class BevelledEnd(Joint):
    """An end sawn off along a plane in the bench: a level foot, a rail's end flush with a leg.

    Attributes:
        member: the piece.
        end: which of its ends; the stock reaches beyond the plane on all sides.
        point: of the plane, in the bench, mm.
        outward: its normal, away from the wood that stays, in the bench.
        what: the cut in shop words.
    """

    member: Member
    end: Face
    point: Vec
    outward: Vec
    what: str = "bevelled end"

    def __post_init__(self) -> None:
        """Refuse a plane that leaves part of the end uncut, or is no end's (GeometryError)."""
        m, plane = self.member, self.bevel.plane
        least = min(plane.depth(x, y) for x in (0.0, m.width) for y in (0.0, m.thickness))
        if least < -1e-6:
            raise GeometryError(
                f"{self.name}: {m.name} is {-least:g} mm too short for the bevel at its {self.end}"
            )
        if plane.reach(m) >= m.length:
            raise GeometryError(f"{self.name}: the bevel leaves nothing of {m.name}")

    @property
    def kind(self) -> str:
        """The cut in shop words."""
        return self.what

    @property
    def members(self) -> tuple[Member, ...]:
        """The bevelled piece."""
        return (self.member,)

    @cached_property
    def bevel(self) -> EndBevel:
        """The cut."""
        return EndBevel(
            joint=self.name,
            purpose=self.what,
            face=self.end,
            frame=self.member.face_frame(self.end),
            plane=end_plane(self.member, self.end, self.point, self.outward),
        )

    def numbers(self) -> Mapping[str, Number]:
        """How far the end is from square, in all and on its faces, degrees."""
        plane = self.bevel.plane
        return {
            "off_square_degrees": round(math.degrees(plane.tilt), 4),
            "on_sides_degrees": round(math.degrees(plane.on_sides), 4),
            "on_edges_degrees": round(math.degrees(plane.on_edges), 4),
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """One plane."""
        return {self.member.name: (self.bevel,)}


@dataclass(frozen=True, kw_only=True)
class SkewLetIn(Joint):
    """A rail that lies in a notch across a leaning leg's face, its own wood whole.

    The two lie in parallel planes and cross at any angle from square up to 45 degrees. Of the fit
    the cheek limits hold between the notch's two walls.

    Attributes:
        receiver: the notched member.
        entering: the rail that is let in.
        fit: the named fit.
    """

    receiver: Member
    entering: Member
    fit: Fit = FITS["hand press"]

    def __post_init__(self) -> None:
        """Refuse members that don't lie so, and a notch of no or all depth (GeometryError)."""
        whole = self.receiver.extent(self.cut_face)
        if not 0.0 < self.depth < whole:
            raise GeometryError(
                f"{self.name}: {self.entering.name} stands {self.depth:g} mm in "
                f"{self.receiver.name}, which is {whole:g} mm there"
            )
        a = self.entering.placement.local_point
        spots = [a(self.receiver.placement.point(p))[0] for p in self._mouth_in_receiver()]
        play = (
            self.fit.cheek.mid + 1e-6
        )  # the mouth is wider than the rail, so its corners stand out
        if min(spots) < -play or max(spots) > self.entering.length + play:
            raise GeometryError(
                f"{self.name}: {self.entering.name} does not reach across {self.receiver.name}"
            )

    @property
    def kind(self) -> str:
        """``skew notch``."""
        return "skew notch"

    @property
    def members(self) -> tuple[Member, ...]:
        """(notched, let in)."""
        return (self.receiver, self.entering)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @cached_property
    def _faces(self) -> tuple[Face, Face]:
        """The receiver's face that is cut, and the entering member's that looks into it."""
        sides = [f for f in Face if not f.is_end]
        for own in sides:
            out = self.receiver.placement.direction(own.outward)
            for other in sides:
                inner = self.entering.placement.direction(other.outward)
                apart = self._level(own, other)
                if dot(out, inner) < -_PARALLEL and 0.0 < apart < self.receiver.extent(own):
                    return own, other
        raise GeometryError(
            f"{self.name}: no face of {self.entering.name} lies in {self.receiver.name} parallel "
            "to a face of it"
        )

    def _level(self, own: Face, other: Face) -> float:
        """How deep a face of the entering member lies under one of the receiver's, mm."""
        face = self.receiver.placement.place(self.receiver.face_frame(own))
        there = self.entering.placement.point(self.entering.face_frame(other).origin)
        return dot(sub(there, face.origin), face.z)

    @property
    def cut_face(self) -> Face:
        """The receiver's face that is cut."""
        return self._faces[0]

    @property
    def depth(self) -> float:
        """The notch's depth, mm."""
        return snap(self._level(*self._faces))

    def insertion(self) -> Vec:
        """Square into the receiver's face, in the bench."""
        return self.receiver.placement.direction(self.cut_face.inward)

    @property
    def let_in_size(self) -> str:
        """Which of the rail's sizes lies across the notch."""
        return "width" if self._faces[1] in (Face.FACE_SIDE, Face.BACK_SIDE) else "thickness"

    @cached_property
    def _across(self) -> tuple[Vec, float]:
        """The rail's direction in the bench that lies across the notch, and its size there."""
        m = self.entering
        other = self._faces[1]
        if other in (Face.FACE_SIDE, Face.BACK_SIDE):
            return m.placement.y, m.width
        return m.placement.z, m.thickness

    @cached_property
    def notch(self) -> SkewNotch:
        """The cut."""
        receiver, rail = self.receiver, self.entering
        face = receiver.face_frame(self.cut_face)
        own = receiver.placement
        along = own.local_direction(rail.placement.x)
        across = receiver.face_size(self.cut_face)[1]
        # The rail's middle line, carried into the leg's face, where it passes the face's middle.
        spot = rail.placement.point((0.0, rail.width / 2.0, rail.thickness / 2.0))
        x, y, _ = face.local_point(own.local_point(spot))
        dx, dy, _ = face.local_direction(along)
        if abs(dy) < 0.5**0.5 - 1e-9:
            raise GeometryError(
                f"{self.name}: {rail.name} crosses {receiver.name} more than 45 degrees from square"
            )
        middle = face.point((x + dx * (across / 2.0 - y) / dy, across / 2.0, 0.0))
        return SkewNotch(
            joint=self.name,
            purpose="skew notch",
            face=self.cut_face,
            frame=Frame.from_zx(middle, face.z, along).snapped(),
            width=snap(self._across[1] + self.fit.cheek.mid),
            depth=self.depth,
            across=across,
        )

    def _mouth_in_receiver(self) -> tuple[Vec, ...]:
        return tuple(self.notch.frame.point(p) for p in self.notch.mouth())

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """The notch."""
        return {self.receiver.name: (self.notch,)}

    def numbers(self) -> Mapping[str, Number]:
        """How far the notch is turned from square across, degrees."""
        return {"turned_degrees": round(math.degrees(abs(self.notch.turn)), 4)}

    def gaps(self) -> tuple[Gap, ...]:
        """Both walls and the floor."""
        own, out = self.receiver.placement, neg(self.insertion())
        floor = own.point(self.notch.frame.point((0.0, 0.0, self.depth)))
        across, wide = self._across
        found = [(floor, neg(out), "floor", 0.0)]
        for sign in (-1.0, 1.0):
            at = add(add(floor, scale(across, sign * wide / 2.0)), scale(out, self.depth / 2.0))
            found.append((at, scale(across, sign), "wall", self.fit.cheek.mid / 2.0))
        return tuple(
            Gap(
                what=what,
                of=self.entering.name,
                against=self.receiver.name,
                at=at,
                toward=toward,
                room=room,
            )
            for at, toward, what, room in found
        )


__all__ = ["BevelledEnd", "SkewLetIn"]
