"""Rooms that joints say they leave, measured between the solids' faces."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import fine
from treenail.checks.rules import Context, Finding, rule
from treenail.joints.cuts import Bore, Mortise, Slot
from treenail.joints.trenches import Trench
from treenail.timber.frames import along, dot, snap, sub

if TYPE_CHECKING:
    from treenail.checks.survey import Placed, Site
    from treenail.joints.base import Gap, Joint
    from treenail.joints.cuts import Cut

#: A room as measured may differ from what was asked by this, mm.
AS_ASKED = 1e-3
#: How far before and behind its expected place (and across the room) a face is sought, mm.
REACH = 8.0
#: A face counts if the line that is measured along meets its bounds within this, mm.
_AROUND = 1e-6
#: Surfaces look along a line if they are off it by less than about 1e-4 rad.
_PARALLEL = 1e-8


def measure_room(site: Site, gap: Gap) -> float | None:
    """Distance in mm between the two surfaces of a gap on placed solids; None: none found."""
    own = _level(site[gap.of], gap, 1.0, 0.0)
    if own is None:
        return None
    other = _level(site[gap.against], gap, -1.0, own + gap.room)
    return None if other is None else snap(other - own)


def _level(place: Placed, gap: Gap, sign: float, near: float) -> float | None:
    """Where the gap's line meets the nearest plane that looks along it (or back), mm."""
    at, way = place.frame.local_point(gap.at), place.frame.local_direction(gap.toward)
    found = []
    for face in place.survey.faces:
        if face.kind != "plane" or sign * dot(face.axis, way) < 1.0 - _PARALLEL:
            continue
        level = dot(sub(face.point, at), way)
        spot = along(at, way, level)
        if abs(level) <= REACH + gap.room and all(
            low - _AROUND <= x <= high + _AROUND
            for low, x, high in zip(face.box[0], spot, face.box[1], strict=True)
        ):
            found.append(level)
    return min(found, key=lambda level: abs(level - near), default=None)


def _taken_by(context: Context, joint: Joint, gap: Gap) -> Cut | None:
    """Another joint's cut that takes away the wood where a gap is to be measured, if any."""
    for name in (gap.of, gap.against):
        spot = context.bench.by_name[name].placement.local_point(gap.at)
        for cut in context.bench.cuts.get(name, ()):
            if cut.joint != joint.name and _holds(cut, cut.frame.local_point(spot)):
                return cut
    return None


def _holds(cut: Cut, at: tuple[float, float, float]) -> bool:
    """Whether a place, in the cut's frame, lies in the cut."""
    x, y, z = at
    match cut:
        case Bore():
            return math.hypot(x, y) <= cut.diameter / 2 + AS_ASKED and _within(z, cut.depth)
        case Slot():
            long, wide = cut.centres + cut.width, cut.width
        case Mortise() | Trench():
            long, wide = cut.length, cut.width
        case _:
            return False
    inside = max(abs(x) - long / 2, abs(y) - wide / 2) <= AS_ASKED
    return inside and _within(z, cut.depth)


def _within(z: float, depth: float) -> bool:
    return -AS_ASKED <= z <= depth + AS_ASKED


@rule(
    "measured-room",
    title="Rooms in laps, housings and grooves are those asked for",
    why="The files are made from the solids: what they hold is what will be cut.",
    remedy="Tell the makers, with the spec: the program, not the spec, is at fault.",
    source="geometry",
    solids=True,
)
def measured_room(context: Context) -> Iterator[Finding]:
    """Every gap that a joint tells of, face to face; seats as rooms of 0."""
    assert context.solids is not None
    from treenail.checks.measured import measures_of

    site = measures_of(context.solids).site
    for joint in context.bench.joints:
        for gap in joint.gaps():
            got = measure_room(site, gap)
            if got is not None and abs(got - gap.room) <= AS_ASKED:
                continue
            told = (
                "is not to be found on the solids" if got is None else f"has {fine(context, got)}"
            )
            taken = _taken_by(context, joint, gap)
            yield Finding(
                rule="measured-room",
                severity="error",
                message=f"{joint.name}: {gap.of}'s {gap.what} in {gap.against} {told}; "
                f"{fine(context, gap.room)} was asked for.",
                joint=joint.name,
                member=gap.of,
                measured=got,
                limit=gap.room,
                remedy=f"Move {taken.joint}: its {taken.purpose} cuts away the wood there."
                if taken
                else "",
            )
