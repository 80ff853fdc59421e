"""Parts of the top that move as one, and the line across each from which it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from treenail.joints.features import EdgeGlue
from treenail.timber.frames import dot

if TYPE_CHECKING:
    from treenail.checks.rules import Context
    from treenail.joints.lag_bolt import LagBolt
    from treenail.timber.member import Member

__all__ = ["across", "fixed_line", "panel_of", "panels"]


def panels(context: Context) -> tuple[tuple[Member, ...], ...]:
    """Sections of tops, and whatever else bolts hold, each with all that is glued to it."""
    return context.once("panels", lambda: _panels(context))


def _panels(context: Context) -> tuple[tuple[Member, ...], ...]:
    bolted = {b.top.name for b in context.bolts}
    parts = [m for m in context.bench.timbers if m.role == "top section" or m.name in bolted]
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
