"""A piece that stands on another bench: held by pins in that one's dog holes, or clamped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Joint, Number
from treenail.joints.cuts import Bore, Cut
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.timber.frames import Vec
    from treenail.timber.species import Species

DOWN: Vec = (0.0, 0.0, -1.0)


@dataclass(frozen=True, kw_only=True)
class HeldDown(Joint):
    """A foot on the bench below; with pins glued into its underside, or none where it's clamped.

    Attributes:
        member: the foot.
        places: of the pins' axes in the bench, (x, y), mm; empty where clamps hold it.
        diameter: of the pins in the foot, and of their holes, mm.
        tip: of the pins at their lower ends, mm: they taper below the foot.
        depth: of their holes in the foot, mm.
        proud: how far they stand out below, mm.
        species: the pins'.
    """

    member: Member
    places: tuple[tuple[float, float], ...] = ()
    diameter: float = 0.0
    tip: float = 0.0
    depth: float = 0.0
    proud: float = 0.0
    species: Species | None = None

    def __post_init__(self) -> None:
        """Refuse pins beside the foot, through it, or without length (GeometryError)."""
        if not self.places:
            return
        size = self.member.face_size(self.under)
        for bore in self.cuts()[self.member.name]:
            x, y, _ = self.member.face_frame(self.under).local_point(bore.frame.origin)
            if min(x, y, size[0] - x, size[1] - y) <= self.diameter / 2:
                raise GeometryError(f"{self.name}: a pin stands beside {self.member.name}")
        if not 0.0 < self.depth < self.member.extent(self.under) or self.proud <= 0.0:
            raise GeometryError(
                f"{self.name}: a pin {self.depth:g} mm deep in a foot "
                f"{self.member.extent(self.under):g} mm thick, {self.proud:g} mm proud"
            )

    @property
    def kind(self) -> str:
        """``pins`` or ``clamped foot``."""
        return "pins" if self.places else "clamped foot"

    @property
    def members(self) -> tuple[Member, ...]:
        """The foot."""
        return (self.member,)

    def numbers(self) -> Mapping[str, Number]:
        """Pins and their holes; nothing where clamps hold it."""
        if not self.places:
            return {}
        return {
            "count": len(self.places),
            "diameter_mm": self.diameter,
            "tip_mm": self.tip,
            "depth_mm": self.depth,
            "proud_mm": self.proud,
        }

    @property
    def under(self) -> Face:
        """The foot's face that lies on the bench below."""
        return self.member.face_towards(DOWN)

    def _frames(self) -> list[Frame]:
        """On the foot's underside at each pin, z up into the foot, in the bench."""
        level = self.member.bounds()[0][2]
        x = self.member.placement.x
        return [Frame.from_zx((a, b, level), (0.0, 0.0, 1.0), x) for a, b in self.places]

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """A stopped hole for each pin."""
        place = self.member.placement
        return {
            self.member.name: tuple(
                Bore(
                    joint=self.name,
                    purpose="pin hole",
                    face=self.under,
                    frame=place.localise(frame).snapped(),
                    diameter=self.diameter,
                    depth=self.depth,
                )
                for frame in self._frames()
            )
        }

    def pegs(self) -> tuple[Member, ...]:
        """The pins: glued in, their lower ends in the holes of the bench below."""
        if self.species is None:
            return ()
        return tuple(
            Member(
                name=f"pin_{self.name}_{i}",
                role="pin",
                length=snap(self.depth + self.proud),
                width=self.diameter,
                thickness=self.diameter,
                species=self.species,
                placement=Frame.from_zx(
                    f.point((0.0, 0.0, self.depth)), self.member.placement.x, DOWN
                ).snapped(),
                assembly=self.member.assembly,
                round_section=True,
                tip_length=self.proud,
                tip_diameter=self.tip,
            )
            for i, f in enumerate(self._frames(), start=1)
        )
