"""The year in the room: what the wood comes to, month by month, and where that leads outside.

The course between the driest and the wettest is our own simple model, a sine: the moisture
contents at its ends are what counts, and all rules look at those only.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import SAME
from treenail.checks.rules import Context, Finding, rule
from treenail.generators.climate import Room, room_of
from treenail.timber.errors import SpecError
from treenail.timber.moisture import MOVEMENT_RANGE

if TYPE_CHECKING:
    from treenail.generators.bench import Bench, Seasons

__all__ = ["DRIEST_MONTH", "MODEL", "MONTHS", "monthly_moisture", "room", "swing"]

MONTHS = tuple(range(1, 13))
"""January to December."""
DRIEST_MONTH = {"winter": 2, "summer": 8}
"""When wood is driest, by the season that dries it: it lags behind the air (our own choice)."""
MODEL = (
    "our own simple model: moisture content swings as a sine between driest and wettest, six "
    "months apart; months of the northern half of the world"
)


def room(bench: Bench) -> Room:
    """The room that a bench is meant for; its air only where the spec gives one."""
    moisture = getattr(bench.spec, "moisture", None)
    if moisture is not None:
        try:
            found = room_of(moisture)
        except (SpecError, AttributeError):
            return Room(bench.seasons)
        if found.seasons == bench.seasons:
            return found
    return Room(bench.seasons)


def monthly_moisture(place: Room) -> tuple[float, ...]:
    """The wood's moisture content in the middle of each month, percent."""
    low, high = place.seasons.driest, place.seasons.wettest
    first = DRIEST_MONTH[place.driest_in]
    return tuple(
        (low + high) / 2 - (high - low) / 2 * math.cos(2 * math.pi * (m - first) / 12)
        for m in MONTHS
    )


def swing(seasons: Seasons) -> tuple[float, float]:
    """From the build to the driest and to the wettest, in points of moisture content."""
    return seasons.driest - seasons.at_build, seasons.wettest - seasons.at_build


@rule(
    "moisture-range-unusual",
    title="Moisture within the coefficients' range",
    why="Beyond this range wood moves otherwise than in proportion, and every figure of the year "
    "is an estimate.",
    remedy="Keep the room's humidity nearer the middle, or leave more room everywhere.",
    source="FPL-GTR-190 (2010) ch. 13: coefficients hold between 6 and 14 %",
)
def moisture_range_unusual(context: Context) -> Iterator[Finding]:
    """Driest and wettest against the range for which the coefficients are given."""
    s = context.bench.seasons
    low, high = MOVEMENT_RANGE
    dry = low - s.driest >= s.wettest - high
    ways = []
    if s.driest < low - SAME:
        ways.append(f"keep the air moister in the dry season, for at least {low:g} %")
    if s.wettest > high + SAME:
        ways.append(f"keep the air drier in the damp season, for at most {high:g} %")
    if not ways:
        return
    text = ", and ".join(ways)
    yield Finding(
        rule="moisture-range-unusual",
        severity="advice",
        message=f"The wood is taken to range from {s.driest:.1f} to {s.wettest:.1f} %; the "
        f"coefficients of movement hold between {low:g} and {high:g} %.",
        measured=s.driest if dry else s.wettest,
        limit=low if dry else high,
        unit="%",
        remedy=f"{text[0].upper()}{text[1:]}; until then take the year's figures as estimates.",
    )
