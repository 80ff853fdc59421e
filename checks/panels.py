"""Parts of the top that move as one, and the line across each from which it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.generators.tops import TOP_ROLES
from treenail.joints.features import EdgeGlue
from treenail.timber.frames import dot
from treenail.timber.moisture import movement_coefficient

if TYPE_CHECKING:
    from collections.abc import Iterator

    from treenail.checks.rules import Context
    from treenail.joints.lag_bolt import LagBolt
    from treenail.timber.frames import Vec
    from treenail.timber.member import Member

__all__ = ["across", "face_move", "fixed_line", "held_line", "panel_of", "panels", "place_move"]


def panels(context: Context) -> tuple[tuple[Member, ...], ...]:
    """Sections of tops, and whatever else bolts hold, each with all that is glued to it."""
    return context.once("panels", lambda: _panels(context))


def _panels(context: Context) -> tuple[tuple[Member, ...], ...]:
    bolted = {b.top.name for b in context.bolts}
    parts = [m for m in context.bench.timbers if m.role in TOP_ROLES or m.name in bolted]
    found: list[tuple[Member, ...]] = [(m,) for m in parts]
    for joint in context.bench.joints:
        if isinstance(joint, EdgeGlue):
            mine = [p for p in found if joint.first in p or joint.second in p]
            if len(mine) == 2:
                found = [p for p in found if p not in mine]
                found.append((*mine[0], *mine[1]))
    return tuple(found)


def panel_of(context: Context, member: Member) -> tuple[Member, ...]:
    """The panel that a member is part of; itself if none."""
    return next((p for p in panels(context) if member in p), (member,))


def across(bolt: LagBolt) -> float:
    """Where the bolt stands across the top's grain, mm from the bench's zero."""
    return dot(bolt.point, bolt.top.placement.y)


def fixed_line(context: Context, panel: tuple[Member, ...]) -> float:
    """The line across a panel's grain from which it moves, mm; there must be bolts in it."""
    bolts = [b for b in context.bolts if b.top in panel]
    held = [b for b in bolts if not b.slot]
    spots = [across(b) for b in bolts]
    # With no bolt held fast the panel creeps about its middle.
    return across(held[0]) if held else (min(spots) + max(spots)) / 2


def held_line(context: Context, panel: tuple[Member, ...]) -> float:
    """The line across the grain from which a slab moves, mm: of bolts, posts, or its middle."""
    if any(b.top in panel for b in context.bolts):
        return fixed_line(context, panel)
    axis = panel[0].placement.y
    spots = [_middle(joint.entering, axis) for joint in context.standing if joint.receiver in panel]
    spots = spots or [_middle(m, axis) for m in panel]
    return (min(spots) + max(spots)) / 2


def face_move(context: Context, member: Member, way: Vec) -> float:
    """How far a member's face that looks along ``way`` moves that way, mm per point; 0 if held.

    A slab's face moves with all its wood from its line to there; of other pieces it isn't known.
    """
    panel, axis = panel_of(context, member), member.placement.y
    if panel not in panels(context) or abs(abs(dot(axis, way)) - 1.0) > 1e-9:
        return 0.0
    return place_move(context, panel, max(dot(p, way) for p in member.world_corners()), way)


def place_move(context: Context, panel: tuple[Member, ...], spot: float, way: Vec) -> float:
    """How far the wood at a place along ``way`` moves that way, mm per point of moisture."""
    line = held_line(context, panel) * dot(panel[0].placement.y, way)
    found = 0.0
    for low, high, c in _strips(panel, way):
        found += c * (max(min(high, spot) - max(low, line), 0.0))
        found -= c * (max(min(high, line) - max(low, spot), 0.0))
    return found


def _strips(panel: tuple[Member, ...], way: Vec) -> Iterator[tuple[float, float, float]]:
    """(from, to, coefficient) of each section along a direction."""
    for m in panel:
        spots = [dot(p, way) for p in m.world_corners()]
        yield min(spots), max(spots), movement_coefficient(m.species, m.rings)


def _middle(member: Member, axis: Vec) -> float:
    spots = [dot(p, axis) for p in member.world_corners()]
    return (min(spots) + max(spots)) / 2
