"""A vise's screw, with its guide rods if it has any: through the jaw, to the nut behind."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.base import Hardware, Joint
from treenail.joints.cuts import Bore
from treenail.joints.tenon_variants.wedged import WedgedTenon
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, dot, neg, scale, snap, sub

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.timber.measured_parts import MeasuredPart
    from treenail.timber.member import Face, Member


@dataclass(frozen=True, slots=True, kw_only=True)
class ViseRod:
    """One round rod of a vise.

    Attributes:
        kind: ``vise screw`` or ``guide rod``.
        size: as measured.
        length: from its collar's bearing face to its end, mm.
        hole: diameter of the holes that it goes through, mm.
        point: where its collar bears, in the bench, mm.
    """

    kind: str
    size: MeasuredPart
    length: float
    hole: float
    point: Vec


@dataclass(frozen=True, kw_only=True)
class GuideTenon(WedgedTenon):
    """A vise's guide wedged in its chop: the two are one piece before they go to the bench."""

    @property
    def beforehand(self) -> bool:
        """Yes."""
        return True


@dataclass(frozen=True, kw_only=True)
class ViseScrew(Joint):
    """Rods that run through a jaw to what holds their nut, and through what stands between.

    Attributes:
        bearer: the member on which the nut (or the vise's body) is fixed.
        jaw: the member on which the collars bear; it moves with the rods.
        between: further members that the rods run through.
        direction: unit vector from the handle to the screw's end, in the bench.
        rods: the screw first.
        travel: how far the jaw opens, mm.
        nut: length of thread that must stay in the nut, mm.
        nut_end: how far from the screw's bearing face the nut ends while the vise is shut, mm.
        bored: whether the rods run through the bearer, too.
    """

    bearer: Member
    jaw: Member
    between: tuple[Member, ...] = ()
    direction: Vec
    rods: tuple[ViseRod, ...]
    travel: float
    nut: float
    nut_end: float
    bored: bool = True

    def __post_init__(self) -> None:
        """Refuse a screw too short to reach its nut (GeometryError)."""
        if not self.rods or self.rods[0].kind != "vise screw":
            raise GeometryError(f"{self.name}: a vise has a screw")
        if self.most_travel <= 0.0:
            raise GeometryError(
                f"{self.name}: a screw {self.rods[0].length:g} mm long ends "
                f"{-self.most_travel:g} mm short of its nut"
            )

    @property
    def kind(self) -> str:
        """``vise screw``."""
        return "vise screw"

    @property
    def members(self) -> tuple[Member, ...]:
        """(bearer, jaw, what lies between)."""
        return (self.bearer, self.jaw, *self.between)

    def numbers(self) -> Mapping[str, Number]:
        """Travel, and each kind of rod with its holes."""
        found: dict[str, Number] = {"travel_mm": self.travel, "most_travel_mm": self.most_travel}
        for rod in self.rods:
            kind = rod.kind.replace(" ", "_")
            found[f"{kind}_mm"] = rod.size.diameter
            found[f"{kind}_hole_mm"] = rod.hole
        return found

    @property
    def passed(self) -> tuple[Member, ...]:
        """What lies between."""
        return self.between

    @property
    def most_travel(self) -> float:
        """How far the jaw opens until the screw's end leaves the nut's far side, mm."""
        return snap(self.rods[0].length - self.nut_end)

    def _face(self, member: Member) -> Face:
        return member.face_towards(neg(self.direction))

    @cached_property
    def bored_members(self) -> tuple[Member, ...]:
        """Those with holes."""
        return (*((self.bearer,) if self.bored else ()), self.jaw, *self.between)

    def _bore(self, member: Member, rod: ViseRod) -> Bore:
        face = self._face(member)
        surface = member.placement.point(member.face_frame(face).origin)
        at = add(rod.point, scale(self.direction, dot(sub(surface, rod.point), self.direction)))
        frame = Frame.from_zx(at, self.direction, member.placement.direction(_level(member, face)))
        return Bore(
            joint=self.name,
            purpose="screw hole" if rod.kind == "vise screw" else "rod hole",
            face=face,
            frame=member.placement.localise(frame),
            diameter=rod.hole,
            depth=member.extent(face),
            through=True,
        )

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A through hole for each rod in each member that it runs through."""
        return {m.name: tuple(self._bore(m, rod) for rod in self.rods) for m in self.bored_members}

    def hardware(self) -> tuple[Hardware, ...]:
        """The rods, the vise shut."""
        side = self.jaw.placement.direction(_level(self.jaw, self._face(self.jaw)))
        counts: dict[str, int] = {}
        found = []
        for rod in self.rods:
            counts[rod.kind] = counts.get(rod.kind, 0) + 1
            number = f"_{counts[rod.kind]}" if rod.kind != "vise screw" else ""
            found.append(
                Hardware(
                    name=f"{rod.kind.replace(' ', '_')}_{self.name}{number}",
                    kind=rod.kind,
                    size=rod.size,
                    length=snap(rod.length + rod.size.washer_thickness),
                    placement=Frame.from_zx(rod.point, self.direction, side).snapped(),
                )
            )
        return tuple(found)


def _level(member: Member, face: Face) -> Vec:
    """The x axis of a face's frame, in the member's coordinates."""
    return member.face_frame(face).x


__all__ = ["GuideTenon", "ViseRod", "ViseScrew"]
