"""Room at the edges of tenons: a fit's own, as asked, or as much as a wet season needs."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from treenail.joints.fits import Limits
from treenail.timber.frames import snap
from treenail.timber.moisture import crush_strain, movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.generators.bench import Seasons
    from treenail.joints.fits import Fit
    from treenail.timber.member import Member

__all__ = ["edge_fit"]

#: Share of what the wood stands that a tenon may be squeezed at its edges in the wettest season;
#: just under the two thirds from which the checks speak (our own choice).
EASY = 0.66
#: Room is added in steps of this, mm (our own choice).
STEP = 0.1
#: What such a fit is called, after the named one.
ASKED, SWELLS = ", edges as asked", ", edges with room to swell"


def edge_fit(fit: Fit, width: float, rail: Member, seasons: Seasons, asked: float | None) -> Fit:
    """The fit for a tenon of that width on a rail, with other limits at its edges if need be.

    Args:
        fit: as the spec names it.
        width: the tenon's, mm.
        rail: whose wood swells.
        seasons: from the build to the wettest.
        asked: room at both edges together, mm; None finds it.
    """
    edge = fit.edge
    middle = (edge.low + edge.high) / 2.0
    if asked is not None:
        half = min((edge.high - edge.low) / 2.0, asked)
        room = replace(edge, low=snap(asked - half), high=snap(asked + half))
        if room == edge:
            return fit
        more = max(snap(asked - middle), 0.0)
        return replace(fit, name=f"{fit.name}{ASKED}", edge=room, swells=more)
    c = movement_coefficient(rail.species, rail.rings)
    swells = movement(width, c, seasons.at_build, seasons.wettest)
    lack = swells - middle - EASY * crush_strain(rail.species) * width
    if lack <= 0.0:
        return fit
    more = snap(math.ceil(lack / STEP - 1e-9) * STEP)
    room = Limits(snap(edge.low + more), snap(edge.high + more), edge.model)
    return replace(fit, name=f"{fit.name}{SWELLS}", edge=room, swells=more)
