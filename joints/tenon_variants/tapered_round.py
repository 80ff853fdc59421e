"""The round tapered tenon: a cone turned on an end, in a reamed socket that it seats in.

Its piece may lean to the face, in two directions, as a staked leg does: cone and socket then run
along the leg, the cone seats by its taper alone, and its shoulder, square to the leg, stands off
the face far enough to clear it. A through one is cut off flush with the far face.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.angled_cuts import FLUSH, EndBevel, EndPlane, end_plane
from treenail.joints.shaped_cuts import ConeEnd, ConeSocket
from treenail.joints.standing import Standing, leant_face
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, Vec, add, dot, neg, scale, snap, unit

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut
    from treenail.timber.member import Face

#: What leans less stands square, radians.
LEANS = 1e-9
#: Of a cone whose shoulder seats on the face, on the diameter, mm.
PLAY = 0.1


@dataclass(frozen=True, kw_only=True)
class TaperedRound(Standing):
    """A conical tenon on the end of ``entering``, in the middle of its section.

    Attributes:
        receiver, entering, end: what is bored and reamed, what is turned, and on which end.
        diameter: of the cone at the receiver's face, mm.
        taper: how much the diameter shrinks for each mm of length, toward the end.
        play: how much wider the socket is, on the diameter, mm.
        bottom: room below the end in a stopped socket, mm.
        through: the cone comes out at the far face.
        standoff: from the face to the cone's shoulder on the axis, mm; 0 where it stands square.
    """

    diameter: float
    taper: float
    play: float = PLAY
    bottom: float = 3.0
    through: bool = False
    standoff: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a cone that runs out, or that its piece can't hold (GeometryError)."""
        self.refuse_unless_it_reaches()
        least = min(self.entering.width, self.entering.thickness)
        for wrong, why in (
            (not 0.0 < self.diameter <= least, f"a cone of up to {least:g} mm can be turned"),
            (self.taper <= 0.0, "a cone shrinks toward its end"),
            (self.tip_diameter <= 0.0, "the cone runs out before its end"),
            (self.bottom_diameter <= 0.0, "the socket runs out before its bottom"),
            (self.play < 0.0 or self.bottom < 0.0, "play and room are not negative"),
            (self.through and self.proud < 0.0, "a through tenon reaches the far face"),
            (
                self.base_diameter > least,
                f"its base is {self.base_diameter:g} mm, its piece {least:g} mm",
            ),
            (
                self.standoff < self.least_standoff - 1e-9,
                f"its shoulder meets the face; it stands at least {self.least_standoff:g} mm off",
            ),
            (
                self.through and bool(self.tilt) and self.proud < self.tip_slant,
                "a through tenon that leans reaches the far face all around",
            ),
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")

    @property
    def kind(self) -> str:
        """``round tapered tenon``, ``through ...``, ``leaning ...``."""
        name = "leaning round tapered tenon" if self.tilt else "round tapered tenon"
        return f"through {name}" if self.through else name

    @cached_property
    def receiver_face(self) -> Face:
        """The bored face; GeometryError if the tenon leans more than 45 degrees to it."""
        return leant_face(self)

    @cached_property
    def _face_plane(self) -> EndPlane:
        """The receiver's face as it crosses the entering end."""
        return face_plane(self)

    @cached_property
    def tilt(self) -> float:
        """How far the tenon leans from square to the face, radians."""
        lean = self._face_plane.tilt
        return lean if lean > LEANS else 0.0

    @cached_property
    def length(self) -> float:
        """The tenon's length on its axis, from the face to the member's end, mm."""
        return snap(self._face_plane.depth(*self._axis))

    @property
    def crossing(self) -> float:
        """From face to face of the receiver along the tenon, mm."""
        whole = self.receiver.extent(self.receiver_face)
        return snap(whole / math.cos(self.tilt)) if self.tilt else whole

    @property
    def proud(self) -> float:
        """How far the stock of a through tenon stands out at the far face on its axis, mm."""
        return snap(self.length - self.crossing)

    @property
    def _axis(self) -> tuple[float, float]:
        return self.entering.width / 2.0, self.entering.thickness / 2.0

    def mouth_point(self, x: float, y: float) -> Vec:
        """A point of the end-face frame, carried along the grain onto the face, in the bench."""
        return self.end_frame.point((x, y, self._face_plane.depth(x, y)))

    @property
    def tip_slant(self) -> float:
        """How much farther than on its axis the cone's end meets the far face, mm."""
        rise = math.tan(self.tilt)
        half = (self.diameter - self.taper * self.crossing) / 2.0
        return half * rise / (1.0 - self.taper / 2.0 * rise)

    @property
    def least_standoff(self) -> float:
        """From the face to where a shoulder square to the axis just clears it, mm."""
        return max(0.0, self._face_plane.reach(self.entering) - self.length) if self.tilt else 0.0

    @property
    def base_diameter(self) -> float:
        """The cone's diameter at its shoulder, mm."""
        return snap(self.diameter + self.taper * self.standoff)

    @property
    def tip_diameter(self) -> float:
        """The cone's diameter at the member's end, mm."""
        return snap(self.diameter - self.taper * self.length)

    @property
    def depth(self) -> float:
        """The socket's depth, mm; the whole member if through."""
        if self.through:
            return self.crossing
        return snap(self.length + self.bottom)

    @property
    def bottom_diameter(self) -> float:
        """The socket's diameter at its bottom or far face, mm."""
        return snap(self.diameter + self.play - self.taper * self.depth)

    @cached_property
    def tenon(self) -> ConeEnd:
        """The cut that leaves the cone."""
        x, y, r = *self._axis, self.base_diameter / 2.0
        return ConeEnd(
            joint=self.name,
            purpose="tenon",
            face=self.end,
            frame=self.entering.face_frame(self.end),
            x0=snap(x - r),
            x1=snap(x + r),
            y0=snap(y - r),
            y1=snap(y + r),
            length=snap(self.length + self.standoff),
            tip_diameter=self.tip_diameter,
        )

    @cached_property
    def socket(self) -> ConeSocket:
        """The reamed hole."""
        middle = self.mouth_point(*self._axis)
        own, face = self.receiver.placement, self.receiver.face_frame(self.receiver_face)
        axis = own.local_direction(self.insertion()) if self.tilt else face.z
        return ConeSocket(
            joint=self.name,
            purpose="conical socket",
            face=self.receiver_face,
            frame=Frame.from_zx(own.local_point(middle), axis, _across(face, axis)).snapped(),
            mouth=snap(self.diameter + self.play),
            bottom=self.bottom_diameter,
            depth=self.depth,
            through=self.through,
        )

    def numbers(self) -> Mapping[str, Number]:
        """Cone and socket."""
        lean: dict[str, Number] = {}
        if self.tilt:
            along, across = self.socket.leans(self.receiver)
            lean = {
                "standoff_mm": self.standoff,
                "resultant_degrees": _degrees(self.tilt),
                "lean_along_degrees": _degrees(along),
                "lean_across_degrees": _degrees(across),
                "sight_degrees": _degrees(self.socket.sight(self.receiver)),
            }
        return lean | {
            "length_mm": self.length,
            "base_diameter_mm": self.diameter,
            "tip_diameter_mm": self.tip_diameter,
            "taper": snap(self.taper),
            "socket_depth_mm": self.depth,
            "socket_mouth_mm": self.socket.mouth,
            "socket_bottom_mm": self.bottom_diameter,
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """The socket and the cone; where it leans through, its end cut off flush."""
        flush: tuple[Cut, ...] = ()
        if self.through and self.tilt:
            plane = self._face_plane
            level = plane.level - self.receiver.extent(self.receiver_face)
            flush = (
                EndBevel(
                    joint=self.name,
                    purpose=FLUSH,
                    face=self.end,
                    frame=self.entering.face_frame(self.end),
                    plane=EndPlane(plane.normal, snap(level)),
                ),
            )
        return {self.receiver.name: (self.socket,), self.entering.name: (self.tenon, *flush)}


def _degrees(angle: float) -> float:
    return round(math.degrees(abs(angle)), 4)


def face_plane(joint: Standing) -> EndPlane:
    """The receiver's face as it crosses the entering member's end."""
    face, place = leant_face(joint), joint.receiver.placement
    spot = place.point(joint.receiver.face_frame(face).origin)
    return end_plane(joint.entering, joint.end, spot, neg(place.direction(face.outward)))


def _across(face: Frame, axis: Vec) -> Vec:
    """The face's x, square to the axis."""
    return unit(add(face.x, scale(axis, -dot(face.x, axis))))


__all__ = ["TaperedRound"]
