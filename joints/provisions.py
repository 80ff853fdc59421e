"""What a piece is prepared with for bought hardware: holes in a pattern, a recess let in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Joint
from treenail.joints.cuts import Bore, Mortise
from treenail.joints.trenches import FLUSH, Trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec
    from treenail.timber.member import Face, Member


@dataclass(frozen=True, kw_only=True)
class Provision(Joint):
    """What both have in common.

    Attributes:
        member: the piece.
        face: where the tool enters.
        what: the cut's name in shop words.
    """

    member: Member
    face: Face
    what: str

    @property
    def kind(self) -> str:
        """What it is."""
        return self.what

    @property
    def members(self) -> tuple[Member, ...]:
        """The one piece."""
        return (self.member,)


@dataclass(frozen=True, kw_only=True)
class Holes(Provision):
    """Round holes square to a face.

    Attributes:
        diameter: mm.
        points: (x, y) of each centre in the face's frame, mm.
        depth: mm; None goes right through.
    """

    diameter: float
    points: tuple[tuple[float, float], ...]
    depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse holes that break out of the piece (GeometryError)."""
        wide, high = self.member.face_size(self.face)
        r = self.diameter / 2
        for x, y in self.points:
            if min(x - r, y - r, wide - x - r, high - y - r) <= FLUSH:
                raise GeometryError(
                    f"{self.name}: a {self.what} breaks out of {self.member.name}'s {self.face}"
                )
        if self.depth is not None and self.depth >= self.member.extent(self.face) - FLUSH:
            raise GeometryError(
                f"{self.name}: a {self.what} {self.depth:g} mm deep goes through {self.member.name}"
            )

    def numbers(self) -> Mapping[str, Number]:
        """How many, how wide, how deep."""
        deep = {} if self.depth is None else {"depth_mm": self.depth}
        return {"holes": len(self.points), "diameter_mm": self.diameter, **deep}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A bore each."""
        frame = self.member.face_frame(self.face)
        return {
            self.member.name: tuple(
                Bore(
                    joint=self.name,
                    purpose=self.what,
                    face=self.face,
                    frame=frame.shifted((snap(x), snap(y), 0.0)).snapped(),
                    diameter=self.diameter,
                    depth=self.member.extent(self.face) if self.depth is None else self.depth,
                    through=self.depth is None,
                )
                for x, y in self.points
            )
        }


@dataclass(frozen=True, kw_only=True)
class Recess(Provision):
    """A flat pocket for a plate or jaw; open where it reaches the piece's edge, or beyond.

    Attributes:
        centre: (x, y) in the face's frame, mm.
        length: along the frame's x, mm.
        width: along its y, mm.
        depth: mm.
    """

    centre: tuple[float, float]
    length: float
    width: float
    depth: float

    def __post_init__(self) -> None:
        """Refuse one that goes through, or misses the piece (GeometryError)."""
        whole = self.member.extent(self.face)
        if self.depth >= whole - FLUSH:
            raise GeometryError(
                f"{self.name}: a {self.what} {self.depth:g} mm deep goes through "
                f"{self.member.name}, which is {whole:g} mm there"
            )
        for at, size, room in self._sides:
            if min(at + size / 2, room) - max(at - size / 2, 0.0) <= FLUSH:
                raise GeometryError(f"{self.name}: the {self.what} lies beside {self.member.name}")

    @property
    def _sides(self) -> tuple[tuple[float, float, float], ...]:
        wide, high = self.member.face_size(self.face)
        return ((self.centre[0], self.length, wide), (self.centre[1], self.width, high))

    def numbers(self) -> Mapping[str, Number]:
        """Its sizes."""
        return {"length_mm": self.length, "width_mm": self.width, "depth_mm": self.depth}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A pocket, or a trench that runs out."""
        spans = [
            (max(at - size / 2, 0.0), min(at + size / 2, room)) for at, size, room in self._sides
        ]
        (x0, x1), (y0, y1) = spans
        middle = (snap((x0 + x1) / 2), snap((y0 + y1) / 2), 0.0)
        frame = self.member.face_frame(self.face).shifted(middle).snapped()
        shut = all(
            low > FLUSH and high < room - FLUSH
            for (low, high), (_, _, room) in zip(spans, self._sides, strict=True)
        )
        make = Mortise if shut else Trench
        return {
            self.member.name: (
                make(
                    joint=self.name,
                    purpose=self.what,
                    face=self.face,
                    frame=frame,
                    length=snap(x1 - x0),
                    width=snap(y1 - y0),
                    depth=snap(self.depth),
                ),
            )
        }


@dataclass(frozen=True, kw_only=True)
class MountedBlock(Joint):
    """A block under a top, held by the screws of the vise that hangs on it.

    Attributes:
        block: its upper face on the top.
        tops: the top's sections over it.
        diameter: of the screws' holes, mm.
        depth: of the pilot holes in the top, mm.
        points: of the screws, in the bench, on the top's underside, mm.
    """

    block: Member
    tops: tuple[Member, ...]
    diameter: float
    depth: float
    points: tuple[Vec, ...]

    def __post_init__(self) -> None:
        """Refuse screws beside the block or the top, or through the top (GeometryError)."""
        self.cuts()

    @property
    def kind(self) -> str:
        """``vise block``."""
        return "vise block"

    @property
    def members(self) -> tuple[Member, ...]:
        """(block, the sections over it)."""
        return (self.block, *self.tops)

    def _holes(self, member: Member, toward: Vec, depth: float | None) -> tuple[Cut, ...]:
        face = member.face_towards(toward)
        frame, place = member.face_frame(face), member.placement
        low, high = member.bounds()
        mine = [
            p for p in self.points if all(low[i] - FLUSH <= p[i] <= high[i] + FLUSH for i in (0, 1))
        ]
        spots = [frame.local_point(place.local_point(p)) for p in mine]
        return Holes(
            name=self.name,
            member=member,
            face=face,
            what="screw hole" if depth is None else "pilot hole",
            diameter=self.diameter,
            points=tuple(sorted((snap(x), snap(y)) for x, y, _ in spots)),
            depth=depth,
        ).cuts()[member.name]

    def numbers(self) -> Mapping[str, Number]:
        """Its screws' holes."""
        return {"screws": len(self.points), "hole_mm": self.diameter, "pilot_depth_mm": self.depth}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Through holes in the block, pilot holes in the top."""
        if not self.points:
            return {}
        down = (0.0, 0.0, -1.0)
        return {
            self.block.name: self._holes(self.block, down, None),
            **{top.name: self._holes(top, down, self.depth) for top in self.tops},
        }


__all__ = ["Holes", "MountedBlock", "Provision", "Recess"]
