"""Tops: dog holes that are free below and have wood around them; sections that pass the planer."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import TYPE_CHECKING

from treenail.checks.gauge import INCH, SAME, cuts_of, grade, local_bounds, rod, wall_between
from treenail.checks.rules import Context, Finding, TunableLimit, rule
from treenail.generators.tops import CLEAR_OF_GLUE_LINE
from treenail.joints.cuts import Bore, Cut
from treenail.joints.features import DogHoles, EdgeGlue
from treenail.joints.lag_bolt import LagBolt
from treenail.timber.frames import Vec, norm, sub

if TYPE_CHECKING:
    from treenail.timber.member import Member

#: How far a dog or holdfast reaches below the top, mm (our own choice).
BELOW = 6 * INCH
#: Room beside a dog below the top, mm (our own choice).
CLEAR_BELOW = INCH / 8
#: Wood between a dog hole and another hole, mm (our own choice).
HOLE_WALL = INCH / 4
#: Pitch of dog holes, mm (common practice: 3 to 6 in).
PITCH = (3 * INCH, 6 * INCH)


def _holes(context: Context) -> Iterator[tuple[DogHoles, list[Bore]]]:
    for joint in context.bench.joints:
        if isinstance(joint, DogHoles):
            cuts = cuts_of(context.bench, joint.member, joint, "dog hole")
            yield joint, [c for c in cuts if isinstance(c, Bore)]


def beyond(joint: DogHoles) -> str:
    """Where a dog comes out: below a top, behind an apron."""
    up = joint.member.placement.direction(joint.face.outward)[2] > 0.5
    return "Below" if up else "Behind"


def _names(numbers: list[int]) -> str:
    """Hole numbers in words: ``holes 1 to 4, 7``."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    text = ", ".join(f"{r[0]} to {r[-1]}" if len(r) > 1 else str(r[0]) for r in runs)
    return f"hole{'s' if len(numbers) > 1 else ''} {text}"


@rule(
    "dog-hole-below",
    title="Dog holes are free below",
    why="A dog or holdfast that strikes a post, a stretcher or a tenon won't go down.",
    remedy="Move the row or leave those holes out.",
    source="our own choice: free for 6 in below the top, 1/8 in beside",
    limit=TunableLimit(
        default=BELOW, low=10.0, high=400.0, unit="mm", what="depth below the top that stays free"
    ),
)
def dog_hole_below(context: Context) -> Iterator[Finding]:
    """Each hole's cylinder, carried on below the top, against the timbers there."""
    for joint, holes in _holes(context):
        top = joint.member
        for other in context.bench.timbers:
            if other.name == top.name:
                continue
            low, high = local_bounds(top, other)
            struck: list[tuple[float, int]] = []
            for number, hole in enumerate(holes, start=1):
                wall = _beside(hole, low, high, context.limit("dog-hole-below"))
                if wall is not None and wall < CLEAR_BELOW - SAME:
                    struck.append((wall, number))
            if not struck:
                continue
            wall = min(struck)[0]
            hit = wall < -SAME
            yield Finding(
                rule="dog-hole-below",
                severity="warning" if hit else "advice",
                message=f"{beyond(joint)} dog {_names([n for _, n in struck])} stands {other.name}"
                + ("." if hit else f", {context.say(wall)} beside."),
                joint=joint.name,
                member=top.name,
                face=str(joint.face),
                measured=wall,
                limit=CLEAR_BELOW,
                remedy=f"Move the row {context.say(CLEAR_BELOW - wall)} away from {other.name}, "
                "or leave those holes out.",
            )


def _beside(hole: Bore, low: Vec, high: Vec, below: float) -> float | None:
    """Room between a hole carried on below its member and an upright box there, mm."""
    f = hole.frame
    axis = max(range(3), key=lambda i: abs(f.z[i]))
    start = f.origin[axis]
    way = 1.0 if f.z[axis] > 0.0 else -1.0
    near, far = sorted((way * (low[axis] - start), way * (high[axis] - start)))
    if far <= hole.depth + SAME or near >= hole.depth + below:
        return None
    apart = 0.0
    inside = -float("inf")
    for i in range(3):
        if i != axis:
            gap = max(low[i] - f.origin[i], f.origin[i] - high[i])
            apart += max(gap, 0.0) ** 2
            inside = max(inside, gap)
    return (float(apart**0.5) if apart > 0.0 else inside) - hole.diameter / 2


def _near(context: Context) -> Iterator[tuple[DogHoles, int, Cut, float]]:
    """Dog holes near cuts of another kind: (row, number, the cut, wood between), mm."""
    dogs = {joint.name for joint, _ in _holes(context)}
    for joint, holes in _holes(context):
        others = [
            (cut, measured)
            for cut in context.bench.cuts[joint.member.name]
            if cut.joint not in dogs and (measured := rod(cut)) is not None
        ]
        for number, hole in enumerate(holes, start=1):
            mine = rod(hole)
            for cut, theirs in others:
                wall = (
                    wall_between(mine, theirs, below=context.limit("dog-hole-wall"))
                    if mine
                    else None
                )
                if wall is not None:
                    yield joint, number, cut, wall


