"""Pegs: wood around their holes, in the tenon and in the post."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from treenail.checks.gauge import (
    SAME,
    PegHole,
    drawn,
    grade,
    smaller_peg,
)
from treenail.checks.peg_places import beyond, edges_of, end_cut_of, end_room, face_rooms
from treenail.checks.rules import Context, Finding, TunableLimit, rule

if TYPE_CHECKING:
    from treenail.checks.peg_places import EndCut
    from treenail.joints.drawbored import Drawbored
    from treenail.timber.member import Member

#: Distances of a peg's centre in diameters: from an edge (common practice: 1 to 1 1/2), from the
#: tenon's end (common practice: 2 to 3), from another peg (from memory). Much less is a warning.
EDGE, END, SPACING = 1.5, 2.0, 3.0


def _thinner(context: Context, have: float, diameter: float, times: float) -> str:
    """The way out with a thinner peg, if one is thin enough: ``, or use 5/16" pegs``."""
    thinner = smaller_peg(diameter, context.bench.units)
    while thinner > diameter / 2 and have < times * thinner - SAME:
        thinner = smaller_peg(thinner, context.bench.units)
    return f", or use {context.say(thinner)} pegs" if thinner > diameter / 2 else ""


@dataclass(frozen=True, slots=True)
class _Margin:
    """From a peg's centre to one thing near it, mm; ``way`` is where to move it."""

    what: str
    member: Member
    hole: PegHole
    have: float
    way: str


def _margins(joint: Drawbored, holes: list[PegHole], tenon: EndCut) -> list[_Margin]:
    """The least distance to the tenon's edges, the post's mortised face and the post's ends."""
    post, rail = joint.receiver, joint.entering
    found = []
    for h in holes:
        low, high = edges_of(tenon, h.x)
        face, far = face_rooms(joint, h)
        found += [
            _Margin(
                "the tenon's edge", rail, h, min(h.x - low, high - h.x), "toward the tenon's middle"
            ),
            _Margin(f"the mortised face of {post.name}", post, h, face, "away from the shoulder"),
            _Margin(f"the end of {post.name}", post, h, end_room(post, h), "away from the end"),
        ]
        if joint.tilt:
            found.append(
                _Margin(f"the far face of {post.name}", post, h, far, "toward the shoulder")
            )
    worst: dict[str, _Margin] = {}
    for margin in found:
        if margin.what not in worst or margin.have < worst[margin.what].have:
            worst[margin.what] = margin
    return list(worst.values())


def _end_margin(holes: list[PegHole], tenon: EndCut) -> tuple[float, float, PegHole]:
    """(from a peg's centre to the tenon's end, the same on its shorter cheek, the hole), mm."""
    rows = [(*beyond(tenon, h), h) for h in holes]
    return min(rows, key=lambda row: (row[0], row[1]))


def _end_ways(
    context: Context, joint: Drawbored, holes: list[PegHole], have: float, setback: float
) -> str:
    """What gives a peg more wood toward the tenon's end, in words."""
    d = max(h.tenon.diameter for h in holes)
    times = context.limit("peg-end")
    lack = times * d - have
    ways = []
    room = setback - EDGE * d
    if room > SAME:
        ways.append(f"move the pegs {context.say(min(room, lack))} toward the shoulder")
    if not joint.through:
        ways.append(f"lengthen the tenon by {context.say(lack)}")
    if thinner := _thinner(context, have, d, times):
        ways.append(thinner.removeprefix(", or "))
    text = ", or ".join(ways) or "use one row of pegs"
    return f"{text[0].upper()}{text[1:]}."


@rule(
    "peg-breakout",
    title="Peg holes stay inside the wood",
    why="A hole that breaks out at the tenon's edge or end, or at the post's face, holds no peg.",
    remedy="Move the pegs, or use thinner ones.",
    source="geometry",
)
def peg_breakout(context: Context) -> Iterator[Finding]:
    """The holes' outlines against tenon and post."""
    for joint, holes in drawn(context):
        tenon = end_cut_of(context.bench, joint)
        if tenon is None or not holes:
            continue
        r = max(h.post.diameter for h in holes) / 2
        for m in _margins(joint, holes, tenon):
            if m.have > r + SAME:
                continue
            in_post = m.member is joint.receiver
            yield Finding(
                rule="peg-breakout",
                severity="error",
                message=f"A peg hole breaks out at {m.what}: its centre is {context.say(m.have)} "
                "from it.",
                joint=joint.name,
                member=m.member.name,
                face=str(m.hole.post.face if in_post else m.hole.tenon.face),
                measured=m.have - r,
                limit=0.0,
                remedy=f"Move the pegs {context.say(2 * EDGE * r - m.have)} {m.way}"
                f"{_thinner(context, m.have, 2 * r, EDGE)}.",
            )
        have, at_cheek, hole = _end_margin(holes, tenon)
        if at_cheek <= r + SAME:
            yield Finding(
                rule="peg-breakout",
                severity="error",
                message="A peg hole breaks out at the tenon's end: its centre is "
                f"{context.say(at_cheek)} from it.",
                joint=joint.name,
                member=joint.entering.name,
                face=str(hole.tenon.face),
                measured=at_cheek - r,
                limit=0.0,
                remedy=_end_ways(context, joint, holes, min(have, at_cheek), hole.setback),
            )


