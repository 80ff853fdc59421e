"""Strips that lie loose in a gap, flush; turned over, they stand proud of it as a fence or stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.joints.base import Joint, Number
from treenail.joints.edges import PanelGroove
from treenail.joints.trenches import trench
from treenail.timber.errors import GeometryError
from treenail.timber.frames import neg, snap
from treenail.timber.member import Face

if TYPE_CHECKING:
    from collections.abc import Mapping

    from treenail.joints.cuts import Cut
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member


@dataclass(frozen=True, kw_only=True)
class Fence(Joint):
    """A strip rebated over the ledges that bear it: turned over, its middle stands proud.

    Attributes:
        member: the strip, its face side up where it lies flush.
        ledges: what it lies on, in its rebates.
        side: width of each rebate, mm.
        proud: depth of the rebates, and how far the middle then stands above the top, mm.
    """

    member: Member
    ledges: tuple[Member, ...]
    side: float
    proud: float

    def __post_init__(self) -> None:
        """Refuse rebates that leave nothing (GeometryError)."""
        if self.fence <= 0.0 or not 0.0 < self.proud < self.member.thickness:
            raise GeometryError(f"{self.name}: rebates {self.side:g} mm wide leave no fence")

    @property
    def kind(self) -> str:
        """``fence strip``."""
        return "fence strip"

    @property
    def members(self) -> tuple[Member, ...]:
        """The strip and its ledges."""
        return (self.member, *self.ledges)

    @property
    def lets_in(self) -> bool:
        """Yes."""
        return True

    @property
    def slides(self) -> bool:
        """Lifted out and turned at any time."""
        return True

    def insertion(self) -> Vec:
        """Up: the ledges, seen from the strip."""
        return neg(self.member.placement.z)

    @property
    def fence(self) -> float:
        """Thickness of what stands proud, mm."""
        return snap(self.member.width - 2 * self.side)

    def numbers(self) -> Mapping[str, Number]:
        """Height and thickness of what stands proud."""
        return {"proud_mm": self.proud, "fence_mm": self.fence}

    def cuts(self) -> Mapping[str, tuple[Cut, ...]]:
        """Two rebates from end to end."""
        m = self.member
        return {
            m.name: tuple(
                trench(
                    self,
                    m,
                    Face.BACK_SIDE,
                    {0: (0.0, m.length), 1: span},
                    self.proud,
                    run=0,
                    purpose="rebate",
                )
                for span in ((0.0, self.side), (snap(m.width - self.side), m.width))
            )
        }


@dataclass(frozen=True, kw_only=True)
class Astride(PanelGroove):
    """A notch across a strip that lies astride a piece: it bears on it, or keeps ``room`` off it.

    Turned over, the strip stands on its other edge, as far above the top as the notch is deep.
    """

    @property
    def kind(self) -> str:
        """``notch astride``."""
        return "notch astride"

    @property
    def trench_name(self) -> str:
        """``notch``."""
        return "notch"


__all__ = ["Astride", "Fence"]
