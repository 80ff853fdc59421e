"""Where a top goes, where it is parted, and how far its parts move toward each other; mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from treenail.timber.errors import SpecError
from treenail.timber.frames import snap
from treenail.timber.moisture import movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from treenail.generators.bench import Seasons
    from treenail.generators.top_spec import OpenWell, Parting
    from treenail.timber.species import Species

INCH = 25.4
#: Room that loose parts keep beyond the computed movement, mm (our own choice).
SPARE = 1.0
#: Least wood that a strip or a bottom must still stand on at the driest, mm (our own choice:
#: 1/8 in).
HOLD = INCH / 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a top goes, and what it is made of.

    Attributes:
        length, depth, height: of the bench, mm.
        lines: where the front and the back of it are held, from the front edge, mm.
        cover: width of rail that covers the back posts, mm.
        species: its wood.
        peg_species: of pegs in it.
        seasons: moisture contents.
        step: sizes that are worked out come in steps of this, mm.
        say: writes a length.
    """

    length: float
    depth: float
    height: float
    lines: tuple[float, float]
    cover: float
    species: Species
    peg_species: Species
    seasons: Seasons
    step: float
    say: Callable[[float], str]

    def down(self, value: float) -> float:
        """A size rounded down to a step."""
        return snap(math.floor(value / self.step + 1e-9) * self.step)

    def up(self, value: float) -> float:
        """A size rounded up to a step."""
        return snap(math.ceil(value / self.step - 1e-9) * self.step)

    def swells(self, size: float, rings: str) -> float:
        """How much so much wood grows from the build to the wettest, mm."""
        c = movement_coefficient(self.species, rings)  # type: ignore[arg-type]
        return size * c * max(self.seasons.wettest - self.seasons.at_build, 0.0)

    def shrinks(self, size: float, rings: str) -> float:
        """How much it shrinks from the build to the driest, mm."""
        c = movement_coefficient(self.species, rings)  # type: ignore[arg-type]
        return size * c * max(self.seasons.at_build - self.seasons.driest, 0.0)


class Parted(Protocol):
    """What a spec says of where a top is parted, mm."""

    @property
    def kind(self) -> str:
        """``solid``, ``split`` or ``well``."""

    @property
    def split(self) -> Parting:
        """Of a split one."""

    @property
    def well(self) -> OpenWell:
        """Of one with a well."""

    @property
    def rings(self) -> str:
        """Growth rings across it."""


def slab_spans(
    top: Parted, place: Place, rows: Sequence[float] = ()
) -> tuple[tuple[float, float], ...]:
    """From where to where each part of a top lies, from the front edge, mm.

    SpecError where a part is too narrow, or a row of dog holes lies over none.
    """
    spans = _spans(top, place)
    for y in rows:
        if not any(low < y < high for low, high in spans):
            raise SpecError(
                f"a row of dog holes {place.say(y)} from the front lies beside the slabs",
                field="top.dog_holes.setback",
                allowed="over a slab, or fewer rows",
            )
    return spans


def _spans(top: Parted, place: Place) -> tuple[tuple[float, float], ...]:
    depth, say = place.depth, place.say
    if top.kind == "solid":
        return ((0.0, depth),)
    if top.kind == "split":
        gap, front = top.split.gap, top.split.front
        front = snap((depth - gap) / 2) if front is None else front
        back, field, least = front + gap, "top.split.front", 80.0
    else:
        rail = place.cover if top.well.rail is None else top.well.rail
        back, field, least = depth - rail, "top.well.width", 20.0
        front = back - top.well.width
    if front < 80.0 or depth - back < least:
        raise SpecError(
            f"of a top {say(depth)} deep, {say(max(front, 0.0))} are left in front and "
            f"{say(max(depth - back, 0.0))} behind",
            field=field,
            allowed=f"what leaves {say(80.0)} in front and {say(least)} behind",
        )
    return ((0.0, snap(front)), (snap(back), depth))


def towards(top: Parted, place: Place, low: float, high: float) -> tuple[float, float]:
    """(how much two slabs close a gap at the wettest, open it at the driest), mm."""
    moving = (abs(low - place.lines[0]), abs(high - place.lines[1]))
    return (
        sum(place.swells(away, top.rings) for away in moving),
        sum(place.shrinks(away, top.rings) for away in moving),
    )


__all__ = ["HOLD", "SPARE", "Parted", "Place", "slab_spans", "towards"]