@rule(
    "peg-edge",
    title="Pegs' distance from edges",
    why="A peg near the tenon's edge or the post's face splits the wood out as it is driven.",
    remedy="Move the peg toward the middle, or use a thinner one.",
    source="common practice: 1 to 1 1/2 diameters",
    limit=TunableLimit(
        default=EDGE, low=0.75, high=4.0, unit="1", what="diameters from a peg's centre to an edge"
    ),
)
def peg_edge(context: Context) -> Iterator[Finding]:
    """Centre to the tenon's edges, to the post's mortised face, and to the post's end."""
    times = context.limit("peg-edge")
    for joint, holes in drawn(context):
        tenon = end_cut_of(context.bench, joint)
        if tenon is None or not holes:
            continue
        d = max(h.post.diameter for h in holes)
        need = times * d
        for m in _margins(joint, holes, tenon):
            severity = grade(m.have, warn=need * 2 / 3, advise=need)
            if severity is None or m.have <= d / 2 + SAME:
                continue
            in_post = m.member is joint.receiver
            yield Finding(
                rule="peg-edge",
                severity=severity,
                message=f"A peg's centre lies {context.say(m.have)} from {m.what}; "
                f"{context.say(need)} ({times:g} diameters) is usual.",
                joint=joint.name,
                member=m.member.name,
                face=str(m.hole.post.face if in_post else m.hole.tenon.face),
                measured=m.have,
                limit=need,
                remedy=f"Move the pegs {context.say(need - m.have)} {m.way}"
                f"{_thinner(context, m.have, d, times)}.",
            )


@rule(
    "peg-end",
    title="Wood between a peg and the tenon's end",
    why="The peg pulls on the wood beyond its hole, which shears out toward the tenon's end.",
    remedy="Move the pegs toward the shoulder, lengthen the tenon, or use thinner pegs.",
    source="common practice: 2 to 3 diameters",
    limit=TunableLimit(
        default=END,
        low=0.75,
        high=5.0,
        unit="1",
        what="diameters from a peg's centre to the tenon's end",
    ),
)
def peg_end(context: Context) -> Iterator[Finding]:
    """From the tenon's hole to its end, at mid thickness where the end is mitred."""
    for joint, holes in drawn(context):
        tenon = end_cut_of(context.bench, joint)
        if tenon is None or not holes:
            continue
        d = max(h.tenon.diameter for h in holes)
        have, at_cheek, hole = _end_margin(holes, tenon)
        need = context.limit("peg-end") * d
        severity = grade(have, warn=need * 3 / 4, advise=need)
        if severity is None or at_cheek <= d / 2 + SAME:
            continue
        yield Finding(
            rule="peg-end",
            severity=severity,
            message=f"Only {context.say(have)} ({have / d:.1f} diameters) of tenon lies beyond a "
            f"peg's centre; {context.say(need)} is usual.",
            joint=joint.name,
            member=joint.entering.name,
            face=str(hole.tenon.face),
            measured=have,
            limit=need,
            remedy=_end_ways(context, joint, holes, have, hole.setback),
        )


def _nearest_pegs(holes: list[PegHole]) -> float:
    """Centre to centre of the nearest two pegs, mm."""
    return min(
        (
            ((a.x - b.x) ** 2 + (a.setback - b.setback) ** 2) ** 0.5
            for a, b in itertools.combinations(holes, 2)
        ),
        default=math.inf,
    )


@rule(
    "pegs-overlap",
    title="Pegs of a joint keep apart",
    why="Two holes that run into each other are one hole, and no peg stands in it.",
    remedy="Use fewer or thinner pegs.",
    source="geometry",
)
def pegs_overlap(context: Context) -> Iterator[Finding]:
    """The nearest two peg holes of a joint."""
    for joint, holes in drawn(context):
        have = _nearest_pegs(holes)
        d = max((h.post.diameter for h in holes), default=0.0)
        if have <= d + SAME:
            yield Finding(
                rule="pegs-overlap",
                severity="error",
                message=f"Two peg holes of {context.say(d)} stand {context.say(have)} apart, "
                "centre to centre, and run together.",
                joint=joint.name,
                member=joint.entering.name,
                measured=have - d,
                limit=0.0,
                remedy=_fewer(context, holes, have, d),
            )


@rule(
    "peg-spacing",
    title="Pegs' distance from each other",
    why="Pegs close together split the tenon along the grain between them.",
    remedy="Use fewer or thinner pegs, or two rows.",
    source="from memory: 3 diameters",
    limit=TunableLimit(
        default=SPACING, low=1.25, high=8.0, unit="1", what="diameters between two pegs"
    ),
)
def peg_spacing(context: Context) -> Iterator[Finding]:
    """Centre to centre of the nearest two pegs of a joint."""
    times = context.limit("peg-spacing")
    for joint, holes in drawn(context):
        have = _nearest_pegs(holes)
        d = max((h.post.diameter for h in holes), default=0.0)
        need = times * d
        severity = grade(have, warn=need * 2 / 3, advise=need)
        if severity is None or have <= d + SAME:
            continue
        yield Finding(
            rule="peg-spacing",
            severity=severity,
            message=f"Two pegs of {context.say(d)} stand {context.say(have)} apart, centre to "
            f"centre; {context.say(need)} ({times:g} diameters) is usual.",
            joint=joint.name,
            member=joint.entering.name,
            measured=have,
            limit=need,
            remedy=_fewer(context, holes, have, d),
        )


def _fewer(context: Context, holes: list[PegHole], have: float, d: float) -> str:
    fewer = max(1, len(holes) - 1)
    thinner = _thinner(context, have, d, context.limit("peg-spacing"))
    return f"Use {fewer} peg{'s' if fewer > 1 else ''}{thinner}."