def _apart(context: Context, cut: Cut, far: float) -> str:
    bolts = any(isinstance(j, LagBolt) and j.name == cut.joint for j in context.bench.joints)
    if bolts:
        return f"Move the bolt {context.say(far)} along the stretcher."
    return f"Move the row, or {cut.joint}, {context.say(far)}."


@rule(
    "dog-hole-bolt",
    title="Dog holes miss the bolts",
    why="A bolt in a dog hole stops the dog and holds nothing.",
    remedy="Move the bolt or the row of holes.",
    source="geometry",
)
def dog_hole_bolt(context: Context) -> Iterator[Finding]:
    """No dog hole may run into another cut of its member."""
    for joint, number, cut, wall in _near(context):
        if wall <= SAME:
            yield Finding(
                rule="dog-hole-bolt",
                severity="error",
                message=f"Dog hole {number} runs into the {cut.purpose} of {cut.joint}.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=wall,
                limit=0.0,
                remedy=_apart(context, cut, HOLE_WALL - wall),
            )


@rule(
    "dog-hole-wall",
    title="Wood between dog holes and bolts",
    why="A holdfast wedges its hole open; thin wood toward a bolt splits.",
    remedy="Move the bolt or the row of holes.",
    source="our own choice: 1/4 in",
    limit=TunableLimit(
        default=HOLE_WALL, low=0.5, high=60.0, unit="mm", what="wood between a dog hole and a bolt"
    ),
)
def dog_hole_wall(context: Context) -> Iterator[Finding]:
    """Wood between a dog hole and another cut of its member."""
    want = context.limit("dog-hole-wall")
    for joint, number, cut, wall in _near(context):
        if SAME < wall < want - SAME:
            yield Finding(
                rule="dog-hole-wall",
                severity="advice",
                message=f"Dog hole {number} leaves {context.say(wall)} to the {cut.purpose} of "
                f"{cut.joint}.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=wall,
                limit=want,
                remedy=_apart(context, cut, want - wall),
            )


def _nearest(context: Context) -> Iterator[tuple[DogHoles, float, float]]:
    """For each bored member: (a row, pitch of the nearest two holes, wood between), mm."""
    everything: dict[str, list[tuple[DogHoles, Bore]]] = {}
    for joint, holes in _holes(context):
        everything.setdefault(joint.member.name, []).extend((joint, h) for h in holes)
    for bored in everything.values():
        pairs = []
        for (joint, a), (_, b) in itertools.combinations(bored, 2):
            pitch = norm(sub(a.frame.origin, b.frame.origin))
            pairs.append((joint, pitch, pitch - (a.diameter + b.diameter) / 2))
        if pairs:
            yield min(pairs, key=lambda pair: pair[2])


@rule(
    "dog-holes-overlap",
    title="Dog holes keep apart",
    why="Two holes that run together hold no dog.",
    remedy="Set the pitch to 3 to 6 in.",
    source="geometry",
)
def dog_holes_overlap(context: Context) -> Iterator[Finding]:
    """Wood between the nearest two dog holes of a member."""
    for joint, pitch, wall in _nearest(context):
        if wall <= SAME:
            yield Finding(
                rule="dog-holes-overlap",
                severity="error",
                message=f"In {joint.member.name} two dog holes stand {context.say(pitch)} apart, "
                "centre to centre, and run together.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=wall,
                limit=0.0,
                remedy=f"Set the pitch to {context.say(PITCH[0])} or more.",
            )


@rule(
    "dog-hole-pitch",
    title="Dog holes' distance from each other",
    why="Holes close together weaken the top; holes far apart are beyond a vise's travel.",
    remedy="Set the pitch to 3 to 6 in.",
    source="common practice: 3 to 6 in",
)
def dog_hole_pitch(context: Context) -> Iterator[Finding]:
    """Centre to centre of the nearest two holes of a member."""
    for joint, pitch, wall in _nearest(context):
        if wall > SAME and not PITCH[0] - SAME <= pitch <= PITCH[1] + SAME:
            yield Finding(
                rule="dog-hole-pitch",
                severity="advice",
                message=f"In {joint.member.name} the nearest two dog holes stand "
                f"{context.say(pitch)} apart, centre to centre.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=pitch,
                limit=PITCH[0 if pitch < PITCH[0] else 1],
                remedy=f"Set it between {context.say(PITCH[0])} and {context.say(PITCH[1])}.",
            )


