"""The angled mortise and tenon: a member that leans to the face in which it stands.

Tenon and mortise run along the entering member, so that it goes home along itself; its shoulders
are bevelled to lie in the receiver's face. A through tenon ends flush with the far face, cut off
after its wedges are driven. A blind one keeps the square end of its stock, and its mortise a floor
square to its axis, as the bit or chisel leaves it. Wedges hold a through one, or drawbored pegs
either kind: square to the tenon's cheeks, so that they may meet the receiver's faces aslant.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import AngledMortise, AngledTenonEnd, EndPlane, end_plane
from treenail.joints.angled_wedges import (
    AngledWedges,
    pressed_by_wedges,
    wedge_cuts,
    wedge_members,
)
from treenail.joints.base import Gap, Number
from treenail.joints.drawbored import Drawbored
from treenail.joints.shaped_cuts import Kerf
from treenail.joints.standing import leant_face
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, along, neg, snap
from treenail.timber.member import Face, Member

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.joints.fits import Fit
    from treenail.joints.mortise_tenon import Section, Shoulders


@dataclass(frozen=True, kw_only=True)
class AngledTenon(Drawbored):
    """A tenon on the end of ``entering``, in a mortise in ``receiver`` to which it leans.

    Attributes:
        receiver, entering, end: what is mortised, what is tenoned, and on which end.
        shoulders: the tenon's four shoulders, measured square to the entering member's sides.
        fit: the named fit; its clearances are measured square to the mortise's walls.
        through: the tenon comes out flush at the far face.
        wedged: wedges in its end, or None.
        draw: drawbored pegs, or None; their setback is measured along the tenon, half-way through
            its thickness.
    """

    shoulders: Shoulders
    fit: Fit
    wedged: AngledWedges | None = None

    def __post_init__(self) -> None:
        """Refuse numbers that leave no tenon, and members that don't meet so (GeometryError)."""
        s = self.shoulders
        if min(s.face_edge, s.back_edge, s.face_side, s.back_side) < 0.0:
            raise GeometryError(f"{self.name}: a shoulder's width must not be negative")
        if min(self.width, self.thickness) <= 0.0:
            raise GeometryError(
                f"{self.name}: the shoulders leave no tenon ({self.width:g} x "
                f"{self.thickness:g} mm)"
            )
        self.refuse_unless_it_reaches()
        if self.through:
            short = -min(z for _, _, z in self.tenon.corners()[:4])
            if short > 1e-6:
                raise GeometryError(
                    f"{self.name}: {self.entering.name} is {short:g} mm too short to come out "
                    f"at {self.receiver.name}'s far face on all sides"
                )
        if self.wedged is not None:
            if self.draw is not None:
                raise GeometryError(f"{self.name}: wedges hold the tenon, or pegs do; not both")
            self._refuse_odd_wedges(self.wedged)
        if self.draw is not None:
            self.draw.refuse_odd_places(self.name)

    def _refuse_odd_wedges(self, w: AngledWedges) -> None:
        slant = self.mortise.slant(self.width / 2.0)
        for wrong, why in (
            (not self.through, "only a through tenon is wedged from its end"),
            (w.count < 1 or w.kerf <= 0.0, "it takes a kerf of some width"),
            (not 0.0 < w.kerf_length < self.length - slant, "kerfs end short of the shoulder"),
            (not 0.0 < w.length <= w.kerf_length, "wedges end within their kerfs"),
            (w.flare < 0.0, "a mortise doesn't narrow toward its far face"),
            (w.flare and not slant < w.flare_start < self.length - slant, "a flare begins inside"),
            (not 0.0 <= w.tip <= w.kerf, "a wedge's thin end enters the kerf"),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")
        room = self.width / w.count
        if self.wedge_at(0.0) + 2.0 * self.wedge_slope * slant >= room:
            raise GeometryError(
                f"{self.name}: wedges {self.wedge_at(0.0):g} mm thick leave no tenon between them "
                f"(one to {room:g} mm)"
            )

    # -- where it stands ---------------------------------------------------------------------

    @property
    def kind(self) -> str:
        """``angled mortise and tenon``, ``wedged through angled ...``, ``..., drawbored``."""
        name = f"{'through ' if self.through else ''}angled mortise and tenon"
        if self.wedged:
            return f"wedged {name}"
        return f"{name}, drawbored" if self.draw and self.draw.count else name

    @cached_property
    def receiver_face(self) -> Face:
        """The mortised face; GeometryError if the tenon leans more than 45 degrees to it."""
        return leant_face(self)

    @property
    def outward(self) -> Vec:
        """Out of the mortised face, in the bench."""
        return self.receiver.placement.direction(self.receiver_face.outward)

    @cached_property
    def _shoulder_plane(self) -> EndPlane:
        mouth = self.receiver.placement.point(self.receiver.face_frame(self.receiver_face).origin)
        return end_plane(self.entering, self.end, mouth, neg(self.outward))

    @property
    def tilt(self) -> float:
        """How far the tenon leans from square to the face, radians."""
        return self._shoulder_plane.tilt

    @property
    def width(self) -> float:
        """The tenon's width in mm (along the entering member's width)."""
        return snap(self.entering.width - self.shoulders.face_edge - self.shoulders.back_edge)

    @property
    def thickness(self) -> float:
        """The tenon's thickness in mm."""
        return snap(self.entering.thickness - self.shoulders.face_side - self.shoulders.back_side)

    @cached_property
    def section(self) -> Section:
        """The tenon's (x0, x1, y0, y1) in the end-face frame, mm."""
        s, m = self.shoulders, self.entering
        y0 = s.face_side if self.end is Face.NEAR_END else s.back_side
        return (snap(s.face_edge), snap(m.width - s.back_edge), snap(y0), snap(y0 + self.thickness))

    @property
    def centre(self) -> tuple[float, float]:
        """The tenon's axis in the end frame, mm."""
        x0, x1, y0, y1 = self.section
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0

    @property
    def peg_level(self) -> float:
        """Half-way through the tenon: its shoulders may slope across its thickness, mm."""
        return self.centre[1]

    @cached_property
    def length(self) -> float:
        """The tenon's length on its axis, from the shoulder plane to its end, mm."""
        whole = self._shoulder_plane.depth(*self.centre)
        return snap(min(whole, self.crossing) if self.through else whole)

    @property
    def crossing(self) -> float:
        """From face to face of the receiver along the tenon, mm: its depth over cos(tilt)."""
        return snap(self.receiver.extent(self.receiver_face) / math.cos(self.tilt))

    @property
    def proud(self) -> float:
        """A through tenon is flush, mm."""
        return 0.0

    # -- the cuts ----------------------------------------------------------------------------

    @cached_property
    def tenon(self) -> AngledTenonEnd:
        """The cut that leaves the tenon."""
        x0, x1, y0, y1 = self.section
        plane = self._shoulder_plane
        through = self.receiver.extent(self.receiver_face)
        kerfs: tuple[Kerf, ...] = ()
        if self.wedged is not None:
            w = self.wedged
            kerfs = tuple(Kerf(x, w.kerf, w.kerf_length) for x in self.kerf_places)
        return AngledTenonEnd(
            joint=self.name,
            purpose="angled tenon",
            face=self.end,
            frame=self.entering.face_frame(self.end),
            x0=x0,
            x1=x1,
            y0=y0,
            y1=y1,
            shoulder=plane,
            tip=EndPlane(plane.normal, plane.level - through) if self.through else None,
            kerfs=kerfs,
        )

    @cached_property
    def mortise(self) -> AngledMortise:
        """The pocket, clearances of the fit at mid-limit shared by both sides."""
        x, y = self.centre
        centre = self.end_frame.point((x, y, self._shoulder_plane.depth(x, y)))
        own = self.receiver.placement
        axis, wide = (own.local_direction(v) for v in (self.insertion(), self.end_frame.x))
        if max(wide, key=abs) < 0.0:  # like joints give like numbers
            wide = neg(wide)
        w = self.wedged
        return AngledMortise(
            joint=self.name,
            purpose="angled mortise",
            face=self.receiver_face,
            frame=Frame.from_zx(own.local_point(centre), axis, wide).snapped(),
            length=snap(self.width + self.fit.edge.mid),
            width=snap(self.thickness + self.fit.cheek.mid),
            depth=self.crossing if self.through else snap(self.length + self.fit.bottom.mid),
            through=self.through,
            start=w.flare_start if w else 0.0,
            flare=w.flare if w else 0.0,
        )

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Mortise and tenon with their peg holes; wedges' tapers; ends that are cut off flush."""
        pairs = self.peg_holes()
        found: dict[str, tuple[Cut, ...]] = {
            self.receiver.name: (self.mortise, *(p for p, _ in pairs)),
            self.entering.name: (self.tenon, *(t for _, t in pairs)),
        }
        found |= self.flush_cuts()
        found |= wedge_cuts(self)
        return found

    # -- the wedges --------------------------------------------------------------------------

    @cached_property
    def kerf_places(self) -> tuple[float, ...]:
        """The kerfs' middles along the end frame's x, mm."""
        if self.wedged is None:
            return ()
        x0, x1, _, _ = self.section
        count = self.wedged.count
        return tuple(snap(x0 + (x1 - x0) * (i + 0.5) / count) for i in range(count))

    @property
    def spread(self) -> float:
        """How much wider the wedges make the tenon at the far face, to fill the mortise, mm."""
        return snap(2.0 * self.wedged.flare + self.fit.edge.mid) if self.wedged else 0.0

    @property
    def tip_thickness(self) -> float:
        """A wedge's thickness at its thin end, mm."""
        return self.wedged.tip if self.wedged else 0.0

    @property
    def wedge_slope(self) -> float:
        """How much thicker a wedge is for each mm toward its butt."""
        w = self.wedged
        if w is None:
            return 0.0
        return (w.kerf + self.spread / w.count - w.tip) / w.length

    def wedge_at(self, from_end: float) -> float:
        """A wedge's thickness at a distance from the tenon's end on its axis, mm."""
        w = self.wedged
        return 0.0 if w is None else w.tip + self.wedge_slope * (w.length - from_end)

    def wedges(self) -> tuple[Member, ...]:
        """The wedges as driven, longer than they will be by what is cut off flush."""
        return wedge_members(self)

    def pressed(self) -> Mapping[frozenset[str], float]:
        """What each wedge shares with the tenon: its wood outside the kerf."""
        return pressed_by_wedges(self)

    # -- rooms -------------------------------------------------------------------------------

    def numbers(self) -> Mapping[str, Number]:
        """The lean in the shop's terms, degrees; and the wedges."""
        along, across = self.mortise.leans(self.receiver)
        lean: dict[str, Number] = {
            "resultant_degrees": _degrees(self.tilt),
            "lean_along_degrees": _degrees(along),
            "lean_across_degrees": _degrees(across),
            "sight_degrees": _degrees(self.mortise.sight(self.receiver)),
        }
        if (w := self.wedged) is None:
            return lean
        kerf = {"kerf_width_mm": w.kerf, "kerf_length_mm": w.kerf_length}
        return lean | kerf | {"wedges": w.count, "wedge_length_mm": w.length, "flare_mm": w.flare}

    def gaps(self) -> tuple[Gap, ...]:
        """Cheeks and edges in the mortise, shoulders on the face, a blind tenon's end."""
        place, receiver, entering = self.end_frame, self.receiver.name, self.entering.name
        x0, x1, y0, y1 = self.section
        xc, yc = self.centre
        plane = self._shoulder_plane
        slant = self.mortise.slant(self.width / 2.0)
        w = self.wedged
        end = self.length if w is None else min(w.flare_start, self.length - w.kerf_length)
        if w is None and self.through:
            end = self.length - slant
        z = plane.depth(xc, yc) - (slant + end) / 2.0
        found = []

        def gap(what: str, at: Vec, toward: Vec, room: float) -> None:
            found.append(
                Gap(
                    what=what,
                    of=entering,
                    against=receiver,
                    at=place.point(at),
                    toward=place.direction(toward),
                    room=room,
                )
            )

        if end > slant:
            for x, sign in ((x0, -1.0), (x1, 1.0)):
                gap("edge", (x, yc, z), (sign, 0.0, 0.0), self.fit.edge.mid / 2.0)
            for y, sign in ((y0, -1.0), (y1, 1.0)):
                gap("cheek", (xc, y, z), (0.0, sign, 0.0), self.fit.cheek.mid / 2.0)
        m = self.entering
        for x, y, wide in (
            (x0 / 2.0, yc, x0),
            ((x1 + m.width) / 2.0, yc, m.width - x1),
            (xc, y0 / 2.0, y0),
            (xc, (y1 + m.thickness) / 2.0, m.thickness - y1),
        ):
            if wide > max(self.fit.edge.mid, self.fit.cheek.mid):
                gap("shoulder", (x, y, plane.depth(x, y)), neg(plane.normal), 0.0)
        if not self.through:
            gap("end", (xc, yc, 0.0), (0.0, 0.0, -1.0), self.fit.bottom.mid)
        return tuple(found)

    def bodies(self) -> list[tuple[Vec, ...]]:
        """The tenon as a convex piece, in the bench."""
        return [tuple(self.end_frame.point(p) for p in self.tenon.corners())]

    def mouth_point(self, x: float, y: float) -> Vec:
        """A point of the end-face frame, carried along the grain onto the shoulder plane."""
        return self.end_frame.point((x, y, self._shoulder_plane.depth(x, y)))

    def axis(self) -> tuple[Vec, Vec]:
        """The tenon's axis in the bench, from the shoulder plane to its end."""
        start = self.mouth_point(*self.centre)
        return start, along(start, self.insertion(), self.length)


def _degrees(angle: float) -> float:
    return round(math.degrees(abs(angle)), 4)


__all__ = ["AngledTenon", "AngledWedges"]
