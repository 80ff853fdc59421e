"""From a room's air, or from moisture contents as they are given, to what the wood sees.

The air of a season comes to a moisture content by the Wood Handbook's equation
(:func:`treenail.timber.moisture.emc`). Every family that has a ``moisture`` section can use this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from treenail.generators.bench import Seasons
from treenail.timber.errors import SpecError
from treenail.timber.moisture import emc

__all__ = ["Air", "Room", "Season", "room_of", "seasons_of"]

Season: TypeAlias = Literal["winter", "summer"]


@dataclass(frozen=True, slots=True)
class Air:
    """A room's air in one season: °C, and relative humidity in percent."""

    temperature: float
    humidity: float

    @property
    def moisture(self) -> float:
        """The moisture content, percent, that wood reaches in it (FPL-GTR-190 Eq. 4-5)."""
        return emc(self.temperature, self.humidity / 100.0)


@dataclass(frozen=True, slots=True)
class Room:
    """Where the bench stands.

    Attributes:
        seasons: the moisture contents that follow.
        winter, summer: the air, where it was given.
        driest_in: the season of the driest wood: winter, but where the air says otherwise.
    """

    seasons: Seasons
    winter: Air | None = None
    summer: Air | None = None
    driest_in: Season = "winter"


def room_of(moisture: Any, *, field: str = "moisture") -> Room:
    """Work out a room from a spec's ``moisture`` section.

    ``moisture`` has ``at_build``, ``driest`` and ``wettest``, and may have
    ``winter_temperature``, ``winter_humidity``, ``summer_temperature`` and ``summer_humidity``
    (None where they aren't given). The winter's air takes the place of ``driest``, the summer's
    of ``wettest``; where both are given, the drier one is the driest, whichever it is. Raises
    :class:`SpecError`, with the name of the section in ``field``, for one half of an air, or
    where the driest, the build and the wettest don't follow each other.
    """
    winter, summer = _air(moisture, "winter", field), _air(moisture, "summer", field)
    dry = winter.moisture if winter else float(moisture.driest)
    wet = summer.moisture if summer else float(moisture.wettest)
    driest_in: Season = "winter"
    if winter and summer and dry > wet:
        dry, wet, driest_in = wet, dry, "summer"
    if dry > wet:
        raise _crossed(winter, dry, wet, field)
    built = float(moisture.at_build)
    if not dry <= built <= wet:
        why = ""
        if winter or summer:
            both = " and ".join(s for s, air in (("winter", winter), ("summer", summer)) if air)
            why = f", by the air of {both}"
        low, high = math.ceil(dry * 100.0 - 1e-9) / 100.0, math.floor(wet * 100.0 + 1e-9) / 100.0
        raise SpecError(
            f"the build's moisture content {built:g} % is not between the driest "
            f"{_shown(dry)} % and the wettest {_shown(wet)} %{why}",
            field=f"{field}.at_build",
            # Rounded inwards: what is named as allowed must be allowed.
            allowed=f"{low:g} to {high:g} %",
        )
    return Room(Seasons(built, dry, wet), winter, summer, driest_in)


def seasons_of(moisture: Any, *, field: str = "moisture") -> Seasons:
    """The moisture contents of :func:`room_of`."""
    return room_of(moisture, field=field).seasons


def _air(moisture: Any, season: Season, field: str) -> Air | None:
    temperature = getattr(moisture, f"{season}_temperature", None)
    humidity = getattr(moisture, f"{season}_humidity", None)
    if temperature is None and humidity is None:
        return None
    if temperature is None or humidity is None:
        given, missing = (
            ("humidity", "temperature") if temperature is None else ("temperature", "humidity")
        )
        example = "20 C" if missing == "temperature" else "35 %"
        raise SpecError(
            f"the {season}'s {given} is given without its {missing}",
            field=f"{field}.{season}_{missing}",
            allowed=f"both ({season}_{missing}: {example}), or neither",
        )
    return Air(float(temperature), float(humidity))


def _crossed(winter: Air | None, dry: float, wet: float, field: str) -> SpecError:
    if winter is None:
        # Without the winter's air, the summer's may be at fault, or the figures as given.
        return SpecError(
            f"the driest, {_shown(dry)} %, is more than the wettest, {_shown(wet)} %",
            field=f"{field}.driest",
            allowed=f"at most {_shown(wet)} %, or the air of winter and summer both",
        )
    return SpecError(
        f"in the winter's air wood comes to {_shown(dry)} %, more than the wettest, "
        f"{_shown(wet)} %",
        field=f"{field}.winter_humidity",
        allowed="drier air, a larger wettest, or the summer's air as well",
    )


def _shown(percent: float) -> str:
    """A moisture content for messages, to the hundredth where it has so many digits."""
    return f"{percent:.2f}".rstrip("0").rstrip(".")
