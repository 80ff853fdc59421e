"""The round tapered tenon: a cone turned on an end, in a reamed socket that it seats in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.shaped_cuts import ConeEnd, ConeSocket
from treenail.joints.standing import Standing
from treenail.timber.errors import GeometryError
from treenail.timber.frames import Frame, snap

if TYPE_CHECKING:
    from treenail.joints.base import Number
    from treenail.joints.cuts import Cut


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
    """

    diameter: float
    taper: float
    play: float = 0.1
    bottom: float = 3.0
    through: bool = False

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
        ):
            if wrong:
                raise GeometryError(f"{self.name}: {why}")

    @property
    def kind(self) -> str:
        """``round tapered tenon``."""
        return "through round tapered tenon" if self.through else "round tapered tenon"

    @property
    def tip_diameter(self) -> float:
        """The cone's diameter at the member's end, mm."""
        return snap(self.diameter - self.taper * self.length)

    @property
    def depth(self) -> float:
        """The socket's depth, mm; the whole member if through."""
        if self.through:
            return self.receiver.extent(self.receiver_face)
        return snap(self.length + self.bottom)

    @property
    def bottom_diameter(self) -> float:
        """The socket's diameter at its bottom or far face, mm."""
        return snap(self.diameter + self.play - self.taper * self.depth)

    @cached_property
    def tenon(self) -> ConeEnd:
        """The cut that leaves the cone."""
        x, y, r = self.entering.width / 2.0, self.entering.thickness / 2.0, self.diameter / 2.0
        return ConeEnd(
            joint=self.name,
            purpose="tenon",
            face=self.end,
            frame=self.entering.face_frame(self.end),
            x0=snap(x - r),
            x1=snap(x + r),
            y0=snap(y - r),
            y1=snap(y + r),
            length=self.length,
            tip_diameter=self.tip_diameter,
        )

    @cached_property
    def socket(self) -> ConeSocket:
        """The reamed hole."""
        middle = self.mouth_point(*self.tenon.centre)
        face = self.receiver.face_frame(self.receiver_face)
        return ConeSocket(
            joint=self.name,
            purpose="conical socket",
            face=self.receiver_face,
            frame=Frame(
                self.receiver.placement.local_point(middle), face.x, face.y, face.z
            ).snapped(),
            mouth=snap(self.diameter + self.play),
            bottom=self.bottom_diameter,
            depth=self.depth,
            through=self.through,
        )

    def numbers(self) -> Mapping[str, Number]:
        """Cone and socket."""
        return {
            "length_mm": self.length,
            "base_diameter_mm": self.diameter,
            "tip_diameter_mm": self.tip_diameter,
            "taper": snap(self.taper),
            "socket_depth_mm": self.depth,
            "socket_mouth_mm": self.socket.mouth,
            "socket_bottom_mm": self.bottom_diameter,
        }

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """The socket and the cone."""
        return {self.receiver.name: (self.socket,), self.entering.name: (self.tenon,)}


__all__ = ["TaperedRound"]