def _to_edges(context: Context) -> Iterator[tuple[DogHoles, int, float]]:
    """For each row: (row, number of a hole, wood to its section's free edges and ends), mm."""
    for joint, holes in _holes(context):
        glued = _glued_edges(context, joint.member)
        rows = []
        for number, hole in enumerate(holes, start=1):
            x, y, _ = hole.frame.origin
            sides = [x, joint.member.length - x]
            sides += [] if "low" in glued else [y]
            sides += [] if "high" in glued else [joint.member.width - y]
            rows.append((joint, number, min(sides) - hole.diameter / 2))
        if rows:
            yield min(rows, key=lambda row: row[2])


@rule(
    "dog-hole-breakout",
    title="Dog holes stay inside the top",
    why="A hole that breaks out at the edge holds no dog.",
    remedy="Move the row in.",
    source="geometry",
)
def dog_hole_breakout(context: Context) -> Iterator[Finding]:
    """The holes' outlines against the free edges and ends of their member."""
    for joint, number, left in _to_edges(context):
        if left <= SAME:
            yield Finding(
                rule="dog-hole-breakout",
                severity="error",
                message=f"Dog hole {number} breaks out at the top's edge.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=left,
                limit=0.0,
                remedy=f"Move the holes {context.say(joint.diameter - left)} in.",
            )


@rule(
    "dog-hole-edge",
    title="Dog holes' distance from the top's edges",
    why="A dog pushes sideways; little wood in front of it splits off.",
    remedy="Move the row in.",
    source="our own choice: one diameter of wood",
)
def dog_hole_edge(context: Context) -> Iterator[Finding]:
    """Wood between the holes and the free edges and ends of their member."""
    for joint, number, left in _to_edges(context):
        severity = grade(left, warn=joint.diameter / 2, advise=joint.diameter)
        if severity and left > SAME:
            yield Finding(
                rule="dog-hole-edge",
                severity=severity,
                message=f"Dog hole {number} leaves {context.say(left)} to the top's edge.",
                joint=joint.name,
                member=joint.member.name,
                face=str(joint.face),
                measured=left,
                limit=joint.diameter,
                remedy=f"Move the holes {context.say(joint.diameter - left)} in.",
            )


def _glued_edges(context: Context, member: Member) -> set[str]:
    """Which of a section's long edges (``low``: the face edge) are glued to a neighbour."""
    found = set()
    for joint in context.bench.joints:
        if isinstance(joint, EdgeGlue) and member in joint.members:
            other = joint.second if member == joint.first else joint.first
            low, high = local_bounds(member, other)
            found.add("high" if low[1] + high[1] > member.width else "low")
    return found


@rule(
    "dog-hole-glue-line",
    title="Dog holes keep off glue lines",
    why="Holdfasts wedge a hole open, and a glue line at its side with it.",
    remedy="Move the row, or the line between the sections.",
    source="our own choice: 12 mm",
    limit=TunableLimit(
        default=CLEAR_OF_GLUE_LINE,
        low=0.0,
        high=60.0,
        unit="mm",
        what="a dog hole's centre to a glue line",
    ),
)
def dog_hole_glue_line(context: Context) -> Iterator[Finding]:
    """From each row's centres to the glued edges of its section."""
    want = context.limit("dog-hole-glue-line")
    for joint, holes in _holes(context):
        for side in sorted(_glued_edges(context, joint.member)):
            spots = [
                h.frame.origin[1] if side == "low" else joint.member.width - h.frame.origin[1]
                for h in holes
            ]
            away = min(spots, default=want)
            severity = grade(away, warn=joint.diameter / 2, advise=want)
            if severity:
                yield Finding(
                    rule="dog-hole-glue-line",
                    severity=severity,
                    message=f"A row of dog holes lies {context.say(max(away, 0.0))} from a glue "
                    f"line of {joint.member.name}"
                    + (", which runs through the holes." if severity == "warning" else "."),
                    joint=joint.name,
                    member=joint.member.name,
                    face=str(joint.face),
                    measured=away,
                    limit=want,
                    remedy=f"Move the row {context.say(want - away)} away.",
                )


@rule(
    "section-planer",
    title="Sections pass the planer",
    why="A section wider than the planer must be flattened by hand.",
    remedy="Glue the top up in more sections.",
    source="the spec's own planer width",
)
def section_planer(context: Context) -> Iterator[Finding]:
    """The width of each section of the top against ``top.planer_width``."""
    planer = getattr(getattr(context.bench.spec, "top", None), "planer_width", None)
    if not isinstance(planer, float | int):
        return
    for member in context.bench.timbers:
        if member.role == "top section" and member.width > planer + SAME:
            yield Finding(
                rule="section-planer",
                severity="error",
                message=f"{member.name} is {context.say(member.width)} wide; the planer takes "
                f"{context.say(planer)}.",
                member=member.name,
                measured=member.width,
                limit=float(planer),
                remedy=f"Divide it: {-int(-member.width // planer)} sections of "
                f"{context.say(member.width / -int(-member.width // planer))} pass.",
            )
