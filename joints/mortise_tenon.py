"""The mortise and tenon, with haunch and drawbored pegs.

A joint is given two placed members and the tenon's shoulders; everything else follows from
where the members stand: which face is mortised, how long the tenon is, where the holes lie.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from treenail.joints.corner_fit import corners_of, refuse_odd_corners, rounding_of
from treenail.joints.cuts import Cut, Haunch, MitredTip, Mortise, NotchedTip, TenonEnd
from treenail.joints.drawbored import DrawBore, Drawbored, Section
from treenail.joints.haunch import haunch_socket
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot, neg, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.base import Number
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Shoulders:
    """Shoulder widths on the four sides of a tenon, in mm; 0 leaves none on that side."""

    face_edge: float
    back_edge: float
    face_side: float
    back_side: float


@dataclass(frozen=True, kw_only=True)
class MortiseTenon(Drawbored):
    """A tenon on the end of ``entering``, in a mortise in ``receiver``.

    Attributes:
        receiver, entering, end: what is mortised, what is tenoned, and on which end.
        shoulders: the tenon's four shoulders.
        fit: the named fit between them.
        haunch: a stub in one edge shoulder, or None.
        tip: a mitre or notch where another tenon meets this one, or None.
        through: the tenon comes out (flush or proud) at the far face.
        draw: drawbored pegs, or None.
        corners: of the mortise: ``square``, ``round`` (the tenon is rounded to match) or
            ``relieved`` (holes at the corners let the square tenon in).
        cutter: diameter of the cutter that leaves the corners, mm; of no account where square.
        bolted: a stub without glue or pegs: a bolt of another joint draws it home, and lets it go.
    """

    shoulders: Shoulders
    fit: Fit
    haunch: Haunch | None = None
    tip: MitredTip | NotchedTip | None = None
    corners: CornerKind = "square"
    cutter: float = 12.7
    bolted: bool = False

    def __post_init__(self) -> None:
        """Refuse numbers that leave no tenon, or members that don't meet (GeometryError)."""
        s = self.shoulders
        if min(s.face_edge, s.back_edge, s.face_side, s.back_side) < 0.0:
            raise GeometryError(f"{self.name}: a shoulder's width must not be negative")
        if self.width <= 0.0 or self.thickness <= 0.0:
            raise GeometryError(
                f"{self.name}: the shoulders leave no tenon ({self.width:g} x "
                f"{self.thickness:g} mm)"
            )
        if self.draw is not None:
            self.draw.refuse_odd_places(self.name)
        if self.bolted and self.draw is not None:
            raise GeometryError(f"{self.name}: pegs would hold for good what a bolt should let go")
        self.refuse_unless_it_reaches()
        refuse_odd_corners(self)

    # -- the tenon ---------------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """``mortise and tenon``, ``through ...``, ``... , drawbored`` (or ``bolted``)."""
        name = "through mortise and tenon" if self.through else "mortise and tenon"
        if self.haunch:
            name = f"haunched {name}"
        if self.bolted:
            return f"{name}, bolted"
        return f"{name}, drawbored" if self.draw and self.draw.count else name

    @property
    def width(self) -> float:
        """The tenon's width in mm (along the entering member's width)."""
        return snap(self.entering.width - self.shoulders.face_edge - self.shoulders.back_edge)

    @property
    def thickness(self) -> float:
        """The tenon's thickness in mm."""
        return snap(self.entering.thickness - self.shoulders.face_side - self.shoulders.back_side)

    @property
    def least_tongue(self) -> tuple[float, float]:
        """Width and thickness of the tenon (or the least one) that goes into a mortise, mm."""
        return (self.width, self.thickness)

    @cached_property
    def section(self) -> Section:
        """The tenon's (x0, x1, y0, y1) in the end-face frame, mm."""
        s, m = self.shoulders, self.entering
        y0 = s.face_side if self.end is Face.NEAR_END else s.back_side
        return (
            snap(s.face_edge),
            snap(m.width - s.back_edge),
            snap(y0),
            snap(y0 + self.thickness),
        )

    @cached_property
    def tenon(self) -> TenonEnd:
        """The cut that leaves the tenon."""
        return TenonEnd(**self.tenon_fields())

    def tenon_fields(self) -> dict[str, Any]:
        """What every tenoned end has, for the kinds of it that have more."""
        x0, x1, y0, y1 = self.section
        return {
            "joint": self.name,
            "purpose": "tenon",
            "face": self.end,
            "frame": self.entering.face_frame(self.end),
            "x0": x0,
            "x1": x1,
            "y0": y0,
            "y1": y1,
            "length": self.length,
            "haunch": self.haunch,
            "tip": self.tip,
            "rounding": rounding_of(self),
        }

    # -- the mortise -------------------------------------------------------------------------

    @property
    def mortise_depth(self) -> float:
        """From the mouth to the bottom, mm; the whole member if through."""
        if self.through:
            return self.receiver.extent(self.receiver_face)
        return snap(self.length + self.fit.bottom.mid)

    def _receiver_frame(self, centre: Vec) -> Frame:
        """Frame on the mortised face: x along the tenon's width, z into the receiver.

        x is turned to run with the receiver's grain where it lies along it, so that like
        joints give like numbers.
        """
        face = self.receiver.face_frame(self.receiver_face)
        x = self.receiver.placement.local_direction(self.end_frame.x)
        if dot(x, face.x) < -1e-9 or (abs(dot(x, face.x)) <= 1e-9 and dot(x, face.y) < 0.0):
            x = neg(x)
        return Frame.from_zx(self.receiver.placement.local_point(centre), face.z, x).snapped()

    @property
    def mortise(self) -> Mortise:
        """The (first) pocket, clearances of the fit at mid-limit shared by both sides."""
        return self.mortises[0]

    @cached_property
    def mortises(self) -> tuple[Mortise, ...]:
        """A pocket for each tongue."""
        return tuple(Mortise(**self.mortise_fields(tongue)) for tongue in self.tongues)

    def mortise_fields(self, tongue: Section) -> dict[str, Any]:
        """What every pocket for a tongue has, for the kinds of it that have more."""
        x0, x1, y0, y1 = tongue
        return {
            "joint": self.name,
            "purpose": "mortise",
            "face": self.receiver_face,
            "frame": self._receiver_frame(self.mouth_point((x0 + x1) / 2, (y0 + y1) / 2)),
            "length": snap(x1 - x0 + self.fit.edge.mid),
            "width": snap(y1 - y0 + self.fit.cheek.mid),
            "depth": self.mortise_depth,
            "through": self.through,
            "corners": corners_of(self),
        }

    @cached_property
    def haunch_socket(self) -> Mortise | None:
        """The shallow pocket for the haunch; it overlaps the mortise so that they join."""
        return haunch_socket(self)

    def numbers(self) -> Mapping[str, Number]:
        """Of a plain tenon the corners alone: reports have the rest of every tenon."""
        if self.corners == "square":
            return {}
        return {"corners": self.corners, "cutter_mm": self.cutter}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Mortise, haunch socket and peg holes; tenon and its peg holes."""
        pairs = self.peg_holes()
        socket = (self.haunch_socket,) if self.haunch_socket else ()
        return {
            self.receiver.name: (*self.mortises, *socket, *(p for p, _ in pairs)),
            self.entering.name: (self.tenon, *(t for _, t in pairs)),
        }


__all__ = ["DrawBore", "MortiseTenon", "Section", "Shoulders"]
