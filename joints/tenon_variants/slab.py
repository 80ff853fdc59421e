"""A post through a slab top: a dovetail-shaped tenon in the slab's edge, a plain one beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.mortise_tenon import MortiseTenon, Section
from treenail.joints.shaped_cuts import DovetailSocket, Flanks, Gap, ShapedEnd
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, dot, neg, snap, sub
from treenail.timber.member import Face

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut

#: How far the outer cheek may lie off the slab's edge and still be flush, mm.
_FLUSH = 1e-6


@dataclass(frozen=True, kw_only=True)
class SlabTenons(MortiseTenon):
    """Two through tenons; the outer one, flush with the slab's edge, widens inward.

    Seen from above, the outer tenon is a dovetail, so that the post can't leave the slab's edge.
    Both go home along the post.

    Attributes:
        outer: the entering member's side that is flush with the receiver's edge; no shoulder
            there.
        dovetail: the outer tenon's thickness, mm.
        gap: between the two tenons, mm.
        slope: how much each flank runs in for each mm of thickness.
    """

    through: bool = True
    outer: Face = Face.FACE_SIDE
    dovetail: float
    gap: float
    slope: float

    def __post_init__(self) -> None:
        """As for a plain tenon, then whether the two tenons and the slab's edge go together."""
        super().__post_init__()
        s = self.shoulders
        shoulder = s.face_side if self.outer is Face.FACE_SIDE else s.back_side
        narrow = self.width - 2.0 * self.slope * self.dovetail
        for wrong, why in (
            (not self.through, "both tenons go through"),
            (self.tip is not None or self.haunch is not None, "no tip and no haunch here"),
            (self.outer not in (Face.FACE_SIDE, Face.BACK_SIDE), "outer is a side, not an edge"),
            (shoulder != 0.0, f"there is no shoulder at the {self.outer}"),
            (min(self.dovetail, self.gap, self.inner) <= 0.0, "two tenons and a gap have a size"),
            (self.slope <= 0.0, "a dovetail's flanks slope"),
            (narrow <= 0.0, "the flanks leave nothing of the dovetail's narrow side"),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")
        off = self._edge_gap()
        if abs(off) > _FLUSH:
            raise GeometryError(
                f"{self.name}: {self.entering.name}'s {self.outer} is not flush with "
                f"{self.receiver.name}'s {self.open_face} ({off:g} mm off)"
            )

    @property
    def kind(self) -> str:
        """``dovetailed and plain through tenons``."""
        return "dovetailed and plain through tenons"

    @property
    def inner(self) -> float:
        """The plain tenon's thickness, mm."""
        return snap(self.thickness - self.dovetail - self.gap)

    @property
    def least_tongue(self) -> tuple[float, float]:
        """Of the plain tenon; the dovetail's socket is sawn from the slab's edge, and square."""
        return (self.width, self.inner)

    @property
    def _outward(self) -> Vec:
        """From the piece's middle to its outer side, in the bench."""
        return self.entering.placement.direction(self.outer.outward)

    @cached_property
    def open_face(self) -> Face:
        """The receiver's edge (or side) in which the dovetail lies."""
        return self.receiver.face_towards(self._outward)

    def _edge_gap(self) -> float:
        """How far the outer side lies inside the receiver's edge, mm."""
        edge = self.receiver.placement.place(self.receiver.face_frame(self.open_face))
        side = self.entering.placement.place(self.entering.face_frame(self.outer))
        return dot(sub(side.origin, edge.origin), edge.z)

    @property
    def _outer_is_low(self) -> bool:
        """Whether the outer side lies at the low y of the end frame."""
        return (self.outer is Face.FACE_SIDE) == (self.end is Face.NEAR_END)

    @cached_property
    def tenon(self) -> ShapedEnd:
        """The cut that leaves both tenons."""
        _, _, y0, y1 = self.section
        if self._outer_is_low:
            narrow, wide, beyond = y0, y0 + self.dovetail, y0 + self.dovetail + self.gap
        else:
            narrow, wide, beyond = y1, y1 - self.dovetail, y1 - self.dovetail - self.gap
        low, high = sorted((snap(wide), snap(beyond)))
        return ShapedEnd(
            **self.tenon_fields(),
            gaps=(Gap("thickness", low, high),),
            flanks=Flanks(snap(narrow), snap(wide), self.inset),
        )

    @property
    def inset(self) -> float:
        """How much narrower the dovetail is on each edge at the slab's edge, mm."""
        return snap(self.slope * self.dovetail)

    @cached_property
    def tongues(self) -> tuple[Section, ...]:
        """The plain tenon's section; the dovetail has a socket of its own kind."""
        plain = self.tenon.tongues()[1 if self._outer_is_low else 0]
        return ((plain.x0, plain.x1, plain.y0, plain.y1),)

    @cached_property
    def socket(self) -> DovetailSocket:
        """The dovetail-shaped opening in the slab's edge; half of the play is behind it."""
        x0, x1, _, _ = self.section
        behind = self.fit.cheek.mid / 2.0
        flanks = self.tenon.flanks
        assert flanks is not None
        into = self.receiver.placement.local_direction(neg(self._outward))
        home = self.receiver.face_frame(self.receiver_face).z
        mouth = self.receiver.placement.local_point(
            self.mouth_point((x0 + x1) / 2.0, flanks.narrow)
        )
        x = Frame.from_zx((0.0, 0.0, 0.0), into, home).y  # along the edge
        frame = Frame.from_zx(mouth, home, x)
        if dot(frame.y, into) < 0.0:
            frame = Frame.from_zx(mouth, home, neg(x))
        return DovetailSocket(
            joint=self.name,
            purpose="dovetail socket",
            face=self.receiver_face,
            frame=frame.snapped(),
            mouth=snap(self.width - 2.0 * self.inset + self.fit.edge.mid),
            length=snap(self.width + 2.0 * self.slope * behind + self.fit.edge.mid),
            width=snap(self.dovetail + behind),
            depth=self.mortise_depth,
        )

    def cheeks_at(self, x: float) -> tuple[tuple[float, float], ...]:
        """The wood of both tenons across the thickness at ``x`` of the end frame, mm.

        Between the flanks' narrow and wide places it is taken as whole.
        """
        return tuple((t.y0, t.y1) for t in self.tenon.tongues() if t.x0 <= x <= t.x1)

    def numbers(self) -> Mapping[str, Number]:
        """How both tenons divide the piece."""
        return {
            **super().numbers(),
            "dovetail_mm": self.dovetail,
            "between_mm": self.gap,
            "inner_mm": self.inner,
            "slope": snap(self.slope),
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """As for a plain tenon, and the dovetail's socket."""
        found = {**super().cuts()}
        found[self.receiver.name] += (self.socket,)
        return found


__all__ = ["SlabTenons"]
