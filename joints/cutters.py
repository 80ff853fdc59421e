"""What a tool takes away: five plain volumes in a member's own coordinates.

Numbers only. ``generators.solids`` turns them into kernel solids; ``joints.volumes`` measures
them in closed form. A cutter may run out of the stock (``RUN_OUT``): the overrun cuts air and
keeps tool faces off stock faces; closed forms clip it to the stock.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from treenail.timber.frames import Frame, Vec

#: How far a cutter runs past an open face, in mm.
RUN_OUT = 2.0


@dataclass(frozen=True, slots=True)
class BoxCutter:
    """A box from ``frame``'s origin along its +x, +y and +z; ``size`` in mm."""

    frame: Frame
    size: Vec


@dataclass(frozen=True, slots=True)
class BoreCutter:
    """A cylinder along ``frame``'s +z from its origin; ``diameter`` and ``depth`` in mm."""

    frame: Frame
    diameter: float
    depth: float


@dataclass(frozen=True, slots=True)
class SlotCutter:
    """A round-ended slot along ``frame``'s +z: ``centres`` apart along x, ``width`` wide, mm."""

    frame: Frame
    centres: float
    width: float
    depth: float


@dataclass(frozen=True, slots=True)
class PrismCutter:
    """A convex polygon (x, y), anticlockwise, swept along ``frame``'s +z by ``depth`` mm."""

    frame: Frame
    points: tuple[tuple[float, float], ...]
    depth: float


@dataclass(frozen=True, slots=True)
class BevelCutter:
    """All four edges of an end bevelled at 45 degrees by ``leg`` mm.

    ``frame`` is the end's face frame (z into the piece); ``width`` and ``thickness`` are the
    end's size along its x and y, mm.
    """

    frame: Frame
    width: float
    thickness: float
    leg: float


Cutter: TypeAlias = BoxCutter | BoreCutter | SlotCutter | PrismCutter | BevelCutter
