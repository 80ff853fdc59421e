"""What a tool takes away: eight plain volumes in a member's own coordinates.

Numbers only. ``generators.solids`` turns them into kernel solids; ``joints.volumes`` measures
them in closed form. A cutter may run out of the stock (``RUN_OUT``): the overrun cuts air and
keeps tool faces off stock faces; closed forms clip it to the stock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from treenail.timber.frames import Frame, Vec

if TYPE_CHECKING:
    from collections.abc import Sequence

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


def anticlockwise(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The corners of an outline in the order in which a prism wants them, repeats left out."""
    kept = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-9]
    pairs = zip(kept, (*kept[1:], kept[0]), strict=True)
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)
    return tuple(kept if twice > 0.0 else reversed(kept))


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


@dataclass(frozen=True, slots=True)
class ConeCutter:
    """A frustum about ``frame``'s +z from its origin: a reamed hole.

    ``start`` and ``end`` are its diameters at the origin and ``depth`` mm further on.
    """

    frame: Frame
    start: float
    end: float
    depth: float


@dataclass(frozen=True, slots=True)
class TurnedCutter:
    """Everything around a conical tenon: the end's zone less a frustum.

    ``frame`` is the end's face frame (z into the piece); ``width`` and ``thickness`` are the
    end's size along its x and y. The frustum stands about the line along z through ``centre``,
    ``tip`` in diameter at the end and ``base`` at the shoulder, ``length`` further in; mm.
    """

    frame: Frame
    width: float
    thickness: float
    centre: tuple[float, float]
    tip: float
    base: float
    length: float


@dataclass(frozen=True, slots=True)
class FilletCutter:
    """What leaves an edge that is rounded: a corner less a quarter of a cylinder.

    The edge lies along ``frame``'s +z from its origin, ``depth`` mm long, and the wood between
    its +x and +y; the quarter cylinder touches both at ``radius`` mm from the edge.
    """

    frame: Frame
    radius: float
    depth: float


Cutter: TypeAlias = (
    BoxCutter
    | BoreCutter
    | SlotCutter
    | PrismCutter
    | BevelCutter
    | ConeCutter
    | TurnedCutter
    | FilletCutter
)
