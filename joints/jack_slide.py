"""A sliding board jack's two ends: a groove on a rail's ridge, a tongue in the top's groove."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from treenail.joints.fits import Fit, Limits
from treenail.joints.housed import Housed
from treenail.timber.frames import snap

if TYPE_CHECKING:
    from treenail.joints.trenches import Span
    from treenail.timber.frames import Vec

#: A groove rides on its ridge with so much play, mm, and clears its top by that (our own choice).
RIDING = Fit(
    "riding",
    Limits(0.6, 1.0),
    Limits(0.4, 1.2),
    Limits(1.5, 3.0),
    "slides by hand without rattling",
    "our own choice: three times an easy fit",
)


def swinging(play: float) -> Fit:
    """A fit with so much play in a groove that a tongue can be swung out of it, mm."""
    return Fit(
        "swinging",
        Limits(play, play),
        RIDING.edge,
        RIDING.bottom,
        "slides, and swings out when it is lifted",
        "from the tilt that it takes",
    )


def play_to_swing(tongue: float, deep: float, *, aside: float, length: float) -> float:
    """Play that a tongue needs in its groove so that the board's foot swings aside, mm.

    Args:
        tongue: its thickness, mm.
        deep: how far it stands in the groove, mm.
        aside: how far the foot must come, mm.
        length: of the board, mm.
    """
    angle = math.atan2(aside, length)
    return max(tongue * math.cos(angle) + deep * math.sin(angle) - tongue, 0.0)


@dataclass(frozen=True, kw_only=True)
class JackRide(Housed):
    """A board's lower end in which a ridge along a rail's edge stands.

    Attributes:
        shoulder: of the ridge, on the rail's face side, mm.
        back_shoulder: on its back side, mm.
    """

    fit: Fit = RIDING
    shoulder: float
    back_shoulder: float

    @property
    def kind(self) -> str:
        """``slide on a ridge``."""
        return "slide on a ridge"

    @property
    def trench_name(self) -> str:
        """``groove``."""
        return "groove"

    @property
    def shoulders(self) -> tuple[float, float]:
        """As given."""
        return (self.shoulder, self.back_shoulder)

    @property
    def slides(self) -> bool:
        """Yes."""
        return True


@dataclass(frozen=True, kw_only=True)
class JackGroove(Housed):
    """A board's upper end in a groove that runs on to both sides, deep enough to lift it.

    Attributes:
        shoulder: of the tongue, on the board's face side, mm.
        back_shoulder: on its back side, mm.
        lift: how far the board can be lifted, mm.
        ends: two points, in the bench, between which the groove runs.
    """

    shoulder: float
    back_shoulder: float
    lift: float
    ends: tuple[Vec, Vec]

    @property
    def kind(self) -> str:
        """``slide in a groove``."""
        return "slide in a groove"

    @property
    def trench_name(self) -> str:
        """``groove``."""
        return "groove"

    @property
    def shoulders(self) -> tuple[float, float]:
        """As given."""
        return (self.shoulder, self.back_shoulder)

    @property
    def bottom(self) -> float:
        """Room to lift it."""
        return self.lift

    @property
    def shoulder_room(self) -> float:
        """Room to lift it."""
        return self.lift

    @property
    def slides(self) -> bool:
        """Yes."""
        return True

    @cached_property
    def trench_run(self) -> Span:
        """From end to end."""
        place = self.receiver.placement
        low, high = sorted(snap(place.local_point(p)[self.run]) for p in self.ends)
        return (low, high)


__all__ = ["RIDING", "JackGroove", "JackRide", "play_to_swing", "swinging"]
