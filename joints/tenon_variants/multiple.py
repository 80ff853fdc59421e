"""Several tenons on one end: twin ones side by side, double ones one above the other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from treenail.joints.mortise_tenon import DrawBore, MortiseTenon, Section
from treenail.joints.shaped_cuts import Gap, ShapedEnd
from treenail.timber.errors import GeometryError
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Number


@dataclass(frozen=True, kw_only=True)
class MultipleTenon(MortiseTenon):
    """Equal tenons on one end, each in a mortise of its own; one shoulder for all.

    A wide rail keeps more wood in the post between two tenons, and its middle is free to move; a
    thick one gets twice the cheeks to glue.

    Attributes:
        count: tenons.
        gap: between two neighbours, mm.
        across: ``thickness`` sets them side by side (twin tenons), ``width`` one above the other
            (double tenons).
    """

    count: int = 2
    gap: float
    across: Literal["thickness", "width"] = "thickness"

    def __post_init__(self) -> None:
        """As for a plain tenon; the gaps must leave wood, and no tip or haunch gets in the way."""
        super().__post_init__()
        if self.count < 2 or self.gap <= 0.0:
            raise GeometryError(f"{self.name}: two tenons or more, with a gap between them")
        if self.each <= 0.0:
            raise GeometryError(
                f"{self.name}: {self.count - 1} gap(s) of {self.gap:g} mm leave no tenons"
            )
        if self.tip is not None or (self.haunch and self.across == "thickness"):
            raise GeometryError(
                f"{self.name}: several tenons have no mitred or notched tip, and twin ones no "
                "haunch"
            )

    @property
    def kind(self) -> str:
        """``twin tenons``, ``double tenons, drawbored``, ``through ...``, ``3 tenons ...``."""
        side_by_side = self.across == "thickness"
        if self.count == 2:
            name = "twin tenons" if side_by_side else "double tenons"
        else:
            way = "side by side" if side_by_side else "one above the other"
            name = f"{self.count} tenons {way}"
        name = f"through {name}" if self.through else name
        name = f"haunched {name}" if self.haunch else name
        return f"{name}, drawbored" if self.draw and self.draw.count else name

    @property
    def each(self) -> float:
        """Size of one tenon in the direction in which they are divided, mm."""
        whole = self.thickness if self.across == "thickness" else self.width
        return snap((whole - self.gap * (self.count - 1)) / self.count)

    @property
    def least_tongue(self) -> tuple[float, float]:
        """Of each."""
        if self.across == "thickness":
            return (self.width, self.each)
        return (self.each, self.thickness)

    def numbers(self) -> Mapping[str, Number]:
        """How they are divided."""
        own = {"tenons": self.count, "each_mm": self.each, "between_mm": self.gap}
        return {**super().numbers(), **own}

    @cached_property
    def tenon(self) -> ShapedEnd:
        """The cut that leaves the tenons."""
        start = self.section[2] if self.across == "thickness" else self.section[0]
        gaps = []
        for i in range(1, self.count):
            low = start + i * self.each + (i - 1) * self.gap
            gaps.append(Gap(self.across, snap(low), snap(low + self.gap)))
        return ShapedEnd(**self.tenon_fields(), gaps=tuple(gaps))

    @cached_property
    def tongues(self) -> tuple[Section, ...]:
        """Each tenon's section."""
        return tuple((t.x0, t.x1, t.y0, t.y1) for t in self.tenon.tongues())

    def _peg_spots(self, d: DrawBore) -> list[float]:
        """Through all twin tenons alike; dealt out to double ones from the face edge on."""
        if self.across == "thickness" or d.spots is not None:
            return super()._peg_spots(d)
        spots = []
        for i, (x0, x1, _, _) in enumerate(self.tongues):
            share = d.count // self.count + (i < d.count % self.count)
            spots += d.spread(x0, x1, share) if share else []
        return spots


__all__ = ["MultipleTenon"]
