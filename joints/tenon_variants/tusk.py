"""The tusk tenon: it stands out far beyond its mortise, and a loose wedge draws it home."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.mortise_tenon import MortiseTenon
from treenail.joints.shaped_cuts import TaperedMortise, WedgeTaper
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, along, cross, neg, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.timber.species import Species

#: The sides of the entering member across which a wedge can go.
_ACROSS = (Face.FACE_EDGE, Face.BACK_EDGE, Face.FACE_SIDE, Face.BACK_SIDE)


@dataclass(frozen=True, kw_only=True)
class TuskTenon(MortiseTenon):
    """A through tenon with a wedge in a hole beyond the receiver; knocked out, it comes apart.

    The hole's inner wall lies ``relief`` inside the receiver, so that the wedge bears on the
    receiver and never on that wall; its outer wall slopes as the wedge does.

    Attributes:
        wedge_face: the entering member's side or edge at which the wedge goes in.
        wedge_width: along the tenon, half-way through the piece, mm.
        wedge_thickness: across, mm.
        slope: how much the wedge narrows for each mm of its length.
        relief: from the hole's inner wall to the receiver's far face, mm.
        play: between the wedge's sides and the hole, in total, mm.
        head, tail: how far the wedge stands out of the tenon where it goes in and comes out, mm.
        wedge_species: the wedge's wood.
    """

    through: bool = True
    wedge_face: Face = Face.FACE_EDGE
    wedge_width: float
    wedge_thickness: float
    slope: float
    relief: float
    play: float
    head: float
    tail: float
    wedge_species: Species = field(repr=False)

    def __post_init__(self) -> None:
        """As for a plain tenon, then whether wedge and tusk go together."""
        super().__post_init__()
        last = self.width_at(self.drive_span[1] + self.tail)
        hole = self.wedge_thickness + self.play
        for wrong, why in (
            (not self.through, "a tusk tenon goes through"),
            (self.tip is not None, "a tusk tenon has no mitred or notched tip"),
            (self.wedge_face not in _ACROSS, "a wedge goes across the tenon, not along it"),
            (min(self.relief, self.play, self.head, self.tail) < 0.0, "no size is negative"),
            (self.slope <= 0.0, "a wedge narrows along its length"),
            (last <= 0.0, f"the wedge runs out before its end ({last:g} mm left)"),
            (self.relief >= self.mortise_depth, "the hole's relief starts inside the receiver"),
            (hole >= self._across, "the wedge's hole leaves no tenon beside it"),
            (self.end_wood <= 0.0, "the wedge's hole breaks out at the tenon's end"),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")

    @property
    def kind(self) -> str:
        """``tusk tenon``."""
        return "tusk tenon"

    @property
    def _through_edges(self) -> bool:
        """Whether the wedge goes through the tenon's width (else through its thickness)."""
        return self.wedge_face in (Face.FACE_EDGE, Face.BACK_EDGE)

    @property
    def _across(self) -> float:
        """The tenon's size along the wedge's thickness, mm."""
        return self.thickness if self._through_edges else self.width

    @property
    def drive_span(self) -> tuple[float, float]:
        """Where the tenon begins and ends behind ``wedge_face``, mm."""
        s = self.shoulders
        beside = {
            Face.FACE_EDGE: (s.face_edge, s.back_edge),
            Face.BACK_EDGE: (s.back_edge, s.face_edge),
            Face.FACE_SIDE: (s.face_side, s.back_side),
            Face.BACK_SIDE: (s.back_side, s.face_side),
        }.get(self.wedge_face, (0.0, 0.0))
        return beside[0], self.entering.extent(self.wedge_face) - beside[1]

    def width_at(self, depth: float) -> float:
        """The wedge's width at a depth behind ``wedge_face``, mm."""
        middle = self.entering.extent(self.wedge_face) / 2.0
        return self.wedge_width + self.slope * (middle - depth)

    @property
    def end_wood(self) -> float:
        """Tenon left beyond the hole at its widest, mm."""
        return snap(self.proud - self.width_at(self.drive_span[0]))

    @cached_property
    def wedge_hole(self) -> TaperedMortise:
        """The hole through the tenon, sloped on its outer side."""
        side = self.entering.face_frame(self.wedge_face)
        deep = self.entering.extent(self.wedge_face)
        mouth = self.width_at(0.0)
        outward = self.end.outward
        middle = self._on_far_face(0.0, (mouth - self.relief) / 2.0)
        return TaperedMortise(
            joint=self.name,
            purpose="wedge mortise",
            face=self.wedge_face,
            frame=Frame.from_zx(middle, side.z, outward).snapped(),
            length=snap(mouth + self.relief),
            width=snap(self.wedge_thickness + self.play),
            depth=deep,
            through=True,
            start=0.0,
            high_out=-snap(self.slope * deep),
        )

    def _on_far_face(self, depth: float, beyond: float) -> Vec:
        """A point on the tenon's middle plane, in the entering member's coordinates.

        ``depth`` lies behind ``wedge_face``, ``beyond`` the receiver's far face, mm.
        """
        m, (x0, x1, y0, y1) = self.entering, self.section
        centre = m.face_frame(self.end).point(
            ((x0 + x1) / 2.0, (y0 + y1) / 2.0, self.proud - beyond)
        )
        side = m.face_frame(self.wedge_face)
        x, y, _ = side.local_point(centre)
        return side.point((x, y, depth))

    def wedges(self) -> tuple[Member, ...]:
        """The wedge as driven: its straight edge on the receiver, its slope on the hole's."""
        start, stop = self.drive_span[0] - self.head, self.drive_span[1] + self.tail
        drive, out = self.wedge_face.inward, self.end.outward
        side = cross(drive, out)
        corner = along(self._on_far_face(start, 0.0), side, -self.wedge_thickness / 2.0)
        return (
            Member(
                name=f"wedge_{self.name}",
                role="wedge",
                length=snap(stop - start),
                width=snap(self.width_at(start)),
                thickness=self.wedge_thickness,
                species=self.wedge_species,
                placement=self.entering.placement.place(Frame(corner, drive, out, side)),
                assembly=self.entering.assembly,
            ),
        )

    def wedge_drive(self) -> Vec:
        """Unit vector along which the wedge is driven, in the bench."""
        return self.entering.placement.direction(neg(self.wedge_face.outward))

    def numbers(self) -> Mapping[str, Number]:
        """The wedge, and the wood around it."""
        return {
            **super().numbers(),
            "stands_out_mm": self.proud,
            "wedge_width_mm": self.wedge_width,
            "wedge_thickness_mm": self.wedge_thickness,
            "wedge_slope": snap(self.slope),
            "relief_mm": self.relief,
            "beyond_wedge_mm": self.end_wood,
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """As for a plain tenon, the wedge's hole, and the wedge's taper."""
        found = {**super().cuts()}
        found[self.entering.name] += (self.wedge_hole,)
        (wedge,) = self.wedges()
        taper = WedgeTaper(
            joint=self.name,
            purpose="wedge taper",
            face=Face.FAR_END,
            frame=wedge.face_frame(Face.FAR_END),
            face_edge=0.0,
            back_edge=snap(self.slope * wedge.length),
            length=wedge.length,
        )
        return found | {wedge.name: (taper,)}


__all__ = ["TuskTenon"]
