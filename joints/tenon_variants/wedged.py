"""The wedged through tenon: wedges in saw kerfs spread it into a mortise that flares outward."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.shaped_cuts import Kerf, ShapedEnd, TaperedMortise, WedgeTaper
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut, Mortise
    from treenail.timber.species import Species


@dataclass(frozen=True, kw_only=True)
class WedgedTenon(MortiseTenon):
    """A through tenon with kerfs in its end, into which wedges are driven.

    The mortise is straight from the mouth to ``flare_start`` and widens from there to the far
    face, along the tenon's width. The model shows the tenon as it is sawn, its parts not yet
    bent outward; what a wedge and the tenon then share is what the wedge presses.

    Attributes:
        kerfs: number of kerfs and wedges, spread evenly over the tenon's width.
        kerf_width: of the saw cut, mm.
        kerf_length: from the tenon's end, mm; the rest of the tenon stays whole.
        flare: how much farther out each short wall lies at the far face, mm.
        flare_start: depth at which the walls begin to slope, mm.
        wedge_length: mm; not longer than the kerf.
        wedge_tip: a wedge's thickness at its thin end, mm.
        wedge_species: the wedges' wood.
    """

    through: bool = True
    kerfs: int = 2
    kerf_width: float
    kerf_length: float
    flare: float
    flare_start: float
    wedge_length: float
    wedge_tip: float
    wedge_species: Species = field(repr=False)

    def __post_init__(self) -> None:
        """As for a plain tenon, then whether kerfs, wedges and flare go together."""
        super().__post_init__()
        deep = self.mortise_depth
        for wrong, why in (
            (not self.through, "only a through tenon is wedged from its end"),
            (self.tip is not None, "a wedged tenon has no mitred or notched tip"),
            (self.kerfs < 1 or self.kerf_width <= 0.0, "it takes a kerf of some width"),
            (not 0.0 < self.kerf_length < self.length, "kerfs end between shoulder and end"),
            (not 0.0 < self.wedge_length <= self.kerf_length, "wedges end within their kerfs"),
            (self.wedge_length <= max(self.proud, 0.0), "wedges end inside the mortise"),
            (self.flare < 0.0, "a mortise doesn't narrow toward its far face"),
            (not 0.0 < self.flare_start < deep, "a flare begins between mouth and far face"),
            (not 0.0 <= self.wedge_tip <= self.kerf_width, "a wedge's thin end enters the kerf"),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")
        room = self.width / self.kerfs
        if self.wedge_thickness >= room:
            raise GeometryError(
                f"{self.name}: wedges {self.wedge_thickness:g} mm thick leave no tenon between "
                f"them (one to {room:g} mm)"
            )

    @property
    def kind(self) -> str:
        """``wedged through mortise and tenon`` ..."""
        return f"wedged {super().kind}"

    @property
    def spread(self) -> float:
        """How much wider the wedges make the tenon at the far face, to fill the mortise, mm."""
        return snap(2.0 * self.flare + self.fit.edge.mid)

    @property
    def wedge_thickness(self) -> float:
        """A wedge's thickness at its butt, mm: at the far face it opens its kerf by its share."""
        at_face = self.kerf_width + self.spread / self.kerfs
        inside = self.wedge_length - self.proud
        slope = (at_face - self.wedge_tip) / inside
        return snap(self.wedge_tip + slope * self.wedge_length)

    @cached_property
    def kerf_places(self) -> tuple[float, ...]:
        """The kerfs' middles along the end frame's x, mm."""
        x0, x1, _, _ = self.section
        return tuple(snap(x0 + (x1 - x0) * (i + 0.5) / self.kerfs) for i in range(self.kerfs))

    @cached_property
    def tenon(self) -> ShapedEnd:
        """The tenon with its kerfs."""
        kerfs = tuple(Kerf(x, self.kerf_width, self.kerf_length) for x in self.kerf_places)
        return ShapedEnd(**self.tenon_fields(), kerfs=kerfs)

    @cached_property
    def mortises(self) -> tuple[Mortise, ...]:
        """The flared pocket."""
        return tuple(
            TaperedMortise(
                **self.mortise_fields(tongue),
                start=self.flare_start,
                low_out=self.flare,
                high_out=self.flare,
            )
            for tongue in self.tongues
        )

    def wedges(self) -> tuple[Member, ...]:
        """The wedges as driven, butts flush with the tenon's end."""
        end, butt = self.end_frame, self.wedge_thickness
        return tuple(
            Member(
                name=f"wedge_{self.name}_{i}",
                role="wedge",
                length=self.wedge_length,
                width=butt,
                thickness=self.thickness,
                species=self.wedge_species,
                # The grain (x) runs from the butt toward the shoulder, the taper lies across y.
                placement=Frame(
                    end.point((x - butt / 2, self.section[2], 0.0)), end.z, end.x, end.y
                ),
                assembly=self.entering.assembly,
            )
            for i, x in enumerate(self.kerf_places, start=1)
        )

    def pressed(self) -> Mapping[frozenset[str], float]:
        """What each wedge shares with the tenon: its wood outside the kerf."""
        slope = (self.wedge_thickness - self.wedge_tip) / self.wedge_length
        over = self.wedge_thickness - self.kerf_width
        # The wedge is thicker than the kerf over this length from its butt.
        reach = min(over / slope, self.wedge_length) if slope > 0.0 else 0.0
        volume = (over - slope * reach / 2.0) * reach * self.thickness if over > 0.0 else 0.0
        return {frozenset((self.entering.name, w.name)): volume for w in self.wedges()}

    def numbers(self) -> Mapping[str, Number]:
        """Kerfs, wedges and flare."""
        return {
            **super().numbers(),
            "wedges": self.kerfs,
            "kerf_width_mm": self.kerf_width,
            "kerf_length_mm": self.kerf_length,
            "flare_mm": self.flare,
            "flare_start_mm": self.flare_start,
            "wedge_length_mm": self.wedge_length,
            "wedge_butt_mm": self.wedge_thickness,
            "wedge_tip_mm": self.wedge_tip,
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """As for a plain tenon, and the wedges' tapers."""
        off = (self.wedge_thickness - self.wedge_tip) / 2.0
        return {**super().cuts()} | {
            wedge.name: (
                WedgeTaper(
                    joint=self.name,
                    purpose="wedge taper",
                    face=Face.FAR_END,
                    frame=wedge.face_frame(Face.FAR_END),
                    face_edge=off,
                    back_edge=off,
                    length=wedge.length,
                ),
            )
            for wedge in self.wedges()
        }


__all__ = ["WedgedTenon"]
