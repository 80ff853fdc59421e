"""Treenails, and boards that lie side by side in a top: wood around them, room to move."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, grade
from treenail.checks.panels import across, panels
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.checks.tolerance_rules import fine
from treenail.joints.cuts import Bore
from treenail.joints.edges import TongueGroove
from treenail.joints.treenails import Treenails
from treenail.timber.frames import dot
from treenail.timber.moisture import movement, movement_coefficient

if TYPE_CHECKING:
    from treenail.timber.member import Face, Member

#: Centre to the edges of both members in diameters (common practice: 1 to 1 1/2).
EDGE = 1.5
#: How far two treenails may be forced each way, mm (our own choice: 1/32 in, as for pegs).
FORCE = INCH / 32


def _treenails(context: Context) -> Iterator[Treenails]:
    return (j for j in context.bench.joints if isinstance(j, Treenails))


def _nearest(context: Context, joint: Treenails) -> tuple[float, Member, Face]:
    """From a treenail's middle to the nearest edge or end of its members, mm."""
    found = []
    for member in joint.members:
        for cut in context.bench.cuts[member.name]:
            if cut.joint == joint.name and isinstance(cut, Bore):
                x, y, _ = member.face_frame(cut.face).local_point(cut.frame.origin)
                size = member.face_size(cut.face)
                found.append((min(x, y, size[0] - x, size[1] - y), member, cut.face))
    return min(found, key=lambda row: row[0])


@rule(
    "treenail-edge",
    title="Wood beside treenails",
    why="A treenail driven near an edge or end splits it off.",
    remedy="Move the pegs in, or use thinner ones.",
    source="common practice: 1 to 1 1/2 diameters from the centre",
    limit=TunableLimit(
        default=EDGE, low=0.75, high=4.0, unit="1", what="diameters from a treenail to an edge"
    ),
)
def treenail_edge(context: Context) -> Iterator[Finding]:
    """From each treenail's centre to the edges and ends of both members."""
    times = context.limit("treenail-edge")
    for joint in _treenails(context):
        have, member, face = _nearest(context, joint)
        want = times * joint.diameter
        severity = grade(have, warn=joint.diameter, advise=want)
        if severity:
            yield Finding(
                rule="treenail-edge",
                severity=severity,
                message=f"A treenail's centre lies {context.say(have)} from the edge of "
                f"{member.name}; {context.say(want)} is usual.",
                joint=joint.name,
                member=member.name,
                face=str(face),
                measured=have,
                limit=want,
                remedy=f"Move it {context.say(want - have)} in, or use a thinner peg.",
            )


@rule(
    "treenail-spread",
    title="Treenails across a wide board let it move",
    why="Pegs far apart across the grain of a board hold its width to a piece that doesn't move: "
    "they split it between them.",
    remedy="Bring the pegs nearer together, or make the outer holes in the board oblong.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the limit is our own choice: 1/32 in",
    limit=TunableLimit(
        default=FORCE, low=0.1, high=3.0, unit="mm", what="movement between treenails each way"
    ),
)
def treenail_spread(context: Context) -> Iterator[Finding]:
    """The outer pegs' distance across the entering member's grain, over the year."""
    limit, seasons = context.limit("treenail-spread"), context.bench.seasons
    for joint in _treenails(context):
        board = joint.entering
        c = movement_coefficient(board.species, board.rings)
        moves = max(
            abs(movement(joint.spread, c, seasons.at_build, mc))
            for mc in (seasons.driest, seasons.wettest)
        )
        if moves > limit + SAME:
            yield Finding(
                rule="treenail-spread",
                severity="advice",
                message=f"The outer treenails stand {context.say(joint.spread)} apart across "
                f"{board.name}, which moves {fine(context, moves)} between them.",
                joint=joint.name,
                member=board.name,
                measured=moves,
                limit=limit,
                remedy=f"Set them at most {context.say(joint.spread * limit / moves)} apart, or "
                f"lengthen the outer holes in {board.name} by {context.say(moves)}.",
            )


# --- boards side by side


def _opening(context: Context, front: tuple[Member, ...], back: tuple[Member, ...]) -> float:
    """Between the facing edges of two panels, or a tongue's shoulders and the other edge, mm."""
    for joint in context.bench.joints:
        if isinstance(joint, TongueGroove):
            pair = {m.name for m in joint.members}
            if any(m.name in pair for m in front) and any(m.name in pair for m in back):
                return joint.open_by
    return min(m.bounds()[0][1] for m in back) - max(m.bounds()[1][1] for m in front)


def _toward(context: Context, panel: tuple[Member, ...], side: int) -> float:
    """How far a panel swells from where bolts hold it (or its middle) to one side, mm."""
    low = min(m.bounds()[0][1] for m in panel)
    high = max(m.bounds()[1][1] for m in panel)
    held = [b for b in context.bolts if b.top in panel and not b.slot]
    way = dot(panel[0].placement.y, (0.0, 1.0, 0.0))
    line = across(held[0]) * way if held else (low + high) / 2
    wood = panel[0]
    c = movement_coefficient(wood.species, wood.rings)
    seasons = context.bench.seasons
    return movement(high - line if side > 0 else line - low, c, seasons.at_build, seasons.wettest)


@rule(
    "board-gap",
    title="A top's boards have room to swell",
    why="Boards laid tight buckle in a damp season, or push their bolts over.",
    remedy="Leave wider gaps, or use narrower or quartersawn boards.",
    source="FPL-GTR-190 (2010) ch. 13 for the movement; the spec's own seasons",
)
def board_gap(context: Context) -> Iterator[Finding]:
    """Room between neighbours of a top, or a well's bottom, against what both swell."""
    parts = [
        p
        for p in panels(context)
        if all(m.role == "top section" and abs(m.placement.x[0]) > 0.5 for m in p)
    ]
    # A well's bottom that is pegged along its middle swells toward both sides.
    pegged = {j.entering for j in _treenails(context) if j.entering.role == "well bottom"}
    parts += [(m,) for m in context.bench.timbers if m in pegged]
    parts.sort(key=lambda p: min(m.bounds()[0][1] for m in p))
    for front, back in itertools.pairwise(parts):
        have = _opening(context, front, back)
        need = _toward(context, front, 1) + _toward(context, back, -1)
        if have < need - SAME:
            yield Finding(
                rule="board-gap",
                severity="warning",
                message=f"Between {front[-1].name} and {back[0].name} there is "
                f"{fine(context, have)}; in the damp season they swell {fine(context, need)} "
                "toward each other.",
                member=back[0].name,
                measured=have,
                limit=need,
                remedy=f"Leave {fine(context, need)} between them, or use narrower boards.",
            )
