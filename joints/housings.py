"""Housings, stopped housings and sliding dovetails."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.fits import FITS, Fit
from treenail.joints.housed import Housed
from treenail.joints.trenches import signed
from treenail.timber.errors import GeometryError
from treenail.timber.frames import neg

if TYPE_CHECKING:
    from treenail.timber.frames import Vec

#: Share of the entering member's thickness that a dovetail's narrow part has (our own choice).
DOVETAIL_ROOT = 0.6


@dataclass(frozen=True, kw_only=True)
class Housing(Housed):
    """A member's end (or edge) housed in a trench across another: a shelf in a side.

    Whole by default: the entering member then stands on the trench's floor. With ``shoulder``
    or ``back_shoulder`` it is thinned to a tongue, whose shoulders seat on the face. A stopped
    housing (``stop`` over 0) does not show at the edge where it stops.

    Attributes:
        shoulder: on the entering member's face side (or edge), mm.
        back_shoulder: on its back, mm.
    """

    shoulder: float = 0.0
    back_shoulder: float = 0.0

    @property
    def kind(self) -> str:
        """``housing`` or ``stopped housing``."""
        return "stopped housing" if self._room[1][self.run] else "housing"

    @property
    def trench_name(self) -> str:
        """``housing``, stopped or not."""
        return "housing"

    @property
    def shoulders(self) -> tuple[float, float]:
        """As given."""
        return (self.shoulder, self.back_shoulder)


@dataclass(frozen=True, kw_only=True)
class SlidingDovetail(Housed):
    """A dovetailed end (or a batten's edge) that slides along its socket.

    Attributes:
        fit: easier than that of short joints: it has to slide over its whole length.
        rise: how far the dovetail widens for each mm of its height; 1/7 by default (common
            practice: 1 in 6 for softwoods to 1 in 8 for hardwoods).
        root: the dovetail's thickness where it is narrowest, at its shoulders, mm; None takes
            0.6 of the entering member's.
        room: between the dovetail's end and the socket's floor, mm (our own choice).
    """

    fit: Fit = FITS["easy"]
    rise: float = 1.0 / 7.0
    root: float | None = None
    room: float = 0.5

    def __post_init__(self) -> None:
        """Refuse what other housed joints refuse, and a socket closed at both ends."""
        if not 0.0 < self.rise < 1.0:
            raise GeometryError(f"{self.name}: a dovetail's rise lies between 0 and 1")
        if self.room < 0.0:
            raise GeometryError(f"{self.name}: the dovetail's end must not reach into the floor")
        super().__post_init__()
        if len(self._room[1][self.run]) == 2:
            raise GeometryError(
                f"{self.name}: the socket is closed at both ends; {self.entering.name} has no "
                "way in"
            )

    @property
    def kind(self) -> str:
        """``sliding dovetail``, stopped or not."""
        return "stopped sliding dovetail" if self._room[1][self.run] else "sliding dovetail"

    @property
    def trench_name(self) -> str:
        """``dovetail socket``."""
        return "dovetail socket"

    @cached_property
    def shoulders(self) -> tuple[float, float]:
        """Alike on both sides."""
        root = DOVETAIL_ROOT * self.thickness if self.root is None else self.root
        side = (self.thickness - root) / 2
        return (side, side)

    @property
    def slope(self) -> float:
        """The dovetail's rise."""
        return self.rise

    @property
    def bottom(self) -> float:
        """As given."""
        return self.room

    def insertion(self) -> Vec:
        """Along the socket, toward its closed end if it has one."""
        along = self.receiver.placement.direction(signed(self.run, up=True))
        closed = self._room[1][self.run]
        return neg(along) if closed and not closed[0][0] else along
